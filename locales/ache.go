package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/locales/danger"
)

// pain finds that there is none, where it is, and whether it woke.
func (p *prose) pain() {
	site, sites := chart.Unknown, 0
	hurts := p.has(chart.Pain) && !p.is(chart.Pain, 0)
	for i := range p.ws {
		w := &p.ws[i]
		pos, neg, unknown := p.beside(i, inClause)
		both := pos.or(neg)
		switch {
		case w.denied(setOf(cPain)) && !both.meets(setOf(cWoke, cGone, cLittle, cOtherPain, cWorse)) && !p.timed(i) && !p.others(i):
			all, not, _ := p.beside(i, inSentence)
			if hurts || p.any(aches) || all.has(cWoke) && i+1 < len(p.ws) && p.ws[i+1].is(cNot) || all.or(not).meets(setOf(cUncomf, cHead)) {
				continue
			}
			p.say(chart.Pain, chart.Num(0))
		case w.kind == itemAnswer && w.field == chart.Woken && !w.not:
			p.say(chart.Woken, w.value)
		case w.said(setOf(cWoke)):
			switch {
			case pos.meets(aches) && p.near(i, 4, aches), hurts && unknown == 0 && !pos.meets(setOf(cThem, cChild, cPartner)):
				p.say(chart.Woken, chart.Num(chart.Yes))
			case neg.meets(aches) || p.anyNot(aches) && !p.any(aches):
				p.say(chart.Woken, chart.Num(chart.No))
			default:
				p.suspects(chart.Woken)
			}
		case w.denied(setOf(cWoke)) && both.meets(aches):
			p.say(chart.Woken, chart.Num(chart.No))
		}
		if w.among(sitesOf) && p.others(i) {
			p.bar(chart.Where)
		}
		for c, n := range sites2 {
			if w.said(setOf(c)) && chart.Num(n) != site && (c != cTeeth && c != cFront || !p.any(setOf(cMeet, cBite, cGuide))) {
				site = chart.Num(n)
				sites++
			}
		}
	}
	if p.is(chart.Woken, chart.No) && !p.has(chart.Pain) {
		p.suspects(chart.Pain) // "woke, but not from pain"
	}
	if p.is(chart.NotWorn, chart.ReasonIll) {
		p.doubt(chart.Nose)
	}
	if sites == 1 && len(p.ws) <= 4 && p.unknown <= 1 && !p.any(setOf(cMeet, cBite, cGuide, cSetting, cSwell, cLoose, cBroke, cUnsure, cMaybe)) && p.hears[danger.MatterPain] >= 0.3 &&
		!slices.ContainsFunc(p.ws, func(w word) bool { return w.not || w.kind == itemNumber }) {
		p.say(chart.Where, site) // "in the gum"
	}
	if sites == 1 && (hurts || p.is(chart.NotWorn, chart.ReasonPain) || p.any(aches) && p.hears[danger.MatterPain] >= 0.15) && !p.is(chart.Pain, 0) {
		p.say(chart.Where, site)
	}
}

var sites2 = map[concept]int{cFront: chart.SiteTooth, cJoint: chart.SiteJoint, cMuscle: chart.SiteMuscle, cTooth: chart.SiteTooth, cGum: chart.SiteGum, cTeeth: chart.SiteTooth}

// timed reports whether a time of day is told in the clause of a word, or right beside it.
func (p *prose) timed(i int) bool {
	for j := range p.ws {
		if p.ws[j].clause == p.ws[i].clause && (p.ws[j].said(dayTimes) || p.isClock(j)) {
			return true
		}
	}
	return false
}

var dayTimes = setOf(cMorning, cNoon, cAfternoon, cEvening)

// gone finds when the pain went.
func (p *prose) gone() {
	if p.is(chart.Pain, 0) {
		return
	}
	hurts := p.has(chart.Pain) || p.any(aches.or(sitesOf)) || p.anyNot(aches) || p.hears[danger.MatterGone] >= 0.3
	for i := range p.ws {
		w := &p.ws[i]
		pos, neg, unknown := p.beside(i, inClause)
		if all, not, _ := p.beside(i, inSentence); all.or(not).meets(setOf(cWorn, cIn, cTaken)) && !w.among(setOf(cGone, cStill)) && !pos.or(neg).meets(aches.or(setOf(cGone))) {
			continue // "wore it till three, then out, it hurt"
		}
		here := pos.or(neg).meets(aches.or(sitesOf))
		if pos.or(neg).meets(setOf(cSnore, cBite, cTeeth, cMeet, cGuide, cSetting, cWorn, cIn, cTaken, cSleepy, cDrive, cHeadache)) {
			continue
		}
		went := w.said(setOf(cGone)) && hurts && (here || unknown <= 3) || w.denied(aches) && p.timed(i) ||
			w.said(setOf(cStopped)) && pos.meets(aches)
		switch {
		case w.denied(setOf(cGone)) && hurts:
			p.say(chart.Gone, chart.Num(chart.GoneNo))
		case w.said(setOf(cStill)) && (here || hurts && unknown == 0 || len(p.ws) <= 4 && p.timed(i)):
			p.say(chart.Gone, chart.Num(chart.GoneNo))
		case went:
			if v := p.dayTime(i); v != 0 {
				p.say(chart.Gone, chart.Num(v))
			}
		}
	}
}

// dayTime gives the one part of the day that is told within a few words of a word; 0 where there is none, or several.
func (p *prose) dayTime(i int) int {
	at := 0
	for j := max(i-6, 0); j < min(i+7, len(p.ws)); j++ {
		w, v := &p.ws[j], 0
		if w.sentence != p.ws[i].sentence || w.not {
			continue
		}
		switch {
		case p.isClock(j):
			h := p.hour(j)
			pm := p.beside2(j, setOf(cPM, cAfternoon, cEvening))
			am := p.beside2(j, setOf(cAM, cMorning))
			if w.num.kind != isClock && !am && (pm && h < 12 || h >= 1 && h <= 5) {
				h += 12
			}
			switch {
			case h > 13, h == 13 && w.num.kind == isClock && w.num.n%60 > 0:
				v = chart.GoneAfternoon
			case h > 11, h == 11 && w.num.kind == isClock && w.num.n%60 > 0:
				v = chart.GoneMidday
			default:
				v = chart.GoneMorning
			}
		case j > 0 && p.isClock(j-1) && w.among(setOf(cMorning, cAfternoon, cEvening)): // "one in the afternoon" is midday
		case w.is(cMorning):
			v = chart.GoneMorning
		case w.is(cNoon) && j > 0 && p.ws[j-1].is(cAfter):
			v = chart.GoneAfternoon
		case w.is(cNoon):
			v = chart.GoneMidday
		case w.is(cAfternoon), w.is(cEvening):
			v = chart.GoneAfternoon
		}
		if v != 0 && at != 0 && v != at {
			return 0
		}
		if v != 0 {
			at = v
		}
	}
	return at
}

// beside2 reports whether the word right after or before is one of several concepts.
func (p *prose) beside2(i int, set concepts) bool {
	return i+1 < len(p.ws) && p.ws[i+1].said(set) || i > 0 && p.ws[i-1].said(set)
}
