package locales

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// topic is the question that the words being read belong to.
type topic uint8

const (
	tNone topic = iota
	tWorn
	tTaken // taken out during the night
	tReason
	tSnore
	tPain
	tGone
	tGuide
	tBite
	tNose
	tSleepy
	tDrive
	tPauses
	tHeadache
	tSetting
	tRight
	tElse // something that takes numbers and is none of our questions
	numTopics
)

// opens says which concept begins which question.
var opens = [numConcepts]topic{
	cWorn: tWorn, cTaken: tTaken, cReason: tReason, cSnore: tSnore, cPain: tPain, cGone: tGone, cGuide: tGuide,
	cBite: tBite, cTeeth: tBite, cBack: tBite, cNose: tNose, cNoseBreath: tNose, cSleepy: tSleepy, cDrive: tDrive,
	cPauses:   tPauses,
	cHeadache: tHeadache, cSetting: tSetting, cLeft: tSetting, cStands: tSetting, cStillAt: tSetting,
	cRight: tRight, cSlept: tElse, cOtherPain: tElse, cChest: tElse, cFever: tElse,
}

// accepts says which concepts a question understands.
var accepts = [numTopics]concepts{
	tWorn:  setOf(cAllNight, cPartNight, cYes, cOK, cUsed),
	tTaken: setOf(cAt, cAfter, cAM, cPM, cMidnight, cPartNight, cBy),
	tSnore: setOf(cLoud, cSevere),
	tPain:  setOf(cStill, cJoint, cMuscle, cTooth, cGum, cElsewhere, cSevere, cOK, cJaw, cMorning, cMouthPart),
	tGone:  setOf(cBy, cAt, cAfter, cAM, cPM, cNoon, cMidnight, cMorning, cAfternoon, cEvening, cStill, cPain),
	tGuide: setOf(cYes, cOK, cUsed, cFor, cWorn, cForgot),
	tBite: setOf(cOK, cOff, cBoth, cOne, cFront, cUnsure, cBack, cStill, cAfter, cBy, cAt, cNoon, cAM, cPM, cMeet,
		cTeeth, cYes, cNow),
	tNose:     setOf(cClear, cBlocked, cOK, cHard, cCannot, cYes),
	tSleepy:   setOf(cLoud, cSevere),
	tDrive:    setOf(cYes, cOK, cNearly, cAsleep),
	tPauses:   setOf(cYes),
	tHeadache: setOf(cYes),
	tSetting:  setOf(cAt, cTurn),
	tRight:    setOf(cAt, cTurn),
}

// takesNumber and takesTime say which questions take a bare number, or a
// length of time or a clock time.
var takesNumber = [numTopics]bool{tWorn: true, tTaken: true, tSnore: true, tPain: true, tGone: true, tGuide: true,
	tBite:   true,
	tSleepy: true, tSetting: true, tRight: true, tElse: true}

var takesTime = [numTopics]bool{tWorn: true, tTaken: true, tGone: true, tGuide: true, tBite: true, tElse: true}

// frame collects what is said of one question until the next one begins.
type frame struct {
	topic  topic
	first  concept // the concept that opened it
	has    concepts
	neg    bool
	skip   bool
	num    numeral
	hasNum bool
	time   int32 // minutes, or minutes after midnight where clock
	clock  bool
	hours  bool
	hasAt  bool // a time was given
	early  bool // it stood before the question's name
}

// empty reports whether nothing was said yet but the question's name.
func (f *frame) empty() bool {
	return !f.neg && !f.hasNum && !f.hasAt && f.has.empty()
}

// reasons are the concepts that say why it was not worn.
func reasonOf(c concept) (int, bool) {
	switch c {
	case cForgot:
		return chart.ReasonForgot, true
	case cPain, cSore:
		return chart.ReasonPain, true
	case cUncomf:
		return chart.ReasonDiscomf, true
	case cIll, cBlocked, cVomit, cFever, cCough:
		return chart.ReasonIll, true
	case cAway:
		return chart.ReasonAway, true
	case cBroke, cLost, cSeat, cLoose:
		return chart.ReasonBroken, true
	case cTold:
		return chart.ReasonAdvised, true
	case cOther:
		return chart.ReasonOther, true
	case cUnsure:
		return chart.ReasonNotKnown, true
	}
	return 0, false
}

// close ends the open question and keeps the answers it brought.
func (p *parse) close() {
	f := p.frame
	p.frame = frame{}
	switch {
	case f.topic == tNone:
		return
	case f.skip:
		p.token(topicField[f.topic], chart.Skipped)
		return
	}
	switch f.topic {
	case tWorn:
		p.closeWorn(&f)
	case tTaken:
		p.token(chart.Worn, chart.Num(chart.WornPart))
		p.whyOpen = true
	case tSnore, tSleepy:
		p.closeScale(&f, topicField[f.topic])
	case tPain:
		p.closePain(&f)
	case tGone:
		p.closeGone(&f)
	case tGuide:
		p.closeGuide(&f)
	case tBite:
		p.closeBite(&f)
	case tNose:
		p.closeNose(&f)
	case tDrive:
		p.closeDrive(&f)
	case tPauses, tHeadache:
		v := chart.Yes
		if f.neg {
			v = chart.No
		}
		p.token(topicField[f.topic], chart.Num(v))
	case tSetting, tRight:
		p.closeSetting(&f)
	}
}

// topicField is the question a topic answers first of all.
var topicField = [numTopics]chart.Field{tWorn: chart.Worn, tTaken: chart.Worn, tReason: chart.NotWorn,
	tSnore: chart.Snoring,
	tPain:  chart.Pain, tGone: chart.Gone, tGuide: chart.Guide, tBite: chart.Bite, tNose: chart.Nose,
	tSleepy: chart.Sleepiness,
	tDrive:  chart.Driving, tPauses: chart.Pauses, tHeadache: chart.Headache, tSetting: chart.SettingLeft,
	tRight: chart.SettingRight}

// closeScale keeps a score from 0 to 10.
func (p *parse) closeScale(f *frame, field chart.Field) {
	switch {
	case f.hasNum:
		p.number(field, f.num, 0, 10)
	case f.neg:
		p.token(field, chart.Num(0))
	default:
		p.token(field, chart.Unknown)
	}
}

func (p *parse) closeWorn(f *frame) {
	switch {
	case f.hasAt && !f.clock:
		p.number(chart.WornMinutes, numeral{n: f.time}, 0, 1440)
	case f.hasNum: // "worn 7": hours
		f.num.n *= 60
		p.number(chart.WornMinutes, f.num, 60, 16*60)
	case f.neg && (f.has.has(cAllNight) || f.has.has(cPartNight)):
		p.token(chart.Worn, chart.Num(chart.WornPart))
		p.whyOpen = true
	case f.neg:
		p.token(chart.Worn, chart.Num(chart.WornNo))
		p.whyOpen = true
	case f.has.has(cAllNight):
		p.token(chart.Worn, chart.Num(chart.WornAll))
	case f.has.has(cPartNight):
		p.token(chart.Worn, chart.Num(chart.WornPart))
		p.whyOpen = true
	default:
		p.token(chart.Worn, chart.Unknown)
	}
}

func (p *parse) closePain(f *frame) {
	site := chart.Unknown
	switch {
	case f.has.has(cJoint):
		site = chart.Num(chart.SiteJoint)
	case f.has.has(cMuscle):
		site = chart.Num(chart.SiteMuscle)
	case f.has.has(cTooth):
		site = chart.Num(chart.SiteTooth)
	case f.has.has(cGum):
		site = chart.Num(chart.SiteGum)
	case f.has.has(cElsewhere):
		site = chart.Num(chart.SiteOther)
	}
	still := f.has.has(cStill) && !f.neg
	switch {
	case f.hasNum:
		p.number(chart.Pain, f.num, 0, 10)
	case f.neg:
		p.token(chart.Pain, chart.Num(0))
	case still, site != chart.Unknown, p.painSaid:
	default:
		p.token(chart.Pain, chart.Unknown)
	}
	if site != chart.Unknown && !f.neg {
		p.token(chart.Where, site)
	}
	if still {
		p.token(chart.Gone, chart.Num(chart.GoneNo))
	}
}

// Where a clock hour is given bare, the worse of its two readings counts:
// "gone by 5" is the afternoon. Morning ends at 11:00, midday at 13:00 (common
// practice, no source).
func (p *parse) closeGone(f *frame) {
	v := chart.Unknown
	if f.hasNum && !f.hasAt && f.num.kind == isNumber {
		f.setHour(f.num)
	}
	switch {
	case f.neg || f.has.has(cStill):
		v = chart.Num(chart.GoneNo)
	case f.hasAt && f.clock:
		switch {
		case f.time >= 13*60:
			v = chart.Num(chart.GoneAfternoon)
		case f.time >= 11*60:
			v = chart.Num(chart.GoneMidday)
		default:
			v = chart.Num(chart.GoneMorning)
		}
	case f.hasAt: // so long after waking
		switch {
		case f.time > chart.BiteMidday:
			v = chart.Num(chart.GoneAfternoon)
		case f.time > 4*60:
			v = chart.Num(chart.GoneMidday)
		default:
			v = chart.Num(chart.GoneMorning)
		}
	case f.has.has(cAfternoon), f.has.has(cEvening), f.has.has(cNoon) && f.has.has(cAfter):
		v = chart.Num(chart.GoneAfternoon)
	case f.has.has(cNoon):
		v = chart.Num(chart.GoneMidday)
	case f.has.has(cMorning):
		v = chart.Num(chart.GoneMorning)
	}
	if f.hasNum && f.num.kind == isBad {
		p.doubt(chart.Gone, f.num.doubt)
		return
	}
	p.token(chart.Gone, v)
}

// setHour takes a bare number as an hour of the clock, the later one where it
// may be either.
func (f *frame) setHour(n numeral) {
	h := n.n
	if n.neg || h > 24 || n.milli%10 != 0 || n.milli/10 > 59 {
		f.num = numeral{kind: isBad, doubt: reading.IsOdd}
		return
	}
	switch {
	case f.has.has(cPM) && h < 12:
		h += 12
	case f.has.has(cAM) && h == 12:
		h = 0
	case !f.has.has(cAM) && !f.has.has(cPM) && !f.has.has(cMorning) && h >= 1 && h <= 5:
		h += 12
	}
	f.time, f.clock, f.hasAt = h%24*60+int32(n.milli/10), true, true
}

func (p *parse) closeGuide(f *frame) {
	switch {
	case f.hasAt && !f.clock:
		p.number(chart.GuideMinutes, numeral{n: f.time}, 0, 240)
	case f.hasNum:
		p.number(chart.GuideMinutes, f.num, 0, 240)
	case f.neg, f.has.has(cForgot):
		p.token(chart.Guide, chart.Num(chart.No))
	case f.has.empty():
		p.token(chart.Guide, chart.Unknown)
	default:
		p.token(chart.Guide, chart.Num(chart.Yes))
	}
}

// Clock times of the bite count from waking at seven, as flows.BiteMidday does.
const waking = 7 * 60

func (p *parse) closeBite(f *frame) {
	if f.hasNum && !f.hasAt && f.num.kind == isNumber && (f.has.has(cAt) || f.has.has(cBy) || f.has.has(cAM) ||
		f.has.has(cPM)) {
		f.setHour(f.num)
		f.hasNum = f.num.kind == isBad
	}
	fine := f.has.has(cOK) || f.has.has(cBoth) || f.has.has(cYes) || f.has.has(cBack) || f.has.has(cMeet) ||
		f.first == cBack
	still := f.has.has(cStill)
	switch {
	case f.hasNum:
		d := reading.IsOdd
		if f.num.kind == isBad {
			d = f.num.doubt
		}
		p.doubt(chart.BiteMinutes, d)
	case f.hasAt && f.clock && f.time >= waking:
		p.token(chart.BiteMinutes, chart.Num(int(f.time-waking)))
	case f.hasAt && !f.clock:
		p.number(chart.BiteMinutes, numeral{n: f.time}, 0, 1440)
	case f.hasAt:
		p.token(chart.BiteMinutes, chart.Unknown)
	case f.has.has(cNoon) && !f.neg:
		p.token(chart.BiteMinutes, chart.Num(chart.BiteMidday))
	case f.has.has(cOne):
		p.token(chart.Bite, chart.Num(chart.BiteOne))
	case f.has.has(cFront):
		p.token(chart.Bite, chart.Num(chart.BiteFront))
	case f.has.has(cUnsure):
		p.token(chart.Bite, chart.Num(chart.BiteUnsure))
	case still && (f.neg || f.has.has(cOff)), f.neg && (f.has.has(cBack) || f.first == cBack):
		p.token(chart.BiteMinutes, chart.Num(chart.BiteNot))
	case f.has.has(cOff) && !f.neg, f.neg && fine:
		p.token(chart.Bite, chart.Num(chart.BiteUnsure))
	case fine || f.has.has(cOff):
		p.token(chart.Bite, chart.Num(chart.BiteBoth))
	default:
		p.token(chart.Bite, chart.Unknown)
	}
}

func (p *parse) closeNose(f *frame) {
	clear := f.has.has(cClear) || f.has.has(cOK) || f.has.has(cYes)
	blocked := f.has.has(cBlocked) || f.has.has(cHard) || f.has.has(cCannot)
	switch {
	case blocked != f.neg && (blocked || clear):
		p.token(chart.Nose, chart.Num(chart.No))
	case blocked || clear:
		p.token(chart.Nose, chart.Num(chart.Yes))
	case f.first == cNoseBreath && f.neg:
		p.token(chart.Nose, chart.Num(chart.No))
	case f.first == cNoseBreath:
		p.token(chart.Nose, chart.Num(chart.Yes))
	default:
		p.token(chart.Nose, chart.Unknown)
	}
}

func (p *parse) closeDrive(f *frame) {
	switch {
	case f.neg, f.has.has(cOK):
		p.token(chart.Driving, chart.Num(chart.DrivingNo))
	case f.has.has(cNearly):
		p.token(chart.Driving, chart.Num(chart.DrivingNearly))
	case f.has.has(cAsleep), f.has.has(cYes):
		p.token(chart.Driving, chart.Num(chart.DrivingYes))
	default:
		p.token(chart.Driving, chart.Unknown)
	}
}

func (p *parse) closeSetting(f *frame) {
	if !f.hasNum {
		return // "right", "left it at home": no setting was named
	}
	field := topicField[f.topic]
	n, doubt := f.num.whole()
	if doubt != reading.NoDoubt {
		p.doubt(field, doubt)
		return
	}
	if n < -200 || n > 200 {
		p.doubt(field, reading.OutOfZone)
		return
	}
	p.token(field, chart.Num(n))
	switch f.first {
	case cStands:
		p.out.Word = reading.WordStands
	case cStillAt:
		p.out.Word = reading.WordStill
	}
}
