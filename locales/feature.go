package locales

import (
	"slices"

	"duskdawn/flows"
)

// featureNames are the keys of the section [feature] in the dictionaries:
// phrases that say a thing by themselves.
var featureNames = []struct {
	name  string
	flags flows.Features
}{
	{"breath", flows.FBreath}, {"chest", flows.FChest}, {"faint", flows.FFaint}, {"stroke", flows.FStroke},
	{"swelling", flows.FSwelling}, {"mouthface", flows.FSwelling | flows.FMouthFace}, {"gum", flows.FSwelling | flows.FGum},
	{"hives", flows.FHives}, {"rash", flows.FRash}, {"swallow", flows.FSwallow}, {"fever", flows.FFever},
	{"broken", flows.FBroken}, {"missing", flows.FMissing}, {"swallowed", flows.FSwallowed}, {"cough", flows.FCough},
	{"locked", flows.FLocked}, {"openlock", flows.FOpenLock}, {"stuck", flows.FStuck}, {"vomit", flows.FVomit},
	{"bleeding", flows.FBleeding}, {"notstopping", flows.FBleeding | flows.FNotStopping}, {"headache", flows.FHeadache},
	{"numb", flows.FNumb}, {"lipseal", flows.FLipSeal}, {"seat", flows.FSeat}, {"lost", flows.FLost}, {"tooth", flows.FTooth},
	{"toothbroken", flows.FToothBroken}, {"catch", flows.FCatch}, {"hearing", flows.FHearing}, {"wheel", flows.FWheel},
	{"wheelnear", flows.FWheelNear}, {"biteoff", flows.FBiteOff}, {"sore", flows.FSore}, {"pain", flows.FPain},
	{"pauses", flows.FPauses}, {"selfharm", flows.FSelfHarm}, {"harm", flows.FHarm}, {"urgent", flows.FUrgent},
}

// flagRule says which concepts, in any order within a clause, make a red-flag
// feature. Every group needs one of its concepts; none of less may be there.
type flagRule struct {
	flags flows.Features
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
	return []flagRule{
		{flags: flows.FBreath, all: [3]concepts{trouble, s(cBreathe)}, less: s(cLipSeal, cNoseBreath)},
		{flags: flows.FLipSeal, all: [3]concepts{s(cLipSeal), s(cCannot, cHard, cStopped, cChoke), s(cBreathe, cNoseBreath, cChoke)}},
		{flags: flows.FBreath, all: [3]concepts{s(cBreathe), s(cSevere, cOff, cWeak)}, less: s(cLipSeal, cNoseBreath)},
		{flags: flows.FBreath, all: [3]concepts{s(cStopped), s(cBreathe)}, less: s(cNight, cSlept, cAsleep, cPartner, cHeard)},
		{flags: flows.FPauses, all: [3]concepts{s(cStopped), s(cBreathe), s(cNight, cSlept, cAsleep, cPartner, cHeard)}},
		{flags: flows.FPauses, all: [3]concepts{s(cChoke), s(cNight, cSlept, cAsleep, cPartner, cHeard)}, less: s(cPiece)},
		{flags: flows.FPauses, all: [3]concepts{s(cPauses)}},
		{flags: flows.FChest, all: [3]concepts{s(cChest), s(cPain, cPress, cSevere, cSore)}},
		{flags: flows.FFaint, all: [3]concepts{s(cFaint)}},
		{flags: flows.FStroke, all: [3]concepts{s(cFace, cMouthPart), s(cDroop)}},
		{flags: flows.FStroke, all: [3]concepts{s(cArm, cFace, cOne), s(cWeak)}},
		{flags: flows.FStroke, all: [3]concepts{s(cArm), s(cNumb)}},
		{flags: flows.FStroke, all: [3]concepts{s(cFace), s(cNumb), s(cOne)}},
		{flags: flows.FStroke, all: [3]concepts{s(cSpeech), s(cCannot, cHard, cWeak)}},
		{flags: flows.FSwelling, all: [3]concepts{s(cSwell)}},
		{flags: flows.FMouthFace, all: [3]concepts{s(cSwell), face}},
		{flags: flows.FMouthFace, all: [3]concepts{s(cSwell), face}, less: s(cGum), wide: true},
		{flags: flows.FGum, all: [3]concepts{s(cSwell), s(cGum)}},
		{flags: flows.FHives, all: [3]concepts{s(cHives)}},
		{flags: flows.FRash, all: [3]concepts{s(cRash)}},
		{flags: flows.FSwallow, all: [3]concepts{trouble, s(cSwallow)}},
		{flags: flows.FSwallow, all: [3]concepts{s(cSwallow), s(cPain)}},
		{flags: flows.FFever, all: [3]concepts{s(cFever)}},
		{flags: flows.FBroken, all: [3]concepts{s(cBroke), s(cAppliance, cPiece, cLipSeal)}, less: s(cTooth, cCrown)},
		{flags: flows.FBroken, all: [3]concepts{s(cPiece), s(cLoose, cGone, cTaken)}, less: s(cTooth, cCrown, cLipSeal)},
		{flags: flows.FBroken, all: [3]concepts{s(cBroke)}, less: s(cTooth, cCrown), alone: true},
		{flags: flows.FMissing, all: [3]concepts{s(cPiece), s(cLost, cGone)}},
		{flags: flows.FMissing, all: [3]concepts{s(cPiece, cBroke), s(cFind), s(cCannot)}, wide: true},
		{flags: flows.FMissing, all: [3]concepts{s(cPiece, cBroke)}, under: s(cFind), wide: true},
		{flags: flows.FMissing, all: [3]concepts{s(cBroke), s(cLost)}, less: s(cTooth, cCrown), wide: true},
		{flags: flows.FSwallowed, all: [3]concepts{s(cSwallowed), s(cPiece, cAppliance, cTooth, cCrown)}, wide: true},
		{flags: flows.FSwallowed, all: [3]concepts{s(cSwallowed)}},
		{flags: flows.FCough, all: [3]concepts{s(cCough)}},
		{flags: flows.FCough, all: [3]concepts{s(cChoke)}},
		{flags: flows.FOpenLock, all: [3]concepts{s(cDislocated)}},
		{flags: flows.FOpenLock, all: [3]concepts{trouble, s(cClose)}},
		{flags: flows.FOpenLock, all: [3]concepts{s(cJaw, cMouthPart)}, under: s(cClose)},
		{flags: flows.FOpenLock, all: [3]concepts{s(cJaw, cMouthPart), s(cStuck, cLock), s(cOpen)}},
		{flags: flows.FLocked, all: [3]concepts{s(cLock), s(cJaw, cMouthPart, cOpen)}},
		{flags: flows.FLocked, all: [3]concepts{s(cStuck), s(cJaw)}},
		{flags: flows.FLocked, all: [3]concepts{s(cCannot, cHard), s(cOpen), s(cJaw, cMouthPart)}},
		{flags: flows.FLocked, all: [3]concepts{s(cCannot, cHard), s(cOpen)}},
		{flags: flows.FStuck, all: [3]concepts{s(cStuck)}, less: s(cJaw)},
		{flags: flows.FStuck, all: [3]concepts{s(cCannot), s(cTakeOut, cTaken)}},
		{flags: flows.FStuck, all: [3]concepts{s(cHard), s(cTakeOut)}},
		{flags: flows.FVomit, all: [3]concepts{s(cVomit)}},
		{flags: flows.FBleeding, all: [3]concepts{s(cBleed)}},
		{flags: flows.FNotStopping, all: [3]concepts{s(cBleed), s(cNotStop, cSevere)}},
		{flags: flows.FNotStopping, all: [3]concepts{s(cBleed), s(cNotStop)}, wide: true},
		{flags: flows.FHeadache, all: [3]concepts{s(cHeadache), s(cSevere, cSudden)}},
		{flags: flows.FNumb, all: [3]concepts{s(cNumb)}, less: s(cArm)},
		{flags: flows.FSeat, all: [3]concepts{s(cSeat)}},
		{flags: flows.FSeat, all: [3]concepts{s(cAppliance), s(cLoose)}},
		{flags: flows.FLost, all: [3]concepts{s(cLost), s(cAppliance)}, less: s(cPiece)},
		{flags: flows.FLost, all: [3]concepts{s(cCannot), s(cFind), s(cAppliance)}, less: s(cPiece)},
		{flags: flows.FTooth, all: [3]concepts{s(cTooth, cCrown, cTeeth, cFront), s(cLoose)}},
		{flags: flows.FToothBroken, all: [3]concepts{s(cTooth, cCrown), s(cBroke)}},
		{flags: flows.FToothBroken, all: [3]concepts{s(cCrown), s(cGone, cTaken, cLost)}},
		{flags: flows.FCatch, all: [3]concepts{s(cCatch), s(cJaw, cJoint)}},
		{flags: flows.FCatch, all: [3]concepts{s(cClick), s(cGone, cStopped)}},
		{flags: flows.FHearing, all: [3]concepts{s(cHearing), s(cLost, cGone, cSudden, cWeak, cCannot)}},
		{flags: flows.FWheel, all: [3]concepts{s(cAsleep), s(cDrive)}, less: s(cNearly)},
		{flags: flows.FWheelNear, all: [3]concepts{s(cAsleep), s(cDrive), s(cNearly)}},
		{flags: flows.FBiteOff, all: [3]concepts{s(cBite), s(cOff), s(cAllDay, cStill)}},
		{flags: flows.FBiteOff, all: [3]concepts{s(cTeeth), s(cMeet), s(cCannot, cStopped)}},
		{flags: flows.FBiteOff, all: [3]concepts{s(cTeeth)}, under: s(cMeet)},
		{flags: flows.FSore, all: [3]concepts{s(cSore)}},
		{flags: flows.FPain, all: [3]concepts{s(cPain), s(cSevere)}, less: s(cOtherPain)},
	}
}

// clause collects what a piece of a text says.
type clause struct {
	pos, neg   concepts
	said, deny flows.Features
	unknown    bool // a word the dictionaries do not know
}

// features finds the red-flag features of a text and those it denies.
func (d *dictionary) features(items []item) (said, denied flows.Features) {
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
			if it.kind == itemAnswer && d.senses[it.sense].field == flows.Reporter {
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
	if whole.pos.has(cPiece) && whole.said.Has(flows.FLost) { // "a screw fell out, I can't find it"
		whole.said |= flows.FMissing
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
	if here.pos.has(cLipSeal) && here.said.Has(flows.FBreath) { // off at once, and it is over
		here.said = here.said&^flows.FBreath | flows.FLipSeal
	}
	if here.pos.has(cNearly) && here.said.Has(flows.FWheel) {
		here.said = here.said&^flows.FWheel | flows.FWheelNear
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

// calls tells whether a text names an emergency number and nothing else of
// ours: such numbers are rows of digits among the urgent phrases.
func (d *dictionary) calls(items []item) bool {
	for _, it := range items {
		if it.kind == itemNumber && it.num.kind == isNumber && it.num.long && !it.num.neg && it.num.milli == 0 && slices.Contains(d.emergency, it.num.n) {
			return true
		}
	}
	return false
}
