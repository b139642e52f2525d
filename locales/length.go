package locales

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
)

// lengths shares the lengths of time out among what is told in them.
func (p *prose) lengths() {
	restored := p.any(setOf(cMeet, cBite, cTeeth))
	inside, hurts := p.any(mouth), p.any(aches)
	p.loners += p.pairs(func(i int) topic {
		w := &p.ws[i]
		switch {
		case w.kind == itemAnswer && w.field == chart.Bite:
			return tBite
		case w.kind != itemConcept:
			return tNone
		case w.not && w.c != cPain, w.c == cGuide && p.unworn(i):
			return tNone
		case w.c == cGuide:
			return tGuide
		case w.among(setOf(cBite, cMeet)) && p.speaksOf(i, setOf(cWorn, cUsed)) && !p.speaksOf(i, setOf(cOK, cBack, cGone)):
			return tNone // "used what I bite on for fifteen minutes"
		case w.among(setOf(cBite, cTeeth, cMeet, cBack)) && restored:
			return tBite
		case w.among(setOf(cIn, cWorn, cUsed)) && p.near(i, 2, setOf(cGuide)) && p.speaksOf(i, setOf(cGuide)), w.c == cSlept && inside:
			return tNone
		case w.among(setOf(cWorn, cIn, cTaken, cAllNight, cPartNight)):
			return tWorn
		case w.c == cGone && restored && !hurts:
			return tNone
		case w.among(setOf(cDrive, cSlept, cLipSeal, cWeek, cPain, cGone, cSleepy)):
			return tElse
		}
		return tNone
	}, func(i int) bool { return p.ws[i].kind == itemNumber && p.ws[i].num.kind == isSpan }, p.length)
}

// length keeps a length of time.
func (p *prose) length(t topic, at int) bool {
	n := int(p.ws[at].num.n)
	if t == tNone && p.alone(at) || p.part && (t == tNone || t == tElse) && p.ws[at].num.hours && n >= 60 && n <= 14*60 && !p.any(setOf(cGuide, cBite, cMeet, cDrive, cSlept)) {
		t = tWorn
	}
	if at > 0 && p.ws[at-1].kind == itemNumber && p.ws[at-1].num.kind == isNumber && !p.isClock(at-1) { // "seven, eight hours"
		p.doubt(chart.WornMinutes)
		return true
	}
	if t == tGuide && at > 0 && p.ws[at-1].clause == p.ws[at].clause && p.ws[at-1].is(cAfter) && p.any(bites) {
		p.doubt(chart.GuideMinutes) // "they met twenty minutes after the guide"
		return true
	}
	f := map[topic]chart.Field{tGuide: chart.GuideMinutes, tBite: chart.BiteMinutes, tWorn: chart.WornMinutes}[t]
	if at > 0 && p.ws[at-1].clause == p.ws[at].clause && p.ws[at-1].among(setOf(cWorse, cNearly, cLittle, cOr, cMaybe)) {
		p.doubt(f)
		return true
	}
	switch {
	case f == chart.NoField:
		return t != tNone
	case t != tWorn && p.ws[at].num.hours && (at == 0 || p.ws[at-1].clause != p.ws[at].clause): // "7 h bite ok"
	case n > f.Row().Said, f == chart.WornMinutes && n < 60, f == chart.BiteMinutes && n > 4*60:
		p.doubt(f)
	default:
		p.say(f, chart.Num(n))
	}
	return true
}

// alone reports whether hours are all that a clause says, and the text is of the night: "six hours, then it hurt".
func (p *prose) alone(at int) bool {
	pos, neg, unknown := p.beside(at, inClause)
	few := setOf(cFor, cAnd, cBut, cJust, cYes, cHalfway)
	if n := p.ws[at].num.n; p.ws[at].num.hours && n >= 3*60 && n <= mostHours*60 && len(p.ws) <= 3 && unknown <= 1 && pos.and(few) == pos &&
		p.tags.Way[answer.WayOf(chart.WornMinutes, chart.Num(60))] >= 0.7 {
		return true // "seven hours exactly"
	}
	if at+1 < len(p.ws) && p.ws[at+1].clause == p.ws[at].clause && p.ws[at+1].kind == itemUnknown {
		return false // "12 hours duty"
	}
	if !p.ws[at].num.hours || unknown > 1 || !neg.empty() || pos.and(few) != pos {
		return false
	}
	if n := p.ws[at].num.n; n >= 3*60 && n <= 12*60 && unknown == 0 && p.tags.Way[answer.WayOf(chart.WornMinutes, chart.Num(60))] >= 0.04 {
		return true // "7 hours, pain 2"
	}
	return p.any(failing.or(mouth).or(setOf(cTaken, cAllNight, cPartNight))) || len(p.ws) <= 3
}

// rivals takes the hours back where another number may be them: "10 hr reset, had it in for 8 of them", "six hours, if
// you can trust it".
func (p *prose) rivals() {
	if !p.has(chart.WornMinutes) {
		return
	}
	for i := range p.ws {
		w := &p.ws[i]
		if w.is(cUnsure) || w.kind == itemNumber && (w.num.kind == isNumber || w.num.kind == isBad && w.num.doubt == reading.IsHalf) && w.num.n <= 12 && !p.isClock(i) &&
			p.speaksOf(i, mouth.or(setOf(cFor, cAllNight))) && !p.speaksOf(i, scored) {
			p.doubt(chart.WornMinutes)
			return
		}
	}
}

// scored are the names of what is told in scores, settings and minutes.
var scored = setOf(cPain, cSore, cSnore, cLoud, cSleepy, cSetting, cStands, cStillAt, cTurn, cGuide, cBite, cHeadache).or(sitesOf)

// mostHours is how many hours are worn in a night, at most, where nothing else says so.
const mostHours = 10
