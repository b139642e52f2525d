package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
	"duskdawn/locales/danger"
)

// A text may say no more than the answers that were read of it though the grammar does not know its every word: "snore 3, my
// wife says". Then it is understood, and nobody is troubled with its words.

// How likely at most a text may say any danger, and at least leave each question open that was not answered, for nothing of it to
// be left over; and how many words it may have. Of writers that no net had seen none who told of a danger is among these.
const (
	nothing  = 0.02
	unspoken = 0.9
	mostSaid = 22
)

// small are the words that may stand beside any answer.
var small = setOf(cNot, cNone, cAnd, cTo, cAt, cBy, cAfter, cFor, cOn, cYes, cOK, cNow, cHour, cMinute, cHalf, cQuarter, cQuarterHour, cSince, cAM, cPM,
	cNoon, cMidnight, cMorning, cAfternoon, cEvening, cNight, cToday, cJust, cIn, cAppliance)

// own are the words in which each question is answered.
var own = map[chart.Field]concepts{
	chart.Worn: setOf(cWorn, cUsed, cAllNight, cPartNight, cTaken, cSlept, cPutIn, cWoke), chart.WornMinutes: setOf(cWorn, cUsed, cTaken, cSlept, cPutIn, cWoke, cAnHour),
	chart.NotWorn: setOf(cForgot, cUncomf, cIll, cAway, cTold, cMend, cLeftAway, cBother, cPain, cSore), chart.Snoring: setOf(cSnore, cLoud),
	chart.Reporter: setOf(cPartner, cSelf, cRecorder, cNobody, cHeard, cSays), chart.Pain: setOf(cPain, cSore),
	chart.Where: setOf(cJaw, cTooth, cTeeth, cGum, cJoint, cMuscle), chart.Woken: setOf(cWoke), chart.Gone: setOf(cGone, cStill),
	chart.Guide: setOf(cGuide, cUsed), chart.GuideMinutes: setOf(cGuide, cUsed), chart.Bite: setOf(cBite, cMeet, cTeeth, cBoth, cOne, cFront, cBack),
	chart.BiteMinutes: setOf(cBite, cMeet, cTeeth, cBoth, cBack), chart.Nose: setOf(cNoseBreath, cClear, cBlocked), chart.Sleepiness: setOf(cSleepy),
	chart.Driving: setOf(cDrive, cAsleep), chart.Pauses: setOf(cPauses, cStopped), chart.Headache: setOf(cHeadache, cHead),
	chart.SettingLeft: setOf(cSetting, cStands, cStillAt, cStill, cLeft, cRight, cBoth, cPiece), chart.SettingRight: setOf(cSetting, cLeft, cRight, cBoth),
}

// body are words that tell of a danger, or where one is, where no answer has taken them up: "not worn, my heart", "no pain, a tooth gone".
var body = setOf(cBreathe, cChest, cFaint, cFace, cDroop, cArm, cWeak, cSpeech, cSwell, cMouthPart, cHives, cRash, cSwallow, cSwallowed, cFever, cBroke,
	cCough, cChoke, cLock, cDislocated, cStuck, cVomit, cBleed, cSevere, cSudden, cNumb, cSeat, cLoose, cLost, cTooth, cCrown, cCatch, cHearing, cGone, cIll)

// takes reports whether one of the answers, or of those that are asked, is told in this word. A site is told where something hurts.
func takes(tokens []reading.Token, w *word) bool {
	return slices.ContainsFunc(tokens, func(t reading.Token) bool {
		set := own[t.Field].or(setOf(cField + concept(t.Field)))
		switch {
		case t.Field == chart.Pain && !t.Value.Is(0):
			set = set.or(own[chart.Where]).or(setOf(cMouthPart, cGone))
		case t.Field == chart.NotWorn || t.Field == chart.Nose:
			set = set.or(setOf(cFever, cVomit, cCough, cBroke, cLost, cSeat, cBreathe))
		}
		return w.kind == itemAnswer && w.field == t.Field || w.kind == itemNumber || w.among(set)
	})
}

// untaken reports whether a word that may tell of a danger is taken up by no answer.
func (p *prose) untaken(tokens []reading.Token) bool {
	return slices.ContainsFunc(p.ws, func(w word) bool { return w.among(body) && !takes(tokens, &w) })
}

// accounts reports whether what was read is all that a text says: everything asked was answered, every number answers something,
// no other question is spoken of, nothing sounds like a danger, and every word is one in which these answers are told.
func (p *prose) accounts(r *reading.Reading, h *danger.Hearing) bool {
	if len(r.Tokens) == 0 || r.Doubt != reading.NoDoubt || r.Dangerous() || r.Word != reading.NoWord || p.asks || p.unfixed || p.days > 1 ||
		h.Any() >= nothing || len(p.ws) > mostSaid || p.tags.Unheard > 0 ||
		slices.ContainsFunc(p.ws, func(w word) bool { return !w.among(small) && !takes(r.Tokens, &w) }) {
		return false
	}
	said := func(fields ...chart.Field) bool {
		return slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return slices.Contains(fields, t.Field) })
	}
	if p.strange() > 0 || slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return !t.Value.Known() }) {
		return false
	}
	for i := range p.tags.Figures {
		g := &p.tags.Figures[i]
		clock := said(chart.WornMinutes, chart.Gone) && slices.ContainsFunc(p.tags.Clocks, func(c answer.Clock) bool { return c.Has(g) })
		if !clock && !slices.ContainsFunc(r.Tokens, func(t reading.Token) bool {
			role := answer.RoleOf(t.Field)
			return role != answer.RoleNone && g.Means(t.Field, t.Value) && g.Share[role] >= perhaps
		}) {
			return false
		}
	}
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		open := answer.WayOpen(f)
		if open == answer.NumWays || said(f) || p.tags.Way[open] >= unspoken {
			continue
		}
		switch f {
		case chart.Guide, chart.GuideMinutes:
			if said(chart.Guide, chart.GuideMinutes) {
				continue
			}
		case chart.Bite, chart.BiteMinutes:
			if said(chart.Bite, chart.BiteMinutes) {
				continue
			}
		case chart.SettingLeft, chart.SettingRight:
			if said(chart.SettingLeft, chart.SettingRight) {
				continue
			}
		}
		return false
	}
	return true
}
