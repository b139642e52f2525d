package danger

import (
	"embed"
	"fmt"
	"maps"
	"slices"
	"sync"

	"duskdawn/flows/chart"
	"duskdawn/locales/fold"

	"github.com/BurntSushi/toml"
)

// A figure is a number as it stands in a text, in digits or in words. A third net (figures.bin) hears from the words
// around it which question it answers, if any: "six and a bit out of ten" is a score, "took it out at three" none.

// MaxFigures is how many figures of a text are heard; who writes more is asked.
const MaxFigures = 8

// Figure is a number in a text.
type Figure struct {
	N        int16             // its whole part
	Quarters int16             // what is added to it: "and a half" is 2
	Whole    bool              // nothing else beside it makes it another number: neither ":30" nor "or four"
	Share    [NumRoles]float32 // how likely it answers each question

	from, to int    // its words
	unit     string // letters right behind its digits, "h"
}

// Role is the question that a figure answers.
type Role uint8

// The roles. A figure of none is a time of day, a date, a count.
const (
	RoleNone Role = iota
	RolePain
	RoleSnoring
	RoleSleepiness
	RoleHours
	RoleGuide
	RoleBite
	RoleSetting // of the only side, or the left one
	RoleRight
	NumRoles
)

var roleFields = [NumRoles]chart.Field{RolePain: chart.Pain, RoleSnoring: chart.Snoring, RoleSleepiness: chart.Sleepiness, RoleHours: chart.WornMinutes,
	RoleGuide: chart.GuideMinutes, RoleBite: chart.BiteMinutes, RoleSetting: chart.SettingLeft, RoleRight: chart.SettingRight}

// Field is the question of a role; NoField of none.
func (r Role) Field() chart.Field { return roleFields[min(r, NumRoles-1)] }

// RoleOf is the role of what answers a question with a number; RoleNone where none does.
func RoleOf(f chart.Field) Role {
	if f == chart.NoField {
		return RoleNone
	}
	return Role(max(slices.Index(roleFields[:], f), 0))
}

// Means reports whether the figure can be this answer of a question: minutes may be said in hours, hours with a half behind them.
func (g *Figure) Means(f chart.Field, v chart.Answer) bool {
	n := int(g.N)
	switch {
	case !v.Known():
		return false
	case f == chart.WornMinutes:
		return v.N() == n*60+15*int(g.Quarters) || g.Quarters == 0 && v.N()/60 == n
	case f == chart.GuideMinutes || f == chart.BiteMinutes:
		return v.N() == n || n > 0 && n <= 4 && v.N()/60 == n
	}
	return v.Is(n)
}

//go:embed number.*.toml
var numberFiles embed.FS

// readNumbers reads the words for numbers of all languages, once.
var readNumbers = sync.OnceValues(func() (map[string]int16, error) {
	entries, err := numberFiles.ReadDir(".")
	if err != nil {
		return nil, fmt.Errorf("listing the number words: %w", err)
	}
	words := map[string]int16{}
	for _, e := range entries {
		buf, err := numberFiles.ReadFile(e.Name())
		if err != nil {
			return nil, fmt.Errorf("opening %s: %w", e.Name(), err)
		}
		var page map[string]int16
		if err := toml.Unmarshal(buf, &page); err != nil {
			return nil, fmt.Errorf("reading %s: %w", e.Name(), err)
		}
		maps.Copy(words, page)
	}
	return words, nil
})

// figures finds the numbers of a folded text of these words.
func figures(b []byte, ws []span, numbers map[string]int16, dst []Figure) []Figure {
	say := func(i int) string { return string(b[ws[i].from:ws[i].to]) }
	for i := 0; i < len(ws) && len(dst) < MaxFigures; i++ {
		word := b[ws[i].from:ws[i].to]
		digits := 0
		for digits < len(word) && fold.IsDigit(word[digits]) {
			digits++
		}
		g := Figure{from: i, to: i + 1, Whole: true}
		switch n, ok := numbers[string(word)]; {
		case digits > 0 && digits <= 3:
			for _, c := range word[:digits] {
				g.N = g.N*10 + int16(c-'0')
			}
			g.unit = string(word[digits:])
			if at := int(ws[i].from); at > 0 && (b[at-1] == '-' || b[at-1] == '+' || (b[at-1] == '.' || b[at-1] == ',') && (at == 1 || b[at-2] <= ' ')) { // "pain -3", ".5"
				g.Whole = false
			}
			for g.to < len(ws) && digitsFollow(b, ws[g.to-1], ws[g.to]) { // "4/10", "10:30", "7.5", "3-4"
				switch mark, next := b[ws[g.to-1].to], say(g.to); {
				case mark == '/' && next == "10" && g.N <= 10:
				case (mark == '.' || mark == ',') && g.Quarters == 0 && decimals[next] > 0:
					g.Quarters = decimals[next]
				default:
					g.Whole = false
				}
				g.to++
			}
		case !ok:
			continue
		default:
			g.N = n
			if next := g.to; n >= 20 && n%10 == 0 && next < len(ws) {
				if say(next) == "y" && next+1 < len(ws) {
					next++
				}
				if m := numbers[say(next)]; m > 0 && m < 10 && (m > 1 || say(next) == "one" || say(next) == "uno") {
					g.N, g.to = n+m, next+1
				}
			}
		}
		quarters, split := parts(ws, g.from, g.to, numbers, say)
		g.Quarters, g.Whole = max(g.Quarters, quarters), g.Whole && !split
		dst = append(dst, g)
		i = g.to - 1
	}
	return dst
}

// decimals are the quarters behind a decimal mark.
var decimals = map[string]int16{"25": 1, "5": 2, "50": 2, "75": 3}

// parts gives the quarters that the words beside a figure add to it ("6 and a half", "7 horas y media"), and whether they make
// it a part of another number: "an hour and twenty", "three or four", "7 and a bit".
func parts(ws []span, from, to int, numbers map[string]int16, say func(int) string) (quarters int16, split bool) {
	joins := func(i int) bool {
		switch say(i) {
		case "and", "y", "con", "e":
			return true
		}
		return false
	}
	if from > 1 && joins(from-1) {
		switch say(from - 2) {
		case "hour", "hora", "h", "hr", "hours", "horas", "hrs":
			return 0, true
		}
	}
	for i := to; i < min(to+2, len(ws)); i++ { // right behind it, or behind its unit
		switch say(i) {
		case "to", "or", "o", "a", "u":
			for j := i + 1; j < min(i+3, len(ws)); j++ { // "or maybe 4"
				if _, number := numbers[say(j)]; number || fold.IsDigit(say(j)[0]) {
					return 0, true
				}
			}
		}
		if !joins(i) {
			continue
		}
		for j := i + 1; j < min(i+3, len(ws)); j++ {
			switch say(j) {
			case "half", "media", "medio":
				return 2, false
			case "quarter", "cuarto":
				return 1, false
			case "three", "tres", "cuartos":
				if j+1 < len(ws) && (say(j+1) == "quarters" || say(j+1) == "cuartos") {
					return 3, false
				}
				return 0, true
			case "bit", "pico", "something", "algo":
				return 0, true
			}
		}
	}
	return 0, false
}

// digitsFollow reports whether digits follow a word of a text without a space.
func digitsFollow(b []byte, w, next span) bool {
	return int(next.from) == int(w.to)+1 && b[w.to] > ' ' && fold.IsDigit(b[next.from]) && fold.IsDigit(b[w.to-1])
}

// around is how many words on each side of a figure are heard in their places, beside how many in any.
const (
	around = 4
	wide   = 7
)

// kinds of inputs of figures: all are hashed like those of texts.
const (
	figPlace  kind = 64 + iota // a word, so many words from the figure
	figBarred                  // ... with a mark between
	figPair                    // two words beside it
	figThree                   // three words beside it
	figSide                    // a word on one side of it
	figClose                   // ... with no mark between
	figWord                    // a word of the text
	figSize                    // how large it is
	figSized                   // ... and the word beside it
	figNumber                  // the number
	figUnit                    // its unit
	figCount                   // how many there are, and which it is
)

// inputs lists what is heard of the figure k of a text, each once, in ascending order.
func (g *Figure) inputs(b []byte, ws []span, all []Figure, k int, dst []uint32) []uint32 {
	say := func(j int) []byte { // a word by its place; figures are all alike
		switch {
		case j < 0:
			return []byte{'^'}
		case j >= len(ws):
			return []byte{'$'}
		}
		for i := range all {
			if j >= all[i].from && j < all[i].to {
				return []byte{'#'}
			}
		}
		return b[ws[j].from:ws[j].to]
	}
	place := func(off int) int {
		if off > 0 {
			return g.to - 1 + off
		}
		return g.from + off
	}
	marked := func(off int) byte { // whether a mark stands between the figure and there
		from, to := 0, 0
		if j := place(off); off < 0 {
			if j = max(j, 0); j < g.from {
				from, to = int(ws[j].to), int(ws[g.from].from)
			}
		} else if j = min(j, len(ws)-1); j >= g.to {
			from, to = int(ws[g.to-1].to), int(ws[j].from)
		}
		for _, c := range b[from:to] {
			switch c {
			case ',', '.', ';', '!', '?', '\n', '-':
				return 1
			}
		}
		return 0
	}
	add := func(k kind, extra byte, parts ...[]byte) {
		h := (seed(k) ^ uint32(extra)) * prime
		for _, p := range parts {
			h = mix(h, p)
			h = (h ^ ' ') * prime
		}
		dst = append(dst, settle(h))
	}
	for off := -around; off <= around; off++ {
		if off != 0 {
			add(figPlace, byte(off), say(place(off)))
			add(figBarred, byte(off)<<1|marked(off), say(place(off)))
		}
	}
	add(figPair, 0, say(place(-2)), say(place(-1)))
	add(figPair, 1, say(place(1)), say(place(2)))
	add(figPair, 2, say(place(-1)), say(place(1)))
	add(figThree, 0, say(place(-3)), say(place(-2)), say(place(-1)))
	add(figThree, 1, say(place(1)), say(place(2)), say(place(3)))
	for off := 1; off <= wide; off++ {
		if place(-off) >= 0 {
			add(figSide, 0, say(place(-off)))
			add(figClose, marked(-off), say(place(-off)))
		}
		if place(off) < len(ws) {
			add(figSide, 1, say(place(off)))
			add(figClose, 2|marked(off), say(place(off)))
		}
	}
	for j := max(0, g.from-maxWords/2); j < min(len(ws), g.to+maxWords/2); j++ {
		if j < g.from || j >= g.to {
			add(figWord, 0, say(j))
		}
	}
	size := byte(0)
	for _, top := range []int16{0, 10, 15, 60} {
		if g.N > top {
			size++
		}
	}
	add(figSize, size)
	add(figSized, size<<1, say(place(-1)))
	add(figSized, size<<1|1, say(place(1)))
	add(figNumber, byte(min(g.N, 255)))
	add(figUnit, 0, []byte(g.unit))
	add(figCount, byte(min(len(all), 4)<<4|min(k, 3)))
	slices.Sort(dst)
	return slices.Compact(dst)
}

// FiguresOf finds the figures of a folded text, and what is heard of each.
func FiguresOf(text []byte) ([]Figure, [][]uint32, error) {
	numbers, err := readNumbers()
	if err != nil {
		return nil, nil, err
	}
	ws := words(text, nil)
	all := figures(text, ws, numbers, nil)
	ids := make([][]uint32, len(all))
	for k := range all {
		ids[k] = all[k].inputs(text, ws, all, k, nil)
	}
	return all, ids, nil
}

//go:embed figures.bin
var bytesOfFigures []byte

// Figures hears what each figure of a folded text answers. Of more than MaxFigures none is heard.
func (n *Net) Figures(text []byte) []Figure {
	if n.figures == nil {
		return nil
	}
	var wordBuf [mostFigured]span
	var inputBuf [256]uint32
	ws := words(text, wordBuf[:0])
	if len(ws) > mostFigured {
		return nil
	}
	all := figures(text, ws, n.numbers, nil)
	if len(all) == MaxFigures {
		return nil
	}
	for k := range all {
		ids := all[k].inputs(text, ws, all, k, inputBuf[:0])
		var out [Outputs]float32
		n.figures.sumIDs(ids, &out)
		Softmax(out[:NumRoles])
		copy(all[k].Share[:], out[:])
	}
	return all
}

// mostFigured is how many words a text may have for its figures to be heard; who writes more is asked.
const mostFigured = 120
