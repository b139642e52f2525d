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
	if p.wished(c.Token) || p.notTheirs(c.Token) || p.crossed(c.Token) || p.vague(c.Token) {
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
	case t.Field == chart.Worn && t.Value.Is(chart.WornNo): // "did not put it in until two"
		return slices.ContainsFunc(p.ws, func(w word) bool { return w.until })
	case t.Field == chart.Gone: // "nearly gone by nine"
		return p.any(setOf(cNearly))
	case t.Field == chart.WornMinutes: // "snored for three hours"
		return p.any(setOf(cSnore)) && !p.any(setOf(cWorn, cUsed, cPutIn, cTaken, cAppliance, cSlept, cAllNight)) && p.figures() == 1
	}
	return false
}

// butOne reports whether both sides of the bite, or a night, are told with an exception: "ok, just on the left".
func (p *prose) butOne(t reading.Token) bool {
	return t.Field == chart.Bite && t.Value.Is(chart.BiteBoth) && p.any(setOf(cBar, cOnly)) || t.Field == chart.Worn && p.any(setOf(cBar))
}

// wished reports whether a number is what something ought to be: "it is at 5, should be at 4".
func (p *prose) wished(t reading.Token) bool {
	f := t.Field
	return (f == chart.SettingLeft || f == chart.SettingRight || f == chart.GuideMinutes) && p.d.signsIn(p.text, "")&signOught != 0
}

// notTheirs reports whether a setting, a pain or a headache stands beside somebody else who tells nothing of the wearer: "my wife's is at 6", "my
// husband had no pain".
func (p *prose) notTheirs(t reading.Token) bool {
	switch t.Field {
	case chart.SettingLeft, chart.SettingRight, chart.Pain, chart.Headache:
		return p.any(setOf(cPartner, cThem)) && !p.any(setOf(cSays, cHeard))
	}
	return false
}

// vague reports whether a number is only what something is more or less than: "more than 7", "not even 3 hours".
func (p *prose) vague(t reading.Token) bool {
	for i := 1; i < len(p.ws); i++ {
		n, before := &p.ws[i], &p.ws[i-1]
		if n.kind == itemNumber && inClause(before, n) && (t.Value.Is(int(n.num.n)) || n.num.hours && t.Value.Is(60*int(n.num.n))) &&
			(before.among(setOf(cWorse, cNearly)) || before.is(cNot) && p.figures() == 1) {
			return true
		}
	}
	return false
}

// crossed reports whether a number stands between the names of two questions, and another behind the second: "setting 4 hours 7".
func (p *prose) crossed(t reading.Token) bool {
	for i := 1; i+1 < len(p.ws); i++ {
		span, name, next := &p.ws[i], &p.ws[i-1], &p.ws[i+1]
		if span.kind == itemNumber && span.num.kind == isSpan && span.num.hours && next.kind == itemNumber && inClause(span, next) && inClause(name, span) &&
			name.among(setOf(cSetting, cSnore, cPain, cSleepy, cGuide)) && (t.Field == chart.WornMinutes || name.is(cField+concept(t.Field))) {
			return true
		}
	}
	return false
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
		(p.any(setOf(cSnore, cWorn, cUsed, cPutIn, cSlept, cBite, cAllNight, cTaken, cAppliance, cIn)) || p.anyNot(setOf(cWorn, cUsed, cPutIn, cIn)) ||
			slices.ContainsFunc(p.ws, func(w word) bool { return w.kind == itemAnswer && w.field == chart.Worn }))
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
