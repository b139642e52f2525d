package danger

import (
	_ "embed"
	"slices"

	"duskdawn/flows/chart"
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

// around is how many words on each side of a figure are heard in their places, beside how many in any.
const (
	around = 4
	wide   = 7
)

// kinds of inputs of figures: all are hashed like those of texts.
const (
	figPlace   kind = 64 + iota // a word, so many words from the figure
	figBarred                   // ... with a mark between
	figPair                     // two words beside it
	figThree                    // three words beside it
	figSide                     // a word on one side of it
	figClose                    // ... with no mark between
	figWord                     // a word of the text
	figSize                     // how large it is
	figSized                    // ... and the word beside it
	figNumber                   // the number
	figUnit                     // its unit
	figCount                    // how many there are, and which it is
	cueVerdict                  // heard of an answer
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
		var out [Width]float32
		n.figures.sumIDs(ids, &out)
		Softmax(out[:NumRoles])
		copy(all[k].Share[:], out[:])
	}
	return all
}

// mostFigured is how many words a text may have for its figures to be heard; who writes more is asked.
const mostFigured = 120
