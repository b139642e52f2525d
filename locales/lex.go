package locales

import (
	"bytes"
	"slices"

	"duskdawn/flows/reading"

	"duskdawn/locales/fold"
)

// item is one thing in a text: a meaning, a number, a mark between clauses, or
// a word that the dictionaries do not know.
type item struct {
	kind     itemKind
	c        concept
	glued    bool // no space before it
	of       bool // it may stand between a score and what it is out of
	mark     byte // of a separator
	num      numeral
	sense    int32 // of an answer or a feature
	n        int8  // a weekday, a month, days ago
	from, to int32 // in the folded text
	day      reading.Day
}

type itemKind uint8

const (
	itemUnknown itemKind = iota
	itemConcept
	itemAnswer
	itemFeature
	itemNumber
	itemWeekday
	itemMonth
	itemAgo
	itemFiller
	itemDay  // a day of a month
	itemMark // , ; . ! ? newline and a dash that stands alone
)

// lexeme is a word or a mark before phrases are sought.
type lexeme struct {
	kind     itemKind
	id, stem int32
	filler   uint8
	polite   bool
	slip     bool // it is no word of the dictionaries, but one letter from one
	glued    bool
	mark     byte
	num      numeral
	from, to int32 // in the folded text
}

// known reports whether a word is in the dictionaries.
func (l lexeme) known() bool { return l.id != 0 || l.stem != 0 }

// lex cuts a folded text into words, numbers and marks.
func (d *dictionary) lex(b []byte, out []lexeme) []lexeme {
	odd := false
	for i := 0; i < len(b); {
		c := b[i]
		from := int32(i)
		glued := i > 0 && b[i-1] > ' '
		switch {
		case fold.IsLetter(c):
			j := i + 1
			for j < len(b) && fold.IsLetter(b[j]) {
				j++
			}
			word := b[i:j]
			if after, ok := halfDay(b, i, j); ok && len(out) > 0 && out[len(out)-1].kind == itemNumber {
				word, j = []byte{c, 'm'}, after // "9 a.m."
			}
			l := d.lookup(word)
			l.from, l.to, l.glued = from, int32(j), glued
			out = append(out, l)
			odd = false
			i = j
		case fold.IsDigit(c):
			num, j := scanNumber(b, i)
			if countsPiece(b, i, j) { // "2) pain nil"
				out = append(out, lexeme{kind: itemMark, mark: '.', from: from, to: int32(j + 1)})
				i = j + 1
				continue
			}
			if odd || glued && (pointBefore(b, i) || i > 0 && fold.IsLetter(b[i-1]) && !out[len(out)-1].known()) {
				num = numeral{kind: isBad, doubt: reading.IsOdd}
			}
			if k := d.runsIntoLetters(b, j); k > j {
				num, j = numeral{kind: isBad, doubt: reading.IsOdd}, k
			}
			l := lexeme{kind: itemNumber, num: num, from: from, to: int32(j), glued: glued}
			if num.kind == isNumber {
				l.id = d.words[string(b[i:j])].id // in phrases: "3 nights ago"
			}
			out = append(out, l)
			odd = false
			i = j
		case (c == '-' || c == '+') && i+1 < len(b) && fold.IsDigit(b[i+1]) && (i == 0 || !fold.IsDigit(b[i-1]) && !fold.IsLetter(b[i-1])):
			num, j := scanNumber(b, i+1)
			num.neg = true
			if c == '+' || odd || num.kind != isNumber || num.milli != 0 {
				num = numeral{kind: isBad, doubt: reading.IsOdd}
			}
			out = append(out, lexeme{kind: itemNumber, num: num, from: from, to: int32(j)})
			odd = false
			i = j
		case c == fold.OddMark:
			for i < len(b) && (b[i] == fold.OddMark || fold.IsDigit(b[i]) || fold.IsLetter(b[i])) {
				i++
			}
			out = append(out, lexeme{kind: itemNumber, num: numeral{kind: isBad, doubt: reading.IsOdd}, from: from, to: int32(i),
				glued: glued})
		default:
			i++
			switch c {
			case '<', '>', '~':
				odd = true
			case '/', '|': // between lines: "Thu 6 h / Fri 7 h"
				if i > 1 && i < len(b) && b[i-2] == ' ' && b[i] == ' ' && !(i+1 < len(b) && fold.IsDigit(b[i+1])) {
					out = append(out, lexeme{kind: itemMark, mark: ';', from: from, to: from + 1})
				}
			case ',', ';', '.', '!', '?', '\n', '-', '+', '&':
				out = append(out, lexeme{kind: itemMark, mark: c, from: from, to: from + 1})
				odd = false
			}
		}
	}
	return out
}

// countsPiece reports whether the number b[i:j] only counts the pieces of a list: it stands by itself, and a bracket
// closes behind it that was not opened.
func countsPiece(b []byte, i, j int) bool {
	if j-i > 2 || j >= len(b) || b[j] != ')' || bytes.IndexByte(b[:i], '(') > bytes.LastIndexByte(b[:i], ')') {
		return false
	}
	return i == 0 || b[i-1] <= ' '
}

// halfDay finds "a.m." and "p. m." at b[i:j] and gives the place behind.
func halfDay(b []byte, i, j int) (int, bool) {
	if j != i+1 || b[i] != 'a' && b[i] != 'p' || j >= len(b) || b[j] != '.' {
		return 0, false
	}
	for j++; j < len(b) && b[j] == ' '; j++ {
	}
	if j >= len(b) || b[j] != 'm' || j+1 < len(b) && fold.IsLetter(b[j+1]) {
		return 0, false
	}
	if j++; j < len(b) && b[j] == '.' {
		j++
	}
	return j, true
}

// pointBefore reports whether a number begins with its mark: ".5", ",5".
func pointBefore(b []byte, i int) bool {
	return i > 0 && (b[i-1] == '.' || b[i-1] == ',' || b[i-1] == fold.OddMark) && (i == 1 || b[i-2] <= ' ')
}

// runsIntoLetters reports whether the letters right behind a number make it
// something else ("1e3", "5x"): anything but a unit or a question's name. It
// gives the end of the run, or j.
func (d *dictionary) runsIntoLetters(b []byte, j int) int {
	if j >= len(b) || !fold.IsLetter(b[j]) {
		return j
	}
	k := j
	for k < len(b) && fold.IsLetter(b[k]) {
		k++
	}
	if l := d.lookup(b[j:k]); l.id != 0 || l.stem != 0 {
		for _, p := range d.starts[l.id] {
			if s := d.senses[p.sense]; s.kind == senseConcept && (afterNumber.has(s.c) || k-j > 2 && opens[s.c] != tNone) {
				return j
			} else if s.kind == senseMonth {
				return j
			}
		}
		for _, p := range d.starts[l.stem] {
			if s := d.senses[p.sense]; s.kind == senseConcept && k-j > 2 && opens[s.c] != tNone {
				return j
			}
		}
	}
	for k < len(b) && (fold.IsLetter(b[k]) || fold.IsDigit(b[k])) {
		k++
	}
	return k
}

// afterNumber are the units that may stand right behind a number.
var afterNumber = setOf(cHour, cMinute, cAM, cPM, cMM, cDays, cWeek, cTurn)

// lookup finds a word in the dictionaries: as it is, by its stem, or with one
// letter wrong.
func (d *dictionary) lookup(word []byte) lexeme {
	e, ok := d.words[string(word)]
	slip := !ok
	if !ok {
		for n := min(len(word), 16); n >= 3; n-- {
			if id, found := d.stems[string(word[:n])]; found {
				return lexeme{kind: itemUnknown, stem: id}
			}
		}
		if e, ok = d.nearest(word); !ok {
			return lexeme{kind: itemUnknown}
		}
	}
	return lexeme{kind: itemUnknown, id: e.id, stem: e.stem, filler: e.filler, polite: e.polite, slip: slip}
}

// meanings joins words into phrases, the longest first, skipping words that
// say nothing, and counts the words of each language.
func (d *dictionary) meanings(lex []lexeme, out []item, hits *[8]int) []item {
	var first [8]int
	all, strange := d.meaningsIn(lex, out, &first, 0)
	if strange != 0 { // "quite" is a word of two languages
		if lang := d.language(&first); lang != "" {
			if bit := uint8(1) << slices.Index(d.langs, lang); strange&bit != 0 {
				first = [8]int{}
				all, _ = d.meaningsIn(lex, out, &first, bit)
			}
		}
	}
	for i, n := range first {
		hits[i] += n
	}
	return all
}

// meaningsIn does the work of meanings. A word that says nothing in the language own has no meaning in another; strange are
// the languages for which that made a difference.
func (d *dictionary) meaningsIn(lex []lexeme, out []item, hits *[8]int, own uint8) (items []item, strange uint8) {
	for i := 0; i < len(lex); {
		l := lex[i]
		if l.kind == itemNumber && l.id != 0 {
			if sense, end := d.match(d.starts[l.id], lex, i, -1, i+1); sense >= 0 {
				s := &d.senses[sense]
				count(hits, s.langs, 2*(end-i))
				out = append(out, s.item(sense, lex[i:end]))
				i = end
				continue
			}
		}
		if l.kind != itemUnknown {
			out = append(out, item{kind: l.kind, glued: l.glued, mark: l.mark, num: l.num, from: l.from, to: l.to})
			i++
			continue
		}
		sense, end := int32(-1), i
		if l.id != 0 {
			sense, end = d.match(d.starts[l.id], lex, i, sense, end)
		}
		if l.stem != 0 {
			sense, end = d.match(d.starts[l.stem], lex, i, sense, end)
		}
		if sense >= 0 && end == i+1 && l.to-l.from > 2 && l.filler&^d.senses[sense].langs != 0 {
			if strange |= l.filler &^ d.senses[sense].langs; l.filler&^d.senses[sense].langs&own != 0 {
				sense = -1
			}
		}
		if langs := d.langsOf(sense); sense >= 0 && l.slip && end == i+1 { // no slip of a word of another language
			if strange |= ^langs; langs&own == 0 && own != 0 {
				sense = -1
			}
		}
		if sense < 0 {
			kind := itemUnknown
			if l.filler != 0 {
				kind = itemFiller
				count(hits, l.filler, 1)
			}
			out = append(out, item{kind: kind, glued: l.glued, of: d.outOf[l.id], from: l.from, to: l.to})
			i++
			continue
		}
		s := &d.senses[sense]
		if end > i+1 || l.to-l.from <= 2 || l.filler&^s.langs == 0 { // a word that says nothing in one language tells of none
			count(hits, s.langs, 2*(end-i))
		}
		out = append(out, s.item(sense, lex[i:end]))
		i = end
	}
	return out, strange
}

// langsOf are the languages of a sense; none of what is no sense.
func (d *dictionary) langsOf(sense int32) uint8 {
	if sense < 0 {
		return 0
	}
	return d.senses[sense].langs
}

// count adds to the one language that has the words; words that several
// languages share tell nothing.
func count(hits *[8]int, langs uint8, n int) {
	for i := range hits {
		if langs == 1<<i {
			hits[i] += n
		}
	}
}

// maxSkip is how many words that say nothing may stand within a phrase.
const maxSkip = 3

// match finds the longest phrase that begins at lex[i], longer than the one
// already found.
func (d *dictionary) match(phrases []phrase, lex []lexeme, i int, sense int32, end int) (int32, int) {
	for _, p := range phrases { // longest first
		if sense >= 0 && len(p.words) <= 1 {
			break
		}
		at, skipped := i+1, 0
		ok := true
		for _, w := range p.words[1:] {
			for at < len(lex) && lex[at].kind == itemUnknown && lex[at].id != w && lex[at].stem != w && lex[at].filler != 0 &&
				skipped < maxSkip {
				at++
				skipped++
			}
			if at >= len(lex) || lex[at].kind == itemMark || lex[at].id != w && lex[at].stem != w {
				ok = false
				break
			}
			at++
		}
		if ok && at > end {
			sense, end = p.sense, at
			break
		}
	}
	return sense, end
}
