package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/locales/answer"
	"duskdawn/locales/danger"
)

// answers lets every question look for its answer. The order matters: why it was not worn asks whether it was.
func (p *prose) answers() {
	p.scores()
	p.lengths()
	p.rivals()
	p.clocks()
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
	no, all, part, perhaps := false, false, false, false
	for i := range p.ws {
		w := &p.ws[i]
		pos, neg, unknown := p.beside(i, inClause)
		guide := pos.or(neg).has(cGuide) || p.any(setOf(cGuide)) && !p.any(mouth.or(setOf(cAllNight, cPartNight))) && !p.anyNot(setOf(cAppliance))
		switch {
		case w.kind == itemAnswer && w.field == chart.Worn && w.value.Is(chart.WornNo) && !w.not:
			no = no || !guide && !p.others(i)
		case w.denied(setOf(cWorn)) && !pos.or(neg).meets(setOf(cAllNight, cPartNight)):
			no = no || !guide && !p.others(i)
		case w.said(setOf(cForgot)) && pos.or(neg).has(cReply): // "I forgot to answer"
			p.bar(chart.Worn)
			p.bar(chart.NotWorn)
			return
		case w.among(mouth.or(setOf(cAllNight, cTaken))) && p.others(i):
			p.bar(chart.Worn)
			p.bar(chart.WornMinutes)
			return
		case w.said(setOf(cSkip)) && !guide && p.hears[danger.MatterWorn] >= 0.3 && !p.any(setOf(cSnore, cBite)):
			no = true
		case w.said(setOf(cForgot)) && !guide:
			if unknown == 0 || p.part || unknown <= 3 && (pos.or(neg).meets(mouth) || p.unwornWays() >= 0.4) {
				no = true
			} else {
				perhaps = true
			}
		case w.denied(setOf(cAppliance)) && i > 1 && p.ws[i-2].clause == w.clause && p.ws[i-2].kind == itemUnknown:
			p.bar(chart.Worn) // "fibre, not splint"
		case w.denied(setOf(cAppliance)) && !pos.or(neg).meets(setOf(cBroke, cPain, cSore, cLost, cPiece, cSeat, cLoose, cRash)):
			no = no || !p.others(i)
		case w.said(setOf(cBother)) && !p.any(setOf(cTaken, cIn, cGuide, cSnore, cAllNight)) &&
			(p.part || p.hears[danger.MatterWorn]+p.hears[danger.MatterReason] >= 0.3):
			no = true
		case w.kind == itemAnswer && w.field == chart.NotWorn && w.value.Is(chart.ReasonMorning):
			part = true
		case w.said(setOf(cMend, cLeftAway)):
			no = no || !p.any(setOf(cWorn, cTaken)) && !p.others(i) && (p.part || p.hears[danger.MatterWorn]+p.hears[danger.MatterReason] >= 0.1)
		case w.said(setOf(cAllNight)):
			all = all || p.ofMouth(i)
		case w.denied(setOf(cAllNight)):
			part = part || p.ofMouth(i)
		case w.said(setOf(cPartNight)):
			part = part || p.ofMouth(i)
		case w.denied(setOf(cTaken)):
			all = all || !guide
		case w.said(setOf(cTaken)):
			if p.takenAtNight(i) {
				part = true
			} else if pos.meets(setOf(cMorning, cJust)) {
				p.suspects(chart.Worn)
			} else if all && !pos.meets(setOf(cWoke)) && !guide { // "all night, oh no, I took it out"
				perhaps = true
			}
		}
	}
	if !no && !all && !part && !perhaps && p.unwornWays() >= 0.4 && p.loners == 0 && p.any(setOf(cIll, cMend, cAway, cLeftAway, cForgot, cBother)) &&
		!p.any(setOf(cPain, cSnore, cGuide, cHeadache, cDrive, cSleepy, cBite)) && slices.ContainsFunc(p.ws, func(w word) bool { return w.is(cNope) || w.is(cNot) }) {
		no = true // "flu, so no"
	}
	if p.claim[chart.Worn].barred && !no && !part && !all {
		return
	}
	rivals := no && (p.has(chart.WornMinutes) || p.loners > 0 && p.any(mouth)) // "seven with it in, half an hour without"
	if all && p.any(setOf(cBar)) {
		perhaps = true
	}
	if p.has(chart.WornMinutes) {
		part = part || p.any(setOf(cTaken)) && !all
	}
	switch n := btoi(no) + btoi(all) + btoi(part); {
	case n > 1, rivals, perhaps && !no:
		p.doubt(chart.Worn)
		p.doubt(chart.WornMinutes)
	case no || all || part:
		p.claim[chart.Worn] = claim{}
	}
	switch {
	case p.claim[chart.Worn].doubted:
	case no:
		p.say(chart.Worn, chart.Num(chart.WornNo))
	case all:
		p.say(chart.Worn, chart.Num(chart.WornAll))
	case part:
		p.say(chart.Worn, chart.Num(chart.WornPart))
	}
}

// unwornWays is how likely the net takes a text to say that it was not worn, or why.
func (p *prose) unwornWays() (share float32) {
	share = p.tags.Way[answer.WayOf(chart.Worn, chart.Num(chart.WornNo))]
	for r := chart.ReasonForgot; r <= chart.ReasonNotKnown; r++ {
		share += p.tags.Way[answer.WayOf(chart.NotWorn, chart.Num(r))]
	}
	return share
}

// ofMouth reports whether a part of the night is told of the appliance, and not of a window or of the snoring.
func (p *prose) ofMouth(i int) bool {
	pos, neg, unknown := p.beside(i, inClause)
	switch {
	case pos.has(cSlept) && !p.any(mouth):
		p.suspects(chart.Worn)
		return false
	case pos.or(neg).meets(mouth):
		return true
	case p.leads(i) && unknown <= 3:
		return true
	case pos.or(neg).meets(setOf(cSnore, cPauses)), pos.meets(setOf(cDrive, cChild, cThem, cBite, cAsleep)) || pos.meets(cPainSet) && unknown > 0:
		return false
	case unknown == 0:
		return true
	}
	if unknown > 0 && i > 0 && p.ws[i-1].clause == p.ws[i].clause && !p.ws[i-1].among(setOf(cYes, cAnd, cFor, cOK, cJust)) {
		return false // "window open all night"
	}
	all, part := answer.WayOf(chart.Worn, chart.Num(chart.WornAll)), answer.WayOf(chart.Worn, chart.Num(chart.WornPart))
	return unknown <= 4 && p.hears[danger.MatterWorn] >= 0.3 && (p.part || p.tags.Way[all]+p.tags.Way[part] >= 0.3)
}

// leads reports whether a part of the night begins its clause, and nothing that one does or hears in the night stands behind
// it: "all night, pain 2" is of the appliance.
func (p *prose) leads(i int) bool {
	others := setOf(cSnore, cDrive, cChild, cThem, cAsleep, cWoke, cHeadache, cPauses, cStopped, cSlept, cNight, cSays)
	if i > 0 && p.ws[i-1].clause == p.ws[i].clause && !p.ws[i-1].among(setOf(cYes, cAnd, cFor, cOK)) {
		return false
	}
	if i+1 < len(p.ws) && p.ws[i+1].clause == p.ws[i].clause && (p.ws[i+1].among(others) || p.ws[i+1].kind == itemUnknown) {
		return false
	}
	return p.part || p.tags.Way[answer.WayOf(chart.Worn, chart.Num(chart.WornAll))]+p.tags.Way[answer.WayOf(chart.Worn, chart.Num(chart.WornPart))] >= 0.02
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
		case w.among(aches) && p.is(chart.Pain, 0), w.among(aches) && p.has(chart.Pain) && !p.any(setOf(cTaken)): // a score is no reason
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
	case many == 1 && at != chart.ReasonMorning:
		p.say(chart.NotWorn, chart.Num(at))
	case many > 1:
		p.doubt(chart.NotWorn)
	}
}
