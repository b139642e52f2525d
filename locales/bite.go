package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/locales/danger"
)

// guide finds whether the morning guide was used.
func (p *prose) guide() {
	if p.has(chart.GuideMinutes) {
		return
	}
	for i := range p.ws {
		w := &p.ws[i]
		if !w.among(setOf(cGuide)) {
			continue
		}
		pos, neg, _ := p.beside(i, inClause)
		switch {
		case w.not, p.unworn(i), pos.meets(setOf(cForgot, cBother, cLeftAway, cLost, cSkip)), neg.meets(setOf(cWorn, cUsed)):
			p.say(chart.Guide, chart.Num(chart.No))
		case pos.meets(setOf(cYes, cUsed, cWorn, cIn, cOK)) && !neg.meets(setOf(cYes, cUsed, cWorn, cIn, cOK, cGuide)):
			p.say(chart.Guide, chart.Num(chart.Yes))
		}
	}
}

// unworn reports whether the clause of a word says that something was not used.
func (p *prose) unworn(i int) bool {
	for j := range p.ws {
		if w := &p.ws[j]; w.clause == p.ws[i].clause && w.kind == itemAnswer && w.field == chart.Worn && w.value.Is(chart.WornNo) {
			return true
		}
	}
	return false
}

// bite finds how the back teeth meet.
func (p *prose) bite() {
	if p.any(setOf(cGuide)) && !p.any(setOf(cBite, cMeet, cTeeth)) {
		return
	}
	if p.any(setOf(cOne)) && p.any(setOf(cBoth)) || p.any(setOf(cFront)) && p.any(setOf(cBoth)) && p.any(setOf(cMeet)) { // first the one, then the other
		p.doubt(chart.Bite)
		return
	}
	for i := range p.ws {
		w := &p.ws[i]
		pos, neg, _ := p.beside(i, inSentence)
		if w.kind == itemAnswer && w.field == chart.Bite && !w.not {
			if p.speaksOf(i, setOf(cUnsure)) { // "not sure if both sides touch"
				p.say(chart.Bite, chart.Num(chart.BiteUnsure))
			} else if !p.has(chart.BiteMinutes) {
				p.say(chart.Bite, w.value)
			}
			continue
		}
		all := pos.or(neg)
		met := all.meets(setOf(cMeet, cBite, cTeeth)) || w.among(setOf(cMeet)) || p.hears[danger.MatterBite] >= 0.5 && p.loners == 0 && !slices.ContainsFunc(p.ws, func(w word) bool { return w.kind == itemNumber && w.num.kind != isSpan })
		if p.any(setOf(cSetting)) || !met || p.any(aches) {
			continue
		}
		here, not, _ := p.beside(i, inClause)
		switch {
		case w.is(cUnseen):
			p.suspects(chart.Bite)
			return
		case w.said(setOf(cOK, cBack)) && here.has(cNot) && here.meets(setOf(cMeet, cBite, cTeeth)):
			p.suspects(chart.Bite) // "never went back to normal"
		case w.said(setOf(cOK, cBack)) && p.claim[chart.BiteMinutes] == (claim{}) && not.empty() && here.meets(setOf(cMeet, cBite, cTeeth)) && !here.meets(setOf(cOne, cFront, cOff, cUnsure, cStill, cNearly)):
			p.say(chart.Bite, chart.Num(chart.BiteBoth))
		case w.said(setOf(cUnsure)) && p.near(i, 6, setOf(cMeet, cBite, cTeeth)) && p.speaksOf(i, setOf(cMeet, cBite, cTeeth)):
			p.say(chart.Bite, chart.Num(chart.BiteUnsure))
		case w.said(setOf(cOne)), w.said(setOf(cMeet)) && all.has(cLeft) != all.has(cRight) && pos.has(cJust):
			p.say(chart.Bite, chart.Num(chart.BiteOne))
		case w.said(setOf(cMeet)) && all.has(cLeft) != all.has(cRight):
			p.doubt(chart.Bite)
		case w.said(setOf(cBoth)) && !neg.has(cMeet):
			p.say(chart.Bite, chart.Num(chart.BiteBoth))
		case w.said(setOf(cFront)) && all.has(cMeet):
			p.say(chart.Bite, chart.Num(chart.BiteFront))
		case w.denied(setOf(cMeet)) && !pos.or(here).has(cBoth) && (pos.has(cMeet) && all.meets(setOf(cLeft, cRight)) ||
			all.has(cLeft) != all.has(cRight) || all.has(cLeft) && all.has(cRight) && pos.has(cYes)), w.said(setOf(cMeet)) && all.has(cLeft) && all.has(cRight) && all.has(cNot):
			p.say(chart.Bite, chart.Num(chart.BiteOne))
		}
	}
}

// evening finds what is asked in the evening: pauses, driving, a headache, and snoring that there was none of.
func (p *prose) evening() {
	calm := setOf(cPauses, cStopped, cChoke, cGasp)
	if p.anyNot(calm) && !p.any(calm.or(setOf(cWokeChoking))) && !p.any(aches) && !p.anyNot(aches) {
		p.say(chart.Pauses, chart.Num(chart.No))
	}
	dozes := setOf(cAsleep, cNearly)
	for i := range p.ws {
		w := &p.ws[i]
		if p.others(i) {
			if w.among(setOf(cHeadache, cDrive)) {
				p.bar(chart.Field(w.c - cField))
			}
			continue
		}
		switch {
		case w.said(setOf(cDrive)) && p.anyNot(dozes.or(setOf(cSleepy))) && !p.any(dozes):
			p.say(chart.Driving, chart.Num(chart.DrivingNo))
		case w.denied(setOf(cDrive)) && !p.any(setOf(cDrive, cReply)) && !p.any(dozes) && !p.anyNot(dozes) && i > 0 &&
			p.ws[i-1].among(setOf(cNot, cNone)):
			p.say(chart.Driving, chart.Num(chart.DrivingNoDrive))
		case w.kind == itemAnswer && w.field == chart.Pauses && w.not:
			p.say(chart.Pauses, chart.Num(chart.No))
		case w.kind == itemAnswer && w.field == chart.Pauses:
			p.say(chart.Pauses, w.value)
		case w.kind == itemAnswer && w.field == chart.Driving:
			p.say(chart.Driving, w.value)
		case w.kind == itemAnswer && w.field == chart.Headache && !w.not:
			p.say(chart.Headache, w.value)
			if !p.has(chart.Pain) && !p.any(aches) && !p.anyNot(aches) && !p.any(sitesOf) { // the ache is the head's
				p.suspects(chart.Pain)
			}
		case p.part && w.said(setOf(cHeadache)) && !p.any(setOf(cMaybe, cUnsure, cNot, cNone)): // "Sunday a headache"
			p.say(chart.Headache, chart.Num(chart.Yes))
		case w.denied(setOf(cHeadache)):
			p.say(chart.Headache, chart.Num(chart.No))
		case w.kind == itemAnswer && w.field == chart.Snoring && !p.has(chart.Snoring) && !p.any(setOf(cSnore)):
			p.say(chart.Snoring, w.value)
		case w.denied(setOf(cSnore)) && !p.has(chart.Snoring) && !p.any(setOf(cSnore)):
			p.say(chart.Snoring, chart.Num(0))
		}
	}
}
