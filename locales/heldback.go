package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// What is held back is asked about, however likely the net of verdicts takes it to be: it has heard too few sentences of its kind.

// heldBack reports whether a candidate is one of these.
func (p *prose) heldBack(c *Candidate) bool {
	f, day := c.Token.Field, c.Token.Day.Kind != reading.NoDay
	setting := f == chart.SettingLeft || f == chart.SettingRight
	switch {
	case c.claims == votedBarred && !p.claim[f].suspect: // somebody else's, or of something else
		return true
	case p.anyTime(), p.otherTime(c.Token), p.retold, day && (!sameNight(c.Token.Day, reading.Day{}) && p.strays() || p.any(setOf(cBar))): // of which night?
		return true
	}
	return p.twice || p.notBack(c.Token) || setting && (p.unsettled() || p.any(setOf(cUnsure))) || p.notHere(c.Token) || p.butOne(c.Token)
}

// suspect reports whether a candidate may be what is only asked about, or what was put right.
func (p *prose) suspect(c *Candidate) bool {
	return c.claims == votedBarred || p.asks && c.claims != votedSo
}

// notHere reports whether a whole night, or hours, are told with where the appliance was, or with what else was worn: "all night in the box".
func (p *prose) notHere(t reading.Token) bool {
	switch {
	case t.Field == chart.Worn && t.Value.Is(chart.WornAll):
		return p.any(setOf(cStored)) || p.anyNot(setOf(cAllNight))
	case t.Field == chart.WornMinutes: // "snored for three hours"
		return p.any(setOf(cSnore)) && !p.any(setOf(cWorn, cUsed, cPutIn, cTaken, cAppliance, cSlept, cAllNight)) && p.figures() == 1
	}
	return false
}

// butOne reports whether both sides of the bite, or a night, are told with an exception: "ok, just on the left".
func (p *prose) butOne(t reading.Token) bool {
	return t.Field == chart.Bite && t.Value.Is(chart.BiteBoth) && p.any(setOf(cBar, cOnly)) || t.Field == chart.Worn && p.any(setOf(cBar))
}

// figures counts the numbers of a text.
func (p *prose) figures() (n int) {
	for i := range p.ws {
		n += btoi(p.ws[i].kind == itemNumber)
	}
	return n
}

// untold reports whether an answer is read of a word that says something else here: "snored until 4" tells of no pain.
func (p *prose) untold(t reading.Token) bool {
	return t.Field == chart.Gone && !p.any(aches.or(setOf(cPain, cSore))) && slices.ContainsFunc(p.ws, func(w word) bool { return w.until }) &&
		p.any(setOf(cSnore, cWorn, cUsed, cPutIn, cSlept, cBite, cAllNight, cTaken, cAppliance, cIn))
}

// anyTime reports whether a text tells of no night in particular, or of one that the diary does not reach: "as a rule", "three weeks
// ago", and neither today nor a day beside it.
func (p *prose) anyTime() bool {
	return p.any(setOf(cHabit)) || p.any(setOf(cElsewhen)) && !p.any(setOf(cToday)) && p.days == 0
}

// otherTime reports whether an answer stands in a breath with a time that the diary does not reach: "sleepy was 6 last week, no headache today".
func (p *prose) otherTime(t reading.Token) bool {
	return p.any(setOf(cElsewhen)) && slices.ContainsFunc(p.ws, func(n word) bool {
		of := n.kind == itemNumber && t.Value.Is(int(n.num.n)) || n.is(cField+concept(t.Field)) || n.kind == itemAnswer && n.field == t.Field
		beside := func(c concept) bool {
			return slices.ContainsFunc(p.ws, func(w word) bool { return w.is(c) && inClause(&w, &n) })
		}
		return of && beside(cElsewhen) && !beside(cToday)
	})
}

// notBack reports whether minutes of the bite stand beside a bite that is not back: "still not back after 30 min".
func (p *prose) notBack(t reading.Token) bool {
	return t.Field == chart.BiteMinutes && !t.Value.Is(chart.BiteNot) && (p.anyNot(setOf(cBack)) || p.any(setOf(cStill)))
}

// unsettled reports whether it cannot be told of which day a setting is, which of two numbers it is, or of which side.
func (p *prose) unsettled() bool {
	return p.part || p.unfixed || p.flips() || p.mended && p.any(setOf(cLeft, cRight)) || (p.any(setOf(cFix)) || p.anyNot(setOf(cFix))) && p.any(setOf(cLeft, cRight))
}

// strays reports whether the one day that a text names stands behind what is told, in a breath of its own with words that nobody knows:
// "pain 1, netball is Monday".
func (p *prose) strays() bool {
	return p.days == 1 && !p.part && p.dayPlace() != 1 && p.dayAmid(inClause) > 2
}
