package locales

import (
	"duskdawn/flows/chart"
	"duskdawn/locales/danger"
)

// answers lets every question look for its answer. The order matters: why it was not worn asks whether it was.
func (p *prose) answers() {
	p.scores()
	p.lengths()
	p.worn()
	p.reason()
	p.pain()
	p.gone()
	p.guide()
	p.bite()
	p.evening()
}

// others reports whether a word is said of somebody else: one who is no bed partner and reports nothing.
func (p *prose) others(i int) bool {
	pos, neg, _ := p.beside(i, inClause)
	if pos.or(neg).meets(setOf(cSays, cHeard)) {
		return false
	}
	for j := range p.ws[:i] {
		if w := &p.ws[j]; w.clause == p.ws[i].clause && w.among(setOf(cThem, cChild, cPartner)) {
			return true
		}
	}
	return false
}

var (
	sitesOf = setOf(cJoint, cMuscle, cTooth, cGum)
	aches   = setOf(cPain, cSore)
	mouth   = setOf(cWorn, cAppliance, cIn)
	failing = setOf(cPain, cSore, cUncomf, cIll, cFever, cVomit, cAway, cLeftAway, cBroke, cMend, cBother, cTold, cForgot)
)

// worn finds whether it was worn.
func (p *prose) worn() {
	no, all, part := false, false, false
	for i := range p.ws {
		w := &p.ws[i]
		pos, neg, unknown := p.beside(i, inClause)
		guide := pos.or(neg).has(cGuide)
		switch {
		case w.kind == itemAnswer && w.field == chart.Worn && w.value.Is(chart.WornNo) && !w.not:
			no = no || !guide && !p.others(i)
		case w.denied(setOf(cWorn)) && !pos.or(neg).meets(setOf(cAllNight, cPartNight)):
			no = no || !guide && !p.others(i)
		case w.said(setOf(cForgot)) && !guide && !pos.has(cReply) && !neg.has(cReply):
			if unknown == 0 || unknown <= 3 && pos.or(neg).meets(mouth) {
				no = true
			} else {
				p.doubt(chart.Worn)
			}
		case w.said(setOf(cMend, cLeftAway)):
			no = no || !p.any(setOf(cWorn, cTaken))
		case w.said(setOf(cAllNight)):
			all = all || p.ofMouth(i)
		case w.denied(setOf(cAllNight)):
			part = part || p.ofMouth(i)
		case w.said(setOf(cPartNight)):
			part = part || p.ofMouth(i)
		case w.denied(setOf(cTaken)):
			all = all || !guide
		case w.said(setOf(cTaken)):
			part = part || p.takenAtNight(i)
		}
	}
	if p.has(chart.WornMinutes) {
		part = part || p.any(setOf(cTaken)) && !all
	}
	switch n := btoi(no) + btoi(all) + btoi(part); {
	case n > 1:
		p.doubt(chart.Worn)
		p.doubt(chart.WornMinutes)
	case no:
		p.say(chart.Worn, chart.Num(chart.WornNo))
	case all:
		p.say(chart.Worn, chart.Num(chart.WornAll))
	case part:
		p.say(chart.Worn, chart.Num(chart.WornPart))
	}
}

// ofMouth reports whether a part of the night is told of the appliance, and not of a window or of the snoring.
func (p *prose) ofMouth(i int) bool {
	pos, neg, unknown := p.beside(i, inClause)
	switch {
	case pos.has(cSlept) && !p.any(mouth):
		p.bar(chart.Worn)
		return false
	case pos.or(neg).meets(mouth):
		return true
	case pos.meets(setOf(cSnore, cDrive, cChild, cThem, cBite, cAsleep)) || pos.meets(cPainSet) && unknown > 0:
		return false
	case unknown == 0:
		return true
	}
	return unknown <= 4 && p.hears[danger.MatterWorn] >= 0.3
}

var cPainSet = setOf(cPain)

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// takenAtNight reports whether it was taken out in the night, and not in the morning as it is every day.
func (p *prose) takenAtNight(i int) bool {
	pos, neg, _ := p.beside(i, inSentence)
	if pos.meets(setOf(cJust, cGuide, cBite, cTeeth, cMeet, cBoth, cOne, cFront)) || neg.meets(setOf(cMeet, cTeeth)) {
		return false
	}
	if pos.meets(failing.or(setOf(cHalfway, cMidnight, cNight, cPartNight, cWoke))) || p.any(failing) {
		return true
	}
	for j := range p.ws {
		if w := &p.ws[j]; w.kind == itemNumber && w.sentence == p.ws[i].sentence && (w.num.kind == isSpan && w.num.hours ||
			p.isClock(j) && p.hour(j) < 6) {
			return true
		}
	}
	return false
}

// hour is the hour of a time of day, the earlier one of two that are possible.
func (p *prose) hour(i int) int {
	w := &p.ws[i]
	if w.num.kind == isClock {
		return int(w.num.n) / 60
	}
	return int(w.num.n)
}

// reason finds why it was not worn, or taken out: what is said of one kind only.
func (p *prose) reason() {
	if !p.is(chart.Worn, chart.WornNo) && !p.is(chart.Worn, chart.WornPart) {
		return
	}
	var found [chart.ReasonNotKnown + 1]bool
	many, at := 0, 0
	for i := range p.ws {
		w := &p.ws[i]
		r := 0
		switch {
		case w.not:
		case w.kind == itemAnswer && w.field == chart.NotWorn:
			r = w.value.N()
		case w.kind != itemConcept:
		case w.among(aches):
			r = chart.ReasonPain
		case w.c == cUncomf:
			r = chart.ReasonDiscomf
		case w.among(setOf(cIll, cFever, cVomit)):
			r = chart.ReasonIll
		case w.among(setOf(cAway, cLeftAway)):
			r = chart.ReasonAway
		case w.among(setOf(cMend, cBroke)):
			r = chart.ReasonBroken
		case w.c == cForgot:
			r = chart.ReasonForgot
		case w.c == cBother:
			r = chart.ReasonOther
		case w.c == cTold:
			r = chart.ReasonAdvised
		}
		if r != 0 && !found[r] {
			found[r] = true
			many++
			at = r
		}
	}
	switch {
	case many == 1:
		p.say(chart.NotWorn, chart.Num(at))
	case many > 1:
		p.doubt(chart.NotWorn)
	}
}

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
			if hurts || p.any(aches) || all.or(not).meets(setOf(cUncomf, cHead)) {
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
				p.bar(chart.Woken)
			}
		case w.denied(setOf(cWoke)) && both.meets(aches):
			p.say(chart.Woken, chart.Num(chart.No))
		}
		for c, n := range sites2 {
			if w.said(setOf(c)) && chart.Num(n) != site && (c != cTeeth || !p.any(setOf(cMeet, cBite, cGuide))) {
				site = chart.Num(n)
				sites++
			}
		}
	}
	if sites == 1 && (hurts || p.any(aches) && p.hears[danger.MatterPain] >= 0.15) && !p.is(chart.Pain, 0) {
		p.say(chart.Where, site)
	}
}

var sites2 = map[concept]int{cJoint: chart.SiteJoint, cMuscle: chart.SiteMuscle, cTooth: chart.SiteTooth, cGum: chart.SiteGum, cTeeth: chart.SiteTooth}

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
			case h >= 13:
				v = chart.GoneAfternoon
			case h >= 11:
				v = chart.GoneMidday
			default:
				v = chart.GoneMorning
			}
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
		case w.not, pos.meets(setOf(cForgot, cBother, cLeftAway, cLost)), neg.meets(setOf(cWorn, cUsed)):
			p.say(chart.Guide, chart.Num(chart.No))
		case pos.meets(setOf(cYes, cUsed, cWorn, cIn, cOK)) && neg.empty():
			p.say(chart.Guide, chart.Num(chart.Yes))
		}
	}
}

// bite finds how the back teeth meet.
func (p *prose) bite() {
	if p.any(setOf(cGuide)) && !p.any(setOf(cBite, cMeet, cTeeth)) {
		return
	}
	for i := range p.ws {
		w := &p.ws[i]
		pos, neg, _ := p.beside(i, inSentence)
		all := pos.or(neg)
		met := all.meets(setOf(cMeet, cBite, cTeeth)) || w.among(setOf(cMeet))
		if p.any(setOf(cSetting)) || !met || p.any(aches) {
			continue
		}
		here, not, _ := p.beside(i, inClause)
		switch {
		case w.is(cUnseen):
			p.bar(chart.Bite)
			return
		case w.said(setOf(cOK, cBack)) && not.empty() && here.meets(setOf(cMeet, cBite, cTeeth)) && !here.meets(setOf(cOne, cFront, cOff, cUnsure, cStill, cNearly)):
			p.say(chart.Bite, chart.Num(chart.BiteBoth))
		case w.said(setOf(cUnsure)) && p.near(i, 6, setOf(cMeet, cBite, cTeeth)) && p.meetsHere(i):
			p.say(chart.Bite, chart.Num(chart.BiteUnsure))
		case w.said(setOf(cOne)):
			p.say(chart.Bite, chart.Num(chart.BiteOne))
		case w.said(setOf(cBoth)) && !neg.has(cMeet):
			p.say(chart.Bite, chart.Num(chart.BiteBoth))
		case w.said(setOf(cFront)) && all.has(cMeet):
			p.say(chart.Bite, chart.Num(chart.BiteFront))
		case w.denied(setOf(cMeet)) && pos.has(cMeet) && all.meets(setOf(cLeft, cRight)):
			p.say(chart.Bite, chart.Num(chart.BiteOne))
		}
	}
}

// meetsHere reports whether the clause of a word speaks of how the teeth meet.
func (p *prose) meetsHere(i int) bool {
	pos, neg, _ := p.beside(i, inClause)
	return pos.or(neg).meets(setOf(cMeet, cBite, cTeeth))
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
		case w.said(setOf(cDrive)) && p.anyNot(dozes) && !p.any(dozes):
			p.say(chart.Driving, chart.Num(chart.DrivingNo))
		case w.denied(setOf(cDrive)) && !p.any(setOf(cDrive, cReply)) && !p.any(dozes) && !p.anyNot(dozes) && i > 0 &&
			p.ws[i-1].among(setOf(cNot, cNone)):
			p.say(chart.Driving, chart.Num(chart.DrivingNoDrive))
		case w.kind == itemAnswer && w.field == chart.Driving:
			p.say(chart.Driving, w.value)
		case w.kind == itemAnswer && w.field == chart.Headache && !w.not:
			p.say(chart.Headache, w.value)
		case w.denied(setOf(cHeadache)):
			p.say(chart.Headache, chart.Num(chart.No))
		case w.kind == itemAnswer && w.field == chart.Snoring && !p.has(chart.Snoring) && !p.any(setOf(cSnore)):
			p.say(chart.Snoring, w.value)
		case w.denied(setOf(cSnore)) && !p.has(chart.Snoring) && !p.any(setOf(cSnore)):
			p.say(chart.Snoring, chart.Num(0))
		}
	}
}
