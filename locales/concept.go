package locales

import "duskdawn/flows/chart"

// concept is one meaning that words of every language share. The dictionaries
// give each its phrases; the grammar and the red-flag rules know only these.
type concept uint8

// The concepts. Names for the dictionaries stand in conceptNames.
const (
	_ concept = iota

	// small words
	cNot
	cNone // a "not" that stands behind its word
	cCannot
	cHard
	cBut
	cAnd
	cOr
	cTo
	cBetween
	cAt
	cBy
	cAfter
	cFor
	cOn
	cNearly
	cYes
	cOK
	cOff
	cStill
	cSkip
	cMinus
	cHow
	cNow

	// units and times of day
	cHour
	cMinute
	cDays
	cHalf
	cQuarter
	cQuarterHour
	cSome  // "and a bit": a length of time that is not told
	cSince // a day behind it is when something began
	cLittle
	cTurn
	cMM
	cAM
	cPM
	cNoon
	cMidnight
	cMorning
	cAfternoon
	cEvening
	cAllDay

	// the questions
	cUsed
	cAllNight
	cPartNight
	cTaken
	cSlept
	cLoud
	cOtherPain
	cWoke
	cTeeth
	cMeet
	cBack
	cBoth
	cOne
	cFront
	cUnsure
	cNoseBreath
	cClear
	cBlocked
	cAsleep
	cLeft
	cStands
	cStillAt
	cForgot
	cUncomf
	cIll
	cAway
	cTold
	cOther
	cJoint
	cMuscle
	cElsewhere
	cHeard
	cPartner
	cSelf
	cRecorder
	cNobody

	// how-to cards
	cPutIn
	cTakeOut
	cLipSeal
	cClean
	cFirstWeek

	// red flags
	cBreathe
	cChest
	cPress
	cFaint
	cFace
	cDroop
	cArm
	cWeak
	cSpeech
	cSwell
	cMouthPart
	cGum
	cHives
	cRash
	cSwallow
	cSwallowed
	cFever
	cAppliance
	cPiece
	cBroke
	cFind
	cCough
	cChoke
	cJaw
	cLock
	cOpen
	cClose
	cDislocated
	cStuck
	cVomit
	cBleed
	cNotStop
	cSevere
	cSudden
	cNumb
	cChin
	cSeat
	cLoose
	cLost
	cTooth
	cCrown
	cCatch
	cClick
	cHearing
	cSore
	cNight
	cStopped
	cGasp
	cWokeChoking // woke up choking or gasping
	cISwallowed  // the writer did
	cChild       // ... or an animal
	cCrash
	cAccident
	cWeek
	cWeeks // more than two

	// prose
	cAsks     // begins a question
	cIf       // a condition, or what is to come
	cSays     // somebody says it of the wearer
	cThem     // somebody else, who shares no bed
	cReply    // to answer, to write: what else may be forgotten
	cJust     // a moment ago
	cIn       // it was in the mouth
	cMend     // it is with those who mend it
	cBother   // nothing kept it out but the will
	cLeftAway // it is where the wearer is not
	cHead     // the head, not said to ache
	cHalfway  // in the middle of the night
	cNope     // a "no" that is an answer of its own
	cFix      // what was said is put right
	cUnseen   // nobody looked
	cToday    // and not another day
	cAnHour   // one hour, not counted
	cWorse    // compared with another night
	cPoint    // between the whole and the tenths of a number in words
	cUntil    // a day behind it is when something ends
	cStored   // it is in its box, or something else is worn
	cOnly     // of a whole no more than a part
	cBody     // a part of the body that is none of ours
	cBar      // "all but", "all except"
	cMaybe    // it may be so, and may be not
	cHabit    // it is so as a rule, or on many days
	cElsewhen // it was at another time that is no day of the diary's
	cAbout    // a number behind it is not exact
	cSorry    // may begin a correction, and most often begins none
	cNoDay    // "sat up", "in the sun": the letters of a day's short name

	// what a field is called, one for each field, whether or not it is called anything
	cField
	numConcepts = cField + concept(chart.NumFields)
)

// The fields that the grammar or a red-flag rule knows by themselves. What else
// is to be known of a field's own words follows from its row.
const (
	cWorn     = cField + concept(chart.Worn)
	cReason   = cField + concept(chart.NotWorn)
	cSnore    = cField + concept(chart.Snoring)
	cPain     = cField + concept(chart.Pain)
	cGone     = cField + concept(chart.Gone)
	cGuide    = cField + concept(chart.Guide)
	cBite     = cField + concept(chart.Bite)
	cNose     = cField + concept(chart.Nose)
	cSleepy   = cField + concept(chart.Sleepiness)
	cDrive    = cField + concept(chart.Driving)
	cPauses   = cField + concept(chart.Pauses)
	cHeadache = cField + concept(chart.Headache)
	cSetting  = cField + concept(chart.SettingLeft)
	cRight    = cField + concept(chart.SettingRight)
)

// A set holds so many concepts.
const _ = uint(64*len(concepts{}) - int(numConcepts))

// conceptNames are the keys of the section [concept] in the dictionaries. What a
// field is called stands in the section [field], under the field's name.
var conceptNames = [cField]string{
	cNot: "not", cNone: "none", cCannot: "cannot", cHard: "hard", cBut: "but", cAnd: "and", cOr: "or", cTo: "to",
	cBetween: "between", cAt: "at", cBy: "by", cAfter: "after", cFor: "for", cOn: "on", cNearly: "nearly",
	cYes: "yes", cOK: "ok", cOff: "off", cStill: "still", cSkip: "skip", cMinus: "minus", cHow: "how", cNow: "now",
	cHour: "hour", cMinute: "minute", cDays: "days", cHalf: "half", cQuarter: "quarter", cQuarterHour: "quarterhour", cSome: "some", cSince: "since",
	cLittle: "little", cTurn: "turn", cMM: "mm", cAM: "am", cPM: "pm",
	cNoon: "noon", cMidnight: "midnight", cMorning: "morning", cAfternoon: "afternoon", cEvening: "evening", cAllDay: "allday",
	cUsed: "used", cAllNight: "allnight", cPartNight: "partnight", cTaken: "taken", cSlept: "slept",
	cLoud: "loud", cOtherPain: "otherpain", cWoke: "woke",
	cTeeth: "teeth", cMeet: "meet", cBack: "back", cBoth: "both", cOne: "one",
	cFront: "front", cUnsure: "unsure", cNoseBreath: "nosebreath", cClear: "clear", cBlocked: "blocked",
	cAsleep: "asleep",
	cLeft:   "left", cStands: "stands", cStillAt: "stillat",
	cForgot: "forgot", cUncomf: "uncomfortable", cIll: "ill", cAway: "away", cTold: "told", cOther: "other",
	cJoint: "joint", cMuscle: "muscle", cElsewhere: "elsewhere",
	cHeard: "heard", cPartner: "partner", cSelf: "self", cRecorder: "recorder", cNobody: "nobody",
	cPutIn: "putin", cTakeOut: "takeout", cLipSeal: "lipseal", cClean: "clean", cFirstWeek: "firstweek",
	cBreathe: "breathe", cChest: "chest", cPress: "press", cFaint: "faint", cFace: "face", cDroop: "droop",
	cArm: "arm", cWeak: "weak", cSpeech: "speech", cSwell: "swell", cMouthPart: "mouthpart", cGum: "gum",
	cHives: "hives", cRash: "rash", cSwallow: "swallow", cSwallowed: "swallowed", cFever: "fever",
	cAppliance: "appliance", cPiece: "piece", cBroke: "broke", cFind: "find", cCough: "cough", cChoke: "choke",
	cJaw: "jaw", cLock: "lock", cOpen: "open", cClose: "close", cDislocated: "dislocated", cStuck: "stuck",
	cVomit: "vomit", cBleed: "bleed", cNotStop: "notstop", cSevere: "severe", cSudden: "sudden", cNumb: "numb",
	cChin: "chin", cSeat: "seat", cLoose: "loose", cLost: "lost", cTooth: "tooth", cCrown: "crown",
	cCatch: "catch", cClick: "click", cHearing: "hearing", cSore: "sore", cNight: "night", cStopped: "stopped",
	cGasp: "gasp", cWokeChoking: "wokechoking", cISwallowed: "iswallowed", cChild: "child", cCrash: "crash", cAccident: "accident",
	cWeek: "week", cWeeks: "weeks",
	cAsks: "asks", cIf: "if", cSays: "says", cThem: "them", cReply: "reply", cJust: "just", cIn: "in", cMend: "mend", cBother: "bother",
	cLeftAway: "leftaway", cHead: "head", cHalfway: "halfway", cNope: "nope", cAnHour: "anhour", cFix: "fix", cUnseen: "unseen", cToday: "today", cWorse: "worse", cPoint: "point", cSorry: "sorry", cAbout: "about", cMaybe: "maybe", cHabit: "habit", cElsewhen: "elsewhen", cBar: "except", cBody: "body", cUntil: "until", cStored: "stored", cNoDay: "noday", cOnly: "only",
}

// String names a concept as the dictionaries do.
func (c concept) String() string {
	if c < cField {
		return conceptNames[c]
	}
	return chart.Field(c - cField).Row().Name
}

// concepts is a set of concepts.
type concepts [4]uint64

func setOf(cs ...concept) concepts {
	var s concepts
	for _, c := range cs {
		s.add(c)
	}
	return s
}

func (s *concepts) add(c concept)     { s[c>>6] |= 1 << (c & 63) }
func (s concepts) has(c concept) bool { return s[c>>6]&(1<<(c&63)) != 0 }
func (s concepts) empty() bool        { return s[0]|s[1]|s[2]|s[3] == 0 }
func (s concepts) meets(t concepts) bool {
	return s[0]&t[0]|s[1]&t[1]|s[2]&t[2]|s[3]&t[3] != 0
}
func (s concepts) and(t concepts) concepts {
	return concepts{s[0] & t[0], s[1] & t[1], s[2] & t[2], s[3] & t[3]}
}
func (s concepts) or(t concepts) concepts {
	return concepts{s[0] | t[0], s[1] | t[1], s[2] | t[2], s[3] | t[3]}
}
