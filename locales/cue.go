package locales

import (
	"math/bits"
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
	"duskdawn/locales/danger"
)

// What the net of verdicts hears of a candidate: who proposed it, how likely the other nets take it to be, what else is so of the
// text, and what is said around it. Each is heard by itself, with the question, and with what the readers made of that.

// steps are the shares that the net tells apart.
var steps = [...]float32{-0.5, 0.02, 0.06, 0.12, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.88, 0.94, 0.97, 0.985, 0.993, 0.997, 0.999, 0.9997, 0.9999}

// stepOf counts the steps up to a share; 0 is of none.
func stepOf(share float32) (n byte) {
	for _, s := range steps {
		n += byte(btoi(share >= s))
	}
	return n
}

// lengths are the numbers of words that the net tells apart.
var lengths = [...]int{2, 4, 6, 9, 13, 18, 25}

// The kinds of cues.
const (
	cueField  = iota // the question, the answer, what the readers made of it
	cueTrait         // what is so of the text or of the candidate
	cueCross         // two shares
	cueWord          // a meaning in the text
	cuePair          // two, one behind the other
	cueBeside        // a meaning so many words from the number
	cueRival         // another number that may be the answer, and a word between
	cueTimes         // two times of day that make the hours, and a meaning around them
)

// numbered is how answers that are numbers are heard, all but none.
const numbered = 255

// cues are what is heard of one candidate.
type cues struct {
	p               *prose
	field, kind, by byte
	ids             []uint32
}

func (c *cues) add(kind byte, values ...byte) { c.ids = append(c.ids, answer.Cue(kind, values...)) }

// trait adds something that is so, in three ways.
func (c *cues) trait(which int, n byte) {
	c.add(cueTrait, byte(which), n)
	c.add(cueTrait, byte(which), n, 1, c.field)
	c.add(cueTrait, byte(which), n, 2, c.by)
}

// hear lists what the net of verdicts hears of each candidate.
func (p *prose) hear(all []Candidate, r *reading.Reading, h *danger.Hearing) {
	meanings, text := p.meanings(), p.traits(r, h)
	for i := range all {
		t := all[i].Token
		c := cues{p: p, field: byte(t.Field), kind: numbered, by: byte(all[i].grammar)<<4 | byte(all[i].claims),
			ids: make([]uint32, 0, 3*(len(text)+10)+32+6*len(meanings))}
		if t.Value.Is(0) || answer.RoleOf(t.Field) == answer.RoleNone {
			c.kind = byte(t.Value.N())
		}
		c.add(cueField, c.field)
		c.add(cueField, c.field, c.kind)
		c.add(cueField, c.by, 0, 0)
		c.add(cueField, c.field, c.by, 0, 0)
		c.add(cueField, c.field, c.kind, c.by, 0, 0)
		for k, n := range text {
			c.trait(k, n)
		}
		c.own(t, all)
		c.words(meanings)
		c.times(t)
		if _, _, counted := p.counted(t.Field, t.Value); counted {
			c.beside(t.Value, meanings)
			c.rivals(t)
		}
		slices.Sort(c.ids)
		all[i].Cues = slices.Compact(c.ids)
	}
}

// traits are what is so of a text.
func (p *prose) traits(r *reading.Reading, h *danger.Hearing) []byte {
	words := byte(0)
	for _, n := range lengths {
		words += byte(btoi(len(p.ws) >= n))
	}
	out := []byte{stepOf(h.Seems), stepOf(h.Answers()), stepOf(h.Any()), byte(min(p.unknown, 6)), words, byte(min(len(p.tags.Figures), 5)),
		byte(min(p.loners, 3)), byte(min(p.days, 5))}
	for _, so := range []bool{r.Rest, p.mended, p.unfixed, p.contrary, p.maybe, p.any(setOf(cFix)), p.any(setOf(cSorry)), p.flips(),
		p.part, p.asks, r.Doubt != reading.NoDoubt, r.Hedges&reading.HedgeOther != 0, r.Hedges&reading.HedgePast != 0,
		r.Hedges&reading.HedgeNot != 0, r.Hedges&reading.HedgeTale != 0, p.any(setOf(cToday))} {
		out = append(out, byte(btoi(so)))
	}
	return append(out, p.dayPlace(), byte(btoi(len(p.lead) > 0)), p.dayAmid(inClause), p.dayAmid(inSentence))
}

// dayAmid is what stands beside the first day that a text names: what is answered, nothing at all, or words that nobody knows, as of
// what else is on that day ("netball is Monday, pain 1").
func (p *prose) dayAmid(in where) byte {
	at := slices.IndexFunc(p.ws, func(w word) bool { return w.isDay() })
	if at < 0 {
		return 0
	}
	unknown := 0
	for i := range p.ws {
		switch w := &p.ws[i]; {
		case i == at || !in(w, &p.ws[at]):
		case w.is(cSetting): // "is on" Monday
		case w.kind == itemNumber, w.kind == itemAnswer, w.among(topical.or(mouth).or(setOf(cAllNight, cPartNight))):
			return 1
		case w.kind == itemUnknown:
			unknown++
		}
	}
	return byte(2 + min(unknown, 3))
}

// dayPlace is where the one day that a text names stands: at its beginning, at its end, or within.
func (p *prose) dayPlace() byte {
	at := slices.IndexFunc(p.ws, func(w word) bool { return w.isDay() })
	switch {
	case at < 0:
		return 0
	case at <= 1:
		return 1
	case at >= len(p.ws)-2:
		return 2
	}
	return 3
}

// ofCandidate is where the traits of a candidate begin.
const ofCandidate = 100

// own adds what the other nets make of the candidate.
func (c *cues) own(t reading.Token, all []Candidate) {
	p := c.p
	own, open, matter, least := float32(-1), float32(-1), float32(-1), float32(-1)
	way := answer.WayOf(t.Field, t.Value)
	if way < answer.NumWays {
		own, open, least = p.tags.Way[way], p.tags.Way[answer.WayOpen(t.Field)], p.tags.Least[way]
	}
	other, later := p.rivalWay(t.Field, way)
	if m := danger.MatterOf(t.Field); m < danger.NumMatters {
		matter = p.hears[m]
	}
	figure, believed, counted := p.counted(t.Field, t.Value)
	if !counted {
		figure, believed = -1, -1
	}
	rival, elsewhere, whole := p.figured(t)
	seen, of := fieldSet(0), 0
	for i := range all {
		seen |= 1 << all[i].Token.Field
		of += btoi(all[i].Token.Field == t.Field)
	}
	o, f := stepOf(own), stepOf(figure)
	for i, n := range []byte{o, stepOf(other), stepOf(open), f, stepOf(rival), stepOf(elsewhere), stepOf(matter), byte(btoi(whole)),
		byte(min(bits.OnesCount64(uint64(seen)), 6)), byte(of), stepOf(other)<<1 | byte(btoi(later)),
		stepOf(least), stepOf(believed)} {
		c.trait(ofCandidate+i, n)
	}
	c.add(cueCross, 0, c.by, c.field, o/2)
	c.add(cueCross, 1, c.by, c.field, f/2)
	c.add(cueCross, 2, c.field, o/2, f/2)
	c.add(cueCross, 3, o, stepOf(other)/2)
	c.add(cueCross, 4, f, stepOf(rival)/2)
	c.add(cueCross, 5, c.field, c.kind, o)
	c.add(cueCross, 6, o, stepOf(matter)/2)
	c.add(cueCross, 7, c.field, o/2, stepOf(least)/2)
	c.add(cueCross, 8, c.field, f/2, stepOf(believed)/2)
}

// figured is how likely another figure answers the question, how likely the figure of an answer answers another question, and
// whether it is whole.
func (p *prose) figured(t reading.Token) (rival, elsewhere float32, whole bool) {
	role := answer.RoleOf(t.Field)
	for i := range p.tags.Figures {
		switch g := &p.tags.Figures[i]; {
		case g.Means(t.Field, t.Value):
			whole = whole || g.Whole
			for other, s := range g.Share {
				if answer.Role(other) != role {
					elsewhere = max(elsewhere, s)
				}
			}
		case role != answer.RoleNone:
			rival = max(rival, g.Share[role])
		}
	}
	return rival, elsewhere, whole
}

// words adds what is said, wherever it stands, and every two that stand together.
func (c *cues) words(meanings []meaning) {
	for i, m := range meanings {
		hi, lo := m.bytes()
		c.add(cueWord, hi, lo, 0, c.field)
		c.add(cueWord, hi, lo, 1, c.field, c.kind)
		c.add(cueWord, hi, lo, 2, c.by)
		if i > 0 {
			before, low := meanings[i-1].bytes()
			c.add(cuePair, before, low, hi, lo, c.field)
			c.add(cuePair, before, low, hi, lo, c.field, c.kind)
		}
	}
}

// beside adds what stands up to three words from a number that means the answer.
func (c *cues) beside(v chart.Answer, meanings []meaning) {
	at, ws := -1, c.p.ws
	for i := range ws {
		if at++; i > 0 && (ws[i-1].sentence != ws[i].sentence || ws[i-1].clause != ws[i].clause) {
			at++ // a mark
		}
		if ws[i].kind != itemNumber || int(ws[i].num.n) != v.N() {
			continue
		}
		for off := -3; off <= 3; off++ {
			m := meansElse | meansNot
			if j := at + off; j >= 0 && j < len(meanings) {
				m = meanings[j]
			}
			if off != 0 {
				hi, lo := m.bytes()
				c.add(cueBeside, c.field, byte(off), hi, lo)
			}
		}
	}
}

// rivals adds whether the number that means the answer stands before or behind another one that may answer the question, and the
// words between them: "six, make it seven".
func (c *cues) rivals(t reading.Token) {
	role := answer.RoleOf(t.Field)
	all := c.p.tags.Figures
	for i := range all {
		if !all[i].Means(t.Field, t.Value) || all[i].Share[role] < likely {
			continue
		}
		for j := range all {
			if all[j].Means(t.Field, t.Value) || all[j].Share[role] < likely {
				continue
			}
			first := byte(btoi(all[i].Before(&all[j])))
			c.add(cueRival, first)
			c.add(cueRival, first, stepOf(all[i].Share[role])/2, stepOf(all[j].Share[role])/2)
			for _, w := range answer.Between(c.p.text, &all[i], &all[j]) {
				c.add(cueRival, first, byte(w), byte(w>>8), byte(w>>16), byte(w>>24))
			}
		}
	}
}
