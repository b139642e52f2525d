package locales

import (
	"bytes"
	"slices"
	"strconv"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
	"duskdawn/locales/fold"
)

// What is held back is asked about, however likely the net of verdicts takes it to be: it has heard too few sentences of its kind.

// heldBack reports whether a candidate is one of these.
func (p *prose) heldBack(c *Candidate) bool {
	f, day := c.Token.Field, c.Token.Day.Kind != reading.NoDay
	setting := f == chart.SettingLeft || f == chart.SettingRight
	switch {
	case c.claims == votedBarred && !p.claim[f].suspect: // somebody else's, or of something else
		return true
	case p.lost, (p.nameless() || p.initials()) && f.Row().About == chart.LastNight, p.guided && (f == chart.Worn || f == chart.NotWorn): // of which night, or of what?
		return true
	case p.anyTime() && f != chart.Driving, p.otherTime(c.Token), p.retold, day && (!sameNight(c.Token.Day, reading.Day{}) && p.strays() || p.any(setOf(cBar))):
		return true
	}
	if p.wished(c.Token) || p.swapped() || p.byClock(c.Token) || p.measured(c.Token) || p.grew(c.Token) || p.notTheirs(c.Token) || p.crossed(c.Token) || p.vague(c.Token) {
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
		return p.any(setOf(cStored)) || p.anyNot(setOf(cAllNight)) || slices.ContainsFunc(p.ws, func(w word) bool { return w.early() })
	case t.Field == chart.Worn && t.Value.Is(chart.WornNo): // "did not put it in until two"
		return slices.ContainsFunc(p.ws, func(w word) bool { return w.until })
	case t.Field == chart.Gone: // "nearly gone by nine"
		return p.any(setOf(cNearly))
	case t.Field == chart.WornMinutes: // "snored for three hours"
		return p.any(setOf(cSnore)) && !p.any(setOf(cWorn, cUsed, cPutIn, cTaken, cAppliance, cSlept, cAllNight)) && p.figures() == 1
	}
	return false
}

// early reports whether something ended at a time that is no end of a night: "until four and a half".
func (w *word) early() bool {
	switch {
	case !w.until:
		return false
	case w.num.kind == isClock:
		return w.num.n < mostOfNight
	}
	return (w.num.kind == isNumber || w.num.kind == isBad && w.num.doubt == reading.IsHalf) && w.num.n < mostOfNight/60
}

// butOne reports whether both sides of the bite, or a night, are told with an exception: "ok, just on the left".
func (p *prose) butOne(t reading.Token) bool {
	return t.Field == chart.Bite && t.Value.Is(chart.BiteBoth) && p.any(setOf(cBar, cOnly)) || t.Field == chart.Worn && p.any(setOf(cBar))
}

// wished reports whether a number is what something ought to be, or is told for a case: "it is at 5, should be at 4", "10 minutes if needed",
// "I should not drive".
func (p *prose) wished(t reading.Token) bool {
	switch t.Field {
	case chart.SettingLeft, chart.SettingRight, chart.Guide, chart.GuideMinutes, chart.WornMinutes:
		if p.seen()&signAdvised != 0 {
			return true
		}
	}
	return (t.Field == chart.Driving || t.Field == chart.Guide || answer.RoleOf(t.Field) != answer.RoleNone) && p.seen()&signOught != 0
}

// measured reports whether the number of a setting is a length or a share, which no step has: "advanced 5 mm", "at 60 %".
func (p *prose) measured(t reading.Token) bool {
	if t.Field != chart.SettingLeft && t.Field != chart.SettingRight || !t.Value.Known() {
		return false
	}
	var buf [32]fold.Span
	number := strconv.Itoa(t.Value.N())
	words := fold.Words(p.text, buf[:0])
	for i, w := range words {
		glued, ok := bytes.CutPrefix(p.text[w.From:w.To], []byte(number))
		if !ok || len(glued) > 0 && fold.IsDigit(glued[0]) {
			continue
		}
		unit := p.text[int(w.From)+len(number):]
		if i+longestUnit < len(words) {
			unit = p.text[int(w.From)+len(number) : words[i+longestUnit].To]
		}
		if bytes.HasPrefix(bytes.TrimLeft(unit, " "), []byte("%")) || p.d.signsIn(unit, "")&signMeasure != 0 {
			return true
		}
	}
	return false
}

// longestUnit is how many words a unit has at most: "per cent".
const longestUnit = 2

// swapped reports whether two numbers are said to take each other's place, and it is not plain which ones.
func (p *prose) swapped() bool {
	return p.figures() > 1 && p.seen()&signSwap != 0
}

// byClock reports whether the number of a score is nowhere else than in a time of day: "it is eight in the evening and the pain is still there".
func (p *prose) byClock(t reading.Token) bool {
	if p.named(t) { // "pain 5 in the morning"
		return false
	}
	clock := false
	for i := range p.ws {
		if w := &p.ws[i]; w.kind == itemNumber && w.num.kind == isNumber && t.Value.Is(int(w.num.n)) {
			if !p.isClock(i) {
				return false
			}
			clock = clock || i+1 < len(p.ws) && p.ws[i+1].among(setOf(cAM, cPM, cMorning, cAfternoon, cEvening))
		}
	}
	return clock && t.Field.Row().Kind == chart.Scale
}

// grew reports whether a score was another, and higher, at another time of the night: "2 at first, 6 by morning".
func (p *prose) grew(t reading.Token) bool {
	role := answer.RoleOf(t.Field)
	if t.Field.Row().Kind != chart.Scale || role == answer.RoleNone || p.seen()&signGrew == 0 {
		return false
	}
	for i := range p.ws {
		w := &p.ws[i]
		if w.kind != itemNumber || w.num.kind != isNumber || w.until || int(w.num.n) <= t.Value.N() || int(w.num.n) > t.Field.Row().Most ||
			i > 0 && p.ws[i-1].among(setOf(cAt, cBy, cSince, cAfter)) {
			continue
		}
		if slices.ContainsFunc(p.tags.Figures, func(g answer.Figure) bool {
			return g.N == int16(w.num.n) && g.Share[role]+g.Share[answer.RoleNone] > perhaps
		}) {
			return true
		}
	}
	return false
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
	at := slices.IndexFunc(p.ws, func(w word) bool { return w.isDay() })
	if p.days == 1 && !p.part && at >= 0 && p.dayAmid(inSentence) > 2 { // "netball is Monday. Pain 1"
		return true
	}
	return p.days == 1 && !p.part && p.dayPlace() != 1 && p.dayAmid(inClause) > 2
}
