package answer

import (
	"embed"
	"fmt"
	"maps"
	"sync"

	"duskdawn/locales/fold"

	"github.com/BurntSushi/toml"
)

// numberWords are the words for numbers, and those beside a number that add to it or make it another one.
type numberWords struct {
	numbers map[string]int16
	roles   map[string]numberRole
}

// numberRole is what a word does beside a number; it may do several things.
type numberRole uint32

const (
	wordTens    numberRole = 1 << iota // between a ten and a one: "treinta y cinco"
	wordArticle                        // a one that counts nothing behind a ten
	wordJoin                           // before what is added: "6 and a half"
	wordOr                             // between two numbers: "three or four"
	wordHour
	wordHalf
	wordQuarter
	wordThree    // of three quarters
	wordQuarters // behind it
	wordVague    // "7 and a bit"
	wordOf       // "quarter of six"
	wordPast     // of times of day: "ten past six", "las seis y diez"
	wordBefore   // "ten to six", "diez para las seis"
	wordLess     // "las seis menos diez"
	wordLead     // before a time: "at", "las"
	wordFrom     // before the first of two: "from ten to six"
	wordSharp    // behind it: "o'clock"
	wordMidnight
	wordNoon
	wordAM
	wordPM
	wordNight
	wordMinutes
)

//go:embed number.*.toml
var numberFiles embed.FS

// readNumbers reads the words of all languages, once.
var readNumbers = sync.OnceValues(func() (numberWords, error) {
	all := numberWords{map[string]int16{}, map[string]numberRole{}}
	entries, err := numberFiles.ReadDir(".")
	if err != nil {
		return all, fmt.Errorf("listing the number words: %w", err)
	}
	for _, e := range entries {
		buf, err := numberFiles.ReadFile(e.Name())
		if err != nil {
			return all, fmt.Errorf("opening %s: %w", e.Name(), err)
		}
		var page struct {
			Tens, Article, Join, Or, Hour, Half, Quarter, Three, Quarters, Vague              []string
			Of, Past, Before, Less, Lead, From, Sharp, Midnight, Noon, AM, PM, Night, Minutes []string
			Number                                                                            map[string]int16
		}
		if err := toml.Unmarshal(buf, &page); err != nil {
			return all, fmt.Errorf("reading %s: %w", e.Name(), err)
		}
		maps.Copy(all.numbers, page.Number)
		for i, row := range [][]string{page.Tens, page.Article, page.Join, page.Or, page.Hour, page.Half, page.Quarter, page.Three, page.Quarters, page.Vague,
			page.Of, page.Past, page.Before, page.Less, page.Lead, page.From, page.Sharp,
			page.Midnight, page.Noon, page.AM, page.PM, page.Night, page.Minutes} {
			for _, word := range row {
				all.roles[word] |= 1 << i
			}
		}
	}
	return all, nil
})

// numberText is a folded text whose numbers are sought.
type numberText struct {
	numberWords
	b  []byte
	ws []fold.Span
}

func (t *numberText) word(i int) []byte { return t.ws[i].Of(t.b) }

// is reports whether a word does one of some things.
func (t *numberText) is(i int, role numberRole) bool {
	return i >= 0 && i < len(t.ws) && t.roles[string(t.word(i))]&role != 0
}

// counts reports whether a word is a number, in words or in digits.
func (t *numberText) counts(i int) bool {
	_, number := t.numbers[string(t.word(i))]
	return number || fold.IsDigit(t.word(i)[0])
}

// figures finds the numbers of a folded text of these words.
func figures(b []byte, ws []fold.Span, numbers numberWords, dst []Figure) []Figure {
	t := numberText{numbers, b, ws}
	for i := 0; i < len(ws) && len(dst) < MaxFigures; i++ {
		g, ok := t.digits(i)
		if !ok {
			g, ok = t.said(i)
		}
		if !ok {
			continue
		}
		quarters, split := t.parts(g.from, g.to)
		g.Quarters, g.Whole = max(g.Quarters, quarters), g.Whole && !split
		dst = append(dst, g)
		i = g.to - 1
	}
	return dst
}

// decimals are the quarters behind a decimal mark.
var decimals = map[string]int16{"25": 1, "5": 2, "50": 2, "75": 3}

// digits reads a number that begins with up to three digits.
func (t *numberText) digits(i int) (Figure, bool) {
	b, word := t.b, t.word(i)
	n := 0
	for n < len(word) && fold.IsDigit(word[n]) {
		n++
	}
	g := Figure{from: i, to: i + 1, Whole: true}
	if n == 0 || n > 3 {
		return g, false
	}
	for _, c := range word[:n] {
		g.N = g.N*10 + int16(c-'0')
	}
	g.unit = string(word[n:])
	if at := int(t.ws[i].From); at > 0 && (b[at-1] == '-' || b[at-1] == '+' || (b[at-1] == '.' || b[at-1] == ',') && (at == 1 || b[at-2] <= ' ')) { // "pain -3", ".5"
		g.Whole = false
	}
	for g.to < len(t.ws) && digitsFollow(b, t.ws[g.to-1], t.ws[g.to]) { // "4/10", "10:30", "7.5", "3-4"
		switch mark, next := b[t.ws[g.to-1].To], string(t.word(g.to)); {
		case mark == '/' && next == "10" && g.N <= 10:
		case (mark == '.' || mark == ',') && g.Quarters == 0 && decimals[next] > 0:
			g.Quarters = decimals[next]
		default:
			g.Whole = false
		}
		g.to++
	}
	return g, true
}

// said reads a number in words, a ten with its one.
func (t *numberText) said(i int) (Figure, bool) {
	n, ok := t.numbers[string(t.word(i))]
	g := Figure{N: n, from: i, to: i + 1, Whole: true}
	if next := g.to; ok && n >= 20 && n%10 == 0 && next < len(t.ws) {
		if t.is(next, wordTens) && next+1 < len(t.ws) {
			next++
		}
		if m := t.numbers[string(t.word(next))]; m > 0 && m < 10 && !t.is(next, wordArticle) {
			g.N, g.to = n+m, next+1
		}
	}
	return g, ok
}

// parts gives the quarters that the words beside a figure add to it ("6 and a half", "7 horas y media"), and whether they make
// it a part of another number: "an hour and twenty", "three or four", "7 and a bit".
func (t *numberText) parts(from, to int) (quarters int16, split bool) {
	if t.is(from-1, wordJoin) && t.is(from-2, wordHour) {
		return 0, true
	}
	for i := to; i < min(to+2, len(t.ws)); i++ { // right behind it, or behind its unit
		if t.is(i, wordOr) {
			for j := i + 1; j < min(i+3, len(t.ws)); j++ { // "or maybe 4"
				if t.counts(j) {
					return 0, true
				}
			}
		}
		if !t.is(i, wordJoin) {
			continue
		}
		for j := i + 1; j < min(i+3, len(t.ws)); j++ {
			switch {
			case t.is(j, wordHalf):
				return 2, false
			case t.is(j, wordQuarter):
				return 1, false
			case t.is(j, wordThree) && t.is(j+1, wordQuarters):
				return 3, false
			case t.is(j, wordThree|wordVague):
				return 0, true
			}
		}
	}
	return 0, false
}

// digitsFollow reports whether digits follow a word of a text without a space.
func digitsFollow(b []byte, w, next fold.Span) bool {
	return int(next.From) == int(w.To)+1 && b[w.To] > ' ' && fold.IsDigit(b[next.From]) && fold.IsDigit(b[w.To-1])
}
