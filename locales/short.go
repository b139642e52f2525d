package locales

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
)

// Short texts in which every word is one of a few are read by themselves: a number that puts right what was said before, and one that is
// of both sides.

// longestShort is the longest of them, in bytes.
const longestShort = 48

// short reads such a text.
func (w *Words) short(text string, r *reading.Reading, l *left) bool {
	if l.label || len(text) > longestShort || r.Features != 0 || r.Word != reading.NoWord && r.Word != reading.WordStands && r.Word != reading.WordStill ||
		r.Code != "" || r.Why != "" {
		return false
	}
	var buf [2 * longestShort]byte
	var lexBuf [16]lexeme
	var itemBuf [16]item
	var hits [8]int
	d, b := w.prose, fold.Text(buf[:0], text)
	items := merge(d.meanings(d.lex(b, lexBuf[:0]), itemBuf[:0], &hits))
	if len(r.Tokens) == 0 && mends(items, r) || bothSides(items, r) {
		r.Rest, r.Doubt, r.About, r.Understood = false, reading.NoDoubt, chart.NoField, reading.InFull
		return true
	}
	return false
}

// largestBare is the largest number that may be an answer by itself.
const largestBare = 9999

// mends finds one number and words which put right what was said before: "no, wait, 2". It answers whatever that was, not the question that
// is open.
func mends(items []item, r *reading.Reading) bool {
	number, fixes := -1, false
	for _, it := range items {
		switch {
		case it.kind == itemNumber && number < 0 && it.num.kind == isNumber:
			n, doubt := it.num.whole()
			if doubt != reading.NoDoubt {
				return false
			}
			number = n
		case it.kind == itemConcept && (it.c == cFix || it.c == cSorry):
			fixes = true
		case it.kind == itemMark && it.mark != '?', it.kind == itemConcept && (it.c == cNot || it.c == cNope || it.c == cSetting):
		default:
			return false
		}
	}
	if number < 0 || number > largestBare || !fixes {
		return false
	}
	r.Bare, r.Mends = chart.Num(number), true
	return true
}

// sideWords are all that may stand beside the number of both sides.
var sideWords = setOf(cBoth, cSetting, cStands, cStillAt, cAt, cOn, cAnd, cLeft, cRight, cPiece)

// bothSides finds a setting that is said of both sides, "both screws at 3", "it stands at 3 and 3". Without a word of the setting the number may
// be that of a pain.
func bothSides(items []item, r *reading.Reading) bool {
	number, many, both, set := -1, 0, false, false
	for _, it := range items {
		switch {
		case it.kind == itemNumber && it.num.kind == isNumber:
			n, doubt := it.num.whole()
			if doubt != reading.NoDoubt || number >= 0 && n != number {
				return false
			}
			number, many = n, many+1
		case it.kind == itemConcept && sideWords.has(it.c):
			both = both || it.c == cBoth
			set = set || it.c == cSetting || it.c == cStands || it.c == cStillAt || it.c == cPiece || it.c == cAt && both
		case it.kind == itemMark && it.mark != '?' && it.mark != '/':
		default:
			return false
		}
	}
	if number < 0 || many > 2 || (many == 2) == both || !set || number > chart.SettingLeft.Row().Said {
		return false
	}
	r.Word, r.Bare = reading.NoWord, chart.Unknown
	r.Tokens = []reading.Token{{Field: chart.SettingLeft, Value: chart.Num(number)}, {Field: chart.SettingRight, Value: chart.Num(number)}}
	return true
}
