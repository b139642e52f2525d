package locales

import (
	"bytes"
	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
)

// Short texts in which every word is one of a few are read by themselves: a number that puts right what was said before, one that is of both
// sides, and one beside a yes.

const (
	longestShort = 48   // bytes of the longest of them
	largestBare  = 9999 // the largest number that may be an answer by itself
)

// few is what such a text says.
type few struct {
	numbers []int
	fixes   bool // something is put right
	nots    bool
	both    bool // both sides
	side    bool // one of them
	at      bool
	set     bool // the setting, where it stands
	screws  bool
	yes     bool
	still   bool
}

// fewOf takes up what items say; false where they say anything else.
func fewOf(items []item) (f few, ok bool) {
	for _, it := range items {
		switch {
		case it.kind == itemNumber && it.num.kind == isNumber:
			n, doubt := it.num.whole()
			if doubt != reading.NoDoubt || n > largestBare {
				return f, false
			}
			f.numbers = append(f.numbers, n)
		case it.kind == itemMark && (it.mark == '?' || it.mark == '/' || it.mark == '-'):
			return f, false
		case it.kind == itemMark:
		case it.kind != itemConcept || !f.take(it.c):
			return f, false
		}
	}
	return f, len(f.numbers) == 1 || len(f.numbers) == 2
}

// take takes up what a word means; false where it is none of the few.
func (f *few) take(c concept) bool {
	switch c {
	case cFix, cSorry:
		f.fixes = true
	case cNot, cNope:
		f.nots = true
	case cBoth:
		f.both = true
	case cLeft, cRight:
		f.side = true
	case cAt, cOn, cNow:
		f.at = true
	case cSetting, cStands, cStillAt:
		f.set = true
	case cPiece:
		f.screws = true
	case cYes, cOK:
		f.yes = true
	case cStill:
		f.still = true
	default:
		return c == cAnd
	}
	return true
}

// short reads such a text.
func (w *Words) short(text string, r *reading.Reading, l *left) bool {
	if l.label || len(text) > longestShort || r.Features != 0 || r.Word != reading.NoWord && r.Word != reading.WordStands && r.Word != reading.WordStill ||
		r.Code != "" || r.Why != "" || r.Understood == reading.InFull && !r.Bare.Known() {
		return false
	}
	var buf [2 * longestShort]byte
	var lexBuf [16]lexeme
	var itemBuf [16]item
	var hits [8]int
	d, b := w.prose, fold.Text(buf[:0], text)
	if d.signsIn(b, "")&(signOught|signMeasure) != 0 || bytes.IndexByte(b, '%') >= 0 { // "it is at 5, should be at 4", "at 5 mm"
		return false
	}
	f, ok := fewOf(merge(d.meanings(d.lex(b, lexBuf[:0]), itemBuf[:0], &hits)))
	if !ok {
		return false
	}
	n := f.numbers[len(f.numbers)-1]
	twice := len(f.numbers) == 2 && f.numbers[0] == n
	f.both = f.both || twice && !f.side
	f.set = f.set || f.both && (f.screws || f.at && !twice) // "both at 3", "both screws 3"
	setting := func(fields ...chart.Field) {
		r.Bare, r.Mends, r.Tokens = chart.Unknown, false, nil
		for _, side := range fields {
			r.Tokens = append(r.Tokens, reading.Token{Field: side, Value: chart.Num(n)})
		}
	}
	switch {
	case f.still && !f.yes, f.nots && !f.fixes, f.side && !f.both, f.screws && !f.both, twice && f.fixes, len(f.numbers) == 2 && !twice && (!f.fixes || f.both), f.set && n > chart.SettingLeft.Row().Said:
		return false
	case f.both && f.set:
		setting(chart.SettingLeft, chart.SettingRight)
	case f.both:
		r.Tokens, r.Bare, r.Both = nil, chart.Num(n), true
	case f.fixes && f.set:
		setting(chart.SettingLeft)
	case f.fixes: // "6, I mean 7" answers what is open; "I mean 7" what was said before
		r.Tokens, r.Bare, r.Mends = nil, chart.Num(n), len(f.numbers) == 1
	case f.yes && !f.set:
		r.Tokens, r.Bare = nil, chart.Num(n)
	default:
		return false
	}
	r.Word, r.Rest, r.Doubt, r.About, r.Understood = reading.NoWord, false, reading.NoDoubt, chart.NoField, reading.InFull
	return true
}
