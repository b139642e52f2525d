package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
)

// Hours are told by the clock as well: "in at eleven, out by half five".

// fromTo is the time from one time of day to a later one of the same text.
type fromTo struct {
	minutes  int
	from, to *answer.Clock
	across   bool // a number stands between them that may be one, too
}

// mostLetters is how many letters may stand between the two.
const mostLetters = 120

// spans are the times between two times of day that follow one another, or have no more between them than a bare number.
func (p *prose) spans() (all []fromTo) {
	cs := p.tags.Clocks
	add := func(i, j int) {
		if minutes, ok := cs[i].Worn(&cs[j]); ok && cs[j].From-cs[i].To <= mostLetters {
			all = append(all, fromTo{minutes, &cs[i], &cs[j], j > i+1})
		}
	}
	for i := range cs {
		if i > 0 {
			add(i-1, i)
		}
		if i > 1 && cs[i-1].Bare && !cs[i-2].Bare && !cs[i].Bare {
			add(i-2, i)
		}
	}
	return all
}

// clocks gives the hours between the only two times of day of a text, where it was put in at the one and taken out at the other.
func (p *prose) clocks() {
	long := slices.ContainsFunc(p.ws, func(w word) bool { return w.kind == itemNumber && w.num.kind == isSpan })
	if all := p.spans(); len(all) == 1 && len(p.tags.Clocks) == 2 && !all[0].from.Bare && !all[0].to.Bare && !long && p.any(mouth.or(setOf(cTaken))) && !p.any(setOf(cDrive, cGone)) {
		p.say(chart.WornMinutes, chart.Num(all[0].minutes))
	}
}

// clocksRead reports whether every number that could not be read is a part of the times of day that made the hours, "in at half ten", or of
// one that can be nothing else, beside what was read: "out round 3am, pain 4".
func (p *prose) clocksRead(tokens []reading.Token) bool {
	within := func(w *word, c *answer.Clock) bool { return c.From <= int(w.from) && int(w.to) <= c.To }
	known := slices.ContainsFunc(tokens, func(t reading.Token) bool { return t.Value.Known() })
	spans := p.spans()
	return !slices.ContainsFunc(p.ws, func(w word) bool {
		return w.kind == itemNumber && w.num.kind == isBad &&
			!slices.ContainsFunc(spans, func(s fromTo) bool {
				return slices.Contains(tokens, reading.Token{Field: chart.WornMinutes, Value: chart.Num(s.minutes)}) && (within(&w, s.from) || within(&w, s.to))
			}) &&
			!slices.ContainsFunc(p.tags.Clocks, func(c answer.Clock) bool { return known && !c.Bare && within(&w, &c) })
	})
}

// What is heard of two times of day.
const (
	timesAre        = iota // what kinds of times they are
	timesAmong             // among how many
	timesLast              // how many hours they make
	timesWorn              // whether it was worn, all the night or a part
	timesFrom              // how likely the first is that at which it was put in
	timesTo                // ... the second that at which it was taken out
	timesBoth              // the less likely of the two
	timesEach              // the one and the other
	timesBefore            // what is said before them
	timesBeforeAt          // ... and where
	timesBetween           // between
	timesBehind            // behind them
	timesBehindAt          // ... and where
	timesWordBefore        // the same, word for word
	timesWordBetween
	timesWordBehind
)

// mostAround is how many words are heard before the first of two times and behind the second.
const mostAround = 4

// times adds what stands before, between and behind two times of day that make the hours, and what kinds of times they are.
func (c *cues) times(t reading.Token) {
	p := c.p
	if t.Field != chart.WornMinutes {
		return
	}
	spans := p.spans()
	for _, s := range spans {
		if !t.Value.Is(s.minutes) {
			continue
		}
		kinds := byte(btoi(s.from.Bare) | btoi(s.to.Bare)<<1 | btoi(s.from.Day)<<2 | btoi(s.to.Day)<<3)
		c.add(cueTimes)
		c.add(cueTimes, timesAre, kinds)
		c.add(cueTimes, timesAmong, byte(len(p.tags.Clocks)), byte(len(spans)), byte(btoi(s.across)))
		c.add(cueTimes, timesLast, byte(s.minutes/60))
		c.add(cueTimes, timesWorn, kinds, byte(btoi(p.tags.Way[answer.WayOf(chart.Worn, chart.Num(chart.WornAll))] > 0.5)),
			byte(btoi(p.tags.Way[answer.WayOf(chart.Worn, chart.Num(chart.WornPart))] > 0.5)))
		from, to := p.clocked(s.from, answer.RoleFrom), p.clocked(s.to, answer.RoleTo)
		c.add(cueTimes, timesFrom, stepOf(from))
		c.add(cueTimes, timesTo, stepOf(to))
		c.add(cueTimes, timesBoth, stepOf(min(from, to)), kinds)
		c.add(cueTimes, timesEach, stepOf(from)/2, stepOf(to)/2)
		c.around(&s)
	}
}

// clocked is how likely a time of day has a role, below 0 where no figure is a part of it: "midnight".
func (p *prose) clocked(c *answer.Clock, role answer.Role) (share float32) {
	share = -1
	for i := range p.tags.Figures {
		if g := &p.tags.Figures[i]; c.Has(g) {
			share = max(share, g.Share[role])
		}
	}
	return share
}

// around adds the words before, between and behind two times, by their meaning and as they are written.
func (c *cues) around(s *fromTo) {
	p := c.p
	before, behind, shift := 0, 0, int(p.from)-len(p.lead) // of a part of a text
	for i := len(p.ws) - 1; i >= 0; i-- {
		if int(p.ws[i].to)-shift <= s.from.From && before < mostAround {
			before++
			hi, lo := p.meaning(i).bytes()
			c.add(cueTimes, timesBefore, hi, lo)
			c.add(cueTimes, timesBeforeAt, hi, lo, byte(before))
		}
	}
	for i := range p.ws {
		hi, lo := p.meaning(i).bytes()
		switch w := &p.ws[i]; {
		case int(w.from)-shift >= s.from.To && int(w.to)-shift <= s.to.From:
			c.add(cueTimes, timesBetween, hi, lo)
		case int(w.from)-shift >= s.to.To && behind < mostAround:
			behind++
			c.add(cueTimes, timesBehind, hi, lo)
			c.add(cueTimes, timesBehindAt, hi, lo, byte(behind))
		}
	}
	written := func(zone byte, from, to, most int) {
		for _, w := range answer.WordsIn(p.text, from, to, most) {
			c.add(cueTimes, zone, byte(w), byte(w>>8), byte(w>>16), byte(w>>24))
		}
	}
	written(timesWordBefore, s.from.From-16, s.from.From, 4)
	written(timesWordBetween, s.from.To, s.to.From, 12)
	written(timesWordBehind, s.to.To, s.to.To+24, 3)
}
