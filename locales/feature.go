package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// featureNames are the keys of the section [feature] in the dictionaries:
// phrases that say a thing by themselves.
var featureNames = []struct {
	name  string
	flags reading.Features
}{
	{"breath", reading.FBreath}, {"chest", reading.FChest}, {"faint", reading.FFaint}, {"stroke", reading.FStroke},
	{"swelling", reading.FSwelling}, {"mouthface", reading.FSwelling | reading.FMouthFace}, {"gum", reading.FSwelling | reading.FGum},
	{"hives", reading.FHives}, {"rash", reading.FRash}, {"swallow", reading.FSwallow}, {"fever", reading.FFever},
	{"broken", reading.FBroken}, {"missing", reading.FMissing}, {"swallowed", reading.FSwallowed}, {"cough", reading.FCough},
	{"locked", reading.FLocked}, {"openlock", reading.FOpenLock}, {"stuck", reading.FStuck}, {"vomit", reading.FVomit},
	{"bleeding", reading.FBleeding}, {"notstopping", reading.FBleeding | reading.FNotStopping}, {"headache", reading.FHeadache},
	{"numb", reading.FNumb}, {"lipseal", reading.FLipSeal}, {"seat", reading.FSeat}, {"lost", reading.FLost}, {"tooth", reading.FTooth},
	{"toothbroken", reading.FToothBroken}, {"catch", reading.FCatch}, {"hearing", reading.FHearing}, {"wheel", reading.FWheel},
	{"wheelnear", reading.FWheelNear}, {"biteoff", reading.FBiteOff}, {"sore", reading.FSore}, {"pain", reading.FPain},
	{"pauses", reading.FPauses}, {"selfharm", reading.FSelfHarm}, {"harm", reading.FHarm}, {"urgent", reading.FUrgent},
	{"choke", reading.FCough | reading.FChoke}, {"crash", reading.FCrash}, {"seizure", reading.FSeizure}, {"mood", reading.FMood},
	{"child", reading.FChild}, {"ulcer", reading.FUlcer}, {"turned", reading.FTurned}, {"gap", reading.FGap},
}

// flagRule says which concepts, in any order within a clause, make a red-flag
// feature. Every group needs one of its concepts; none of less may be there.
type flagRule struct {
	flags reading.Features
	all   [3]concepts
	under concepts // one of these stands under a "not"
	less  concepts
	wide  bool // over the whole text, not one clause
	alone bool // no word in the clause that the dictionaries do not know: "it broke", not "my phone broke"
}

// flagRules are the same for every language: the dictionaries only say which
// words mean what. Where two readings are possible, the more urgent one stands.
func flagRules() []flagRule {
	s := setOf
	trouble := s(cCannot, cHard)
	face := s(cMouthPart, cFace)
	asleep := s(cNight, cSlept, cAsleep, cPartner, cHeard)
	piece := s(cPiece, cAppliance, cSwallowed, cISwallowed, cBroke, cNow, cNotStop, cBleed)
	struck := s(cFace, cJaw, cTooth, cTeeth, cMouthPart, cChin)
	return []flagRule{
		{flags: reading.FBreath, all: [3]concepts{trouble, s(cBreathe)}, less: s(cLipSeal, cNoseBreath)},
		{flags: reading.FLipSeal, all: [3]concepts{s(cLipSeal), s(cCannot, cHard, cStopped, cChoke), s(cBreathe, cNoseBreath, cChoke)}},
		{flags: reading.FBreath, all: [3]concepts{s(cBreathe), s(cSevere, cOff, cWeak)}, less: s(cLipSeal, cNoseBreath)},
		{flags: reading.FBreath, all: [3]concepts{s(cStopped), s(cBreathe)}, less: s(cNight, cSlept, cAsleep, cPartner, cHeard)},
		{flags: reading.FPauses, all: [3]concepts{s(cStopped), s(cBreathe), s(cNight, cSlept, cAsleep, cPartner, cHeard)}},
		{flags: reading.FPauses, all: [3]concepts{s(cChoke, cGasp), asleep}, less: s(cPiece, cAppliance, cNow)},
		{flags: reading.FPauses, all: [3]concepts{s(cWokeChoking)}, less: piece},
		{flags: reading.FBreath, all: [3]concepts{s(cGasp)}, less: asleep},
		{flags: reading.FBreath, all: [3]concepts{s(cGasp, cWokeChoking), s(cNow)}},
		{flags: reading.FPauses, all: [3]concepts{s(cPauses)}},
		{flags: reading.FChest, all: [3]concepts{s(cChest), s(cPain, cPress, cSevere, cSore)}},
		{flags: reading.FFaint, all: [3]concepts{s(cFaint)}},
		{flags: reading.FStroke, all: [3]concepts{s(cFace, cMouthPart), s(cDroop)}},
		{flags: reading.FStroke, all: [3]concepts{s(cArm, cFace, cOne), s(cWeak)}},
		{flags: reading.FStroke, all: [3]concepts{s(cArm), s(cNumb)}},
		{flags: reading.FStroke, all: [3]concepts{s(cFace), s(cNumb), s(cOne)}},
		{flags: reading.FStroke, all: [3]concepts{s(cSpeech), s(cCannot, cHard, cWeak)}},
		{flags: reading.FSwelling, all: [3]concepts{s(cSwell)}},
		{flags: reading.FMouthFace, all: [3]concepts{s(cSwell), face}},
		{flags: reading.FMouthFace, all: [3]concepts{s(cSwell), face}, less: s(cGum), wide: true},
		{flags: reading.FGum, all: [3]concepts{s(cSwell), s(cGum)}},
		{flags: reading.FHives, all: [3]concepts{s(cHives)}},
		{flags: reading.FRash, all: [3]concepts{s(cRash)}},
		{flags: reading.FSwallow, all: [3]concepts{trouble, s(cSwallow)}},
		{flags: reading.FSwallow, all: [3]concepts{s(cSwallow), s(cPain)}},
		{flags: reading.FFever, all: [3]concepts{s(cFever)}},
		{flags: reading.FBroken, all: [3]concepts{s(cBroke), s(cAppliance, cPiece, cLipSeal)}, less: s(cTooth, cCrown)},
		{flags: reading.FBroken, all: [3]concepts{s(cPiece), s(cLoose, cGone, cTaken)}, less: s(cTooth, cCrown, cLipSeal)},
		{flags: reading.FBroken, all: [3]concepts{s(cBroke)}, less: s(cTooth, cCrown), alone: true},
		{flags: reading.FMissing, all: [3]concepts{s(cPiece), s(cLost, cGone)}},
		{flags: reading.FMissing, all: [3]concepts{s(cPiece, cBroke), s(cFind), s(cCannot)}, wide: true},
		{flags: reading.FMissing, all: [3]concepts{s(cPiece, cBroke)}, under: s(cFind), wide: true},
		{flags: reading.FMissing, all: [3]concepts{s(cBroke), s(cLost)}, less: s(cTooth, cCrown), wide: true},
		{flags: reading.FSwallowed, all: [3]concepts{s(cSwallowed, cISwallowed)}},
		{flags: reading.FChild, all: [3]concepts{s(cChild), s(cSwallowed, cCough, cChoke)}, less: s(cISwallowed, cSlept, cNight)},
		{flags: reading.FCough, all: [3]concepts{s(cCough)}},
		{flags: reading.FCough, all: [3]concepts{s(cChoke)}, less: asleep},
		{flags: reading.FCough | reading.FChoke, all: [3]concepts{s(cCough, cChoke, cWokeChoking), piece}},
		{flags: reading.FOpenLock, all: [3]concepts{s(cDislocated)}},
		{flags: reading.FOpenLock, all: [3]concepts{trouble, s(cClose)}},
		{flags: reading.FOpenLock, all: [3]concepts{s(cJaw, cMouthPart)}, under: s(cClose)},
		{flags: reading.FOpenLock, all: [3]concepts{s(cJaw, cMouthPart), s(cStuck, cLock), s(cOpen)}},
		{flags: reading.FLocked, all: [3]concepts{s(cLock), s(cJaw, cMouthPart, cOpen)}},
		{flags: reading.FLocked, all: [3]concepts{s(cStuck), s(cJaw)}},
		{flags: reading.FLocked, all: [3]concepts{s(cCannot, cHard), s(cOpen), s(cJaw, cMouthPart)}},
		{flags: reading.FLocked, all: [3]concepts{s(cCannot, cHard), s(cOpen)}},
		{flags: reading.FStuck, all: [3]concepts{s(cStuck)}, less: s(cJaw)},
		{flags: reading.FStuck, all: [3]concepts{s(cCannot), s(cTakeOut, cTaken)}},
		{flags: reading.FStuck, all: [3]concepts{s(cHard), s(cTakeOut)}},
		{flags: reading.FVomit, all: [3]concepts{s(cVomit)}},
		{flags: reading.FBleeding, all: [3]concepts{s(cBleed)}},
		{flags: reading.FNotStopping, all: [3]concepts{s(cBleed), s(cNotStop, cSevere)}},
		{flags: reading.FNotStopping, all: [3]concepts{s(cBleed), s(cNotStop)}, wide: true},
		{flags: reading.FHeadache, all: [3]concepts{s(cHeadache), s(cSevere, cSudden)}},
		{flags: reading.FNumb, all: [3]concepts{s(cNumb)}, less: s(cArm)},
		{flags: reading.FSeat, all: [3]concepts{s(cSeat)}},
		{flags: reading.FSeat, all: [3]concepts{s(cAppliance), s(cLoose)}},
		{flags: reading.FLost, all: [3]concepts{s(cLost), s(cAppliance)}, less: s(cPiece)},
		{flags: reading.FLost, all: [3]concepts{s(cCannot), s(cFind), s(cAppliance)}, less: s(cPiece)},
		{flags: reading.FTooth, all: [3]concepts{s(cTooth, cCrown, cTeeth, cFront), s(cLoose)}, less: s(cMorning)},
		{flags: reading.FGap, all: [3]concepts{s(cTooth, cCrown, cTeeth, cFront), s(cLoose), s(cMorning)}},
		{flags: reading.FToothBroken, all: [3]concepts{s(cTooth, cCrown), s(cBroke)}},
		{flags: reading.FToothBroken, all: [3]concepts{s(cCrown), s(cGone, cTaken, cLost)}},
		{flags: reading.FCatch, all: [3]concepts{s(cCatch), s(cJaw, cJoint)}},
		{flags: reading.FCatch, all: [3]concepts{s(cClick), s(cGone, cStopped)}},
		{flags: reading.FHearing, all: [3]concepts{s(cHearing), s(cLost, cGone, cSudden, cWeak, cCannot)}},
		{flags: reading.FWheel, all: [3]concepts{s(cAsleep), s(cDrive)}, less: s(cNearly)},
		{flags: reading.FCrash, all: [3]concepts{s(cCrash)}, less: s(cRecorder)},
		{flags: reading.FCrash, all: [3]concepts{s(cAccident), s(cDrive, cAsleep, cSleepy)}},
		{flags: reading.FHarm, all: [3]concepts{s(cAccident)}, less: s(cDrive, cAsleep, cSleepy, cTurn, cBy)}, // "turned it by accident"
		{flags: reading.FHarm, all: [3]concepts{s(cAccident, cCrash), struck}, wide: true},
		{flags: reading.FWheelNear, all: [3]concepts{s(cAsleep), s(cDrive), s(cNearly)}},
		{flags: reading.FBiteOff, all: [3]concepts{s(cBite), s(cOff), s(cAllDay, cStill)}},
		{flags: reading.FBiteOff, all: [3]concepts{s(cTeeth), s(cMeet), s(cCannot, cStopped)}},
		{flags: reading.FBiteOff, all: [3]concepts{s(cTeeth)}, under: s(cMeet)},
		{flags: reading.FBiteOff, all: [3]concepts{s(cBite), s(cDays, cWeek, cWeeks, cSince)}, under: s(cBack, cOK)},
		{flags: reading.FBiteOff, all: [3]concepts{s(cBite), s(cBack), s(cDays, cWeek, cWeeks)}},
		{flags: reading.FSore, all: [3]concepts{s(cSore)}},
		{flags: reading.FUlcer, all: [3]concepts{s(cSore), s(cWeeks)}},
		{flags: reading.FPain, all: [3]concepts{s(cPain), s(cSevere)}, less: s(cOtherPain)},
	}
}

// clause collects what a piece of a text says.
type clause struct {
	pos, neg   concepts
	said, deny reading.Features
	unknown    bool // a word the dictionaries do not know
}

// features finds the red-flag features of a text and those it denies.
func (d *dictionary) features(items []item) (said, denied reading.Features) {
	var whole, here clause
	not, left := false, 0
	// A "not" reaches over a few words, to the end of the phrase.
	const reach = 6
	for i, it := range items {
		switch it.kind {
		case itemMark:
			not = not && it.mark == '-'
			if it.mark != ',' && it.mark != '-' && it.mark != '+' && it.mark != '&' {
				d.judge(&here, &whole)
			}
		case itemUnknown, itemAnswer:
			if left--; left < 0 {
				not = false
			}
			here.unknown = here.unknown || it.kind == itemUnknown
			if it.kind == itemAnswer && d.senses[it.sense].field == chart.Reporter {
				here.pos.add(cPartner) // "my wife heard me ..."
			}
		case itemFeature:
			if not {
				here.deny |= d.senses[it.sense].flags
			} else {
				here.said |= d.senses[it.sense].flags
			}
		case itemConcept:
			c := it.c
			switch {
			case c == cBut:
				d.judge(&here, &whole)
				not = false
				continue
			case c == cAnd:
				not = false
				continue
			case c == cNot || c == cNone:
				if endsClause(items, i+1) && i > 0 && items[i-1].kind == itemConcept { // "swelling: no"
					here.neg.add(items[i-1].c)
					here.drop(items[i-1].c)
					continue
				}
				not, left = true, reach
				continue
			}
			if not {
				here.neg.add(c)
			} else {
				here.pos.add(c)
			}
		}
	}
	d.judge(&here, &whole)
	for i := range d.rules {
		if r := &d.rules[i]; r.wide {
			r.apply(&whole)
		}
	}
	if whole.pos.has(cPiece) && whole.said.Has(reading.FLost) { // "a screw fell out, I can't find it"
		whole.said |= reading.FMissing
	}
	return whole.said, whole.deny &^ whole.said
}

func endsClause(items []item, i int) bool { return i >= len(items) || items[i].kind == itemMark }

func (c *clause) drop(x concept) { c.pos[x>>6] &^= 1 << (x & 63) }

// judge applies the rules to a clause that ended and adds it to the whole.
func (d *dictionary) judge(here, whole *clause) {
	if here.pos.or(here.neg).meets(d.danger) {
		for i := range d.rules {
			if r := &d.rules[i]; !r.wide {
				r.apply(here)
			}
		}
	}
	if here.pos.has(cLipSeal) && here.said.Has(reading.FBreath) { // off at once, and it is over
		here.said = here.said&^reading.FBreath | reading.FLipSeal
	}
	if here.pos.has(cChild) && !here.pos.has(cISwallowed) && here.said.Has(reading.FSwallowed) {
		here.said |= reading.FChild
	}
	if here.pos.has(cNearly) && here.said.Has(reading.FWheel) {
		here.said = here.said&^reading.FWheel | reading.FWheelNear
	}
	whole.pos, whole.neg = whole.pos.or(here.pos), whole.neg.or(here.neg)
	whole.said |= here.said
	whole.deny |= here.deny
	*here = clause{}
}

// apply adds a rule's features where its concepts are there; denied where one
// of them stands under a "not" only.
func (r *flagRule) apply(c *clause) {
	if c.pos.meets(r.less) || r.alone && c.unknown || !r.under.empty() && !c.neg.meets(r.under) {
		return
	}
	denied, plain := false, r.under.empty()
	for _, group := range r.all {
		switch {
		case group.empty() || c.pos.meets(group):
		case c.neg.meets(group):
			denied = plain // where a "not" belongs to the rule, it denies nothing
		default:
			return
		}
	}
	if denied {
		c.deny |= r.flags
	} else {
		c.said |= r.flags
	}
}

// dangerous are all concepts that some rule cannot do without.
func dangerous(rules []flagRule) concepts {
	var s concepts
	for _, r := range rules {
		for _, g := range r.all {
			s = s.or(g)
		}
	}
	return s
}

// calls reports whether a text names an emergency number and nothing else of
// ours: such numbers are rows of digits among the urgent phrases.
func (d *dictionary) calls(items []item) bool {
	for _, it := range items {
		if it.kind == itemNumber && it.num.kind == isNumber && it.num.long && !it.num.neg && it.num.milli == 0 &&
			slices.Contains(d.emergency, it.num.n) {
			return true
		}
	}
	return false
}
