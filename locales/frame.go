package locales

import "duskdawn/flows"

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
	cBite: tBite, cTeeth: tBite, cBack: tBite, cNose: tNose, cNoseBreath: tNose, cSleepy: tSleepy, cDrive: tDrive, cPauses: tPauses,
	cHeadache: tHeadache, cSetting: tSetting, cLeft: tSetting, cStands: tSetting, cStillAt: tSetting,
	cRight: tRight, cSlept: tElse, cOtherPain: tElse, cChest: tElse, cFever: tElse,
}

// accepts says which concepts a question understands.
var accepts = [numTopics]concepts{
	tWorn:     setOf(cAllNight, cPartNight, cYes, cOK, cUsed),
	tTaken:    setOf(cAt, cAfter, cAM, cPM, cMidnight, cPartNight, cBy),
	tSnore:    setOf(cLoud, cSevere),
	tPain:     setOf(cStill, cJoint, cMuscle, cTooth, cGum, cElsewhere, cSevere, cOK, cJaw, cMorning, cMouthPart),
	tGone:     setOf(cBy, cAt, cAfter, cAM, cPM, cNoon, cMidnight, cMorning, cAfternoon, cEvening, cStill, cPain),
	tGuide:    setOf(cYes, cOK, cUsed, cFor, cWorn, cForgot),
	tBite:     setOf(cOK, cOff, cBoth, cOne, cFront, cUnsure, cBack, cStill, cAfter, cBy, cAt, cNoon, cAM, cPM, cMeet, cTeeth, cYes, cNow),
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
var takesNumber = [numTopics]bool{tWorn: true, tTaken: true, tSnore: true, tPain: true, tGone: true, tGuide: true, tBite: true,
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

// empty tells whether nothing was said yet but the question's name.
func (f *frame) empty() bool {
	return !f.neg && !f.hasNum && !f.hasAt && f.has.empty()
}

// reasons are the concepts that say why it was not worn.
func reasonOf(c concept) (int, bool) {
	switch c {
	case cForgot:
		return flows.ReasonForgot, true
	case cPain, cSore:
		return flows.ReasonPain, true
	case cUncomf:
		return flows.ReasonDiscomf, true
	case cIll, cBlocked, cVomit, cFever, cCough:
		return flows.ReasonIll, true
	case cAway:
		return flows.ReasonAway, true
	case cBroke, cLost, cSeat, cLoose:
		return flows.ReasonBroken, true
	case cTold:
		return flows.ReasonAdvised, true
	case cOther:
		return flows.ReasonOther, true
	case cUnsure:
		return flows.ReasonNotKnown, true
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
		p.token(topicField[f.topic], flows.Skipped)
		return
	}
	switch f.topic {
	case tWorn:
		p.closeWorn(&f)
	case tTaken:
		p.token(flows.Worn, flows.Num(flows.WornPart))
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
		v := flows.Yes
		if f.neg {
			v = flows.No
		}
		p.token(topicField[f.topic], flows.Num(v))
	case tSetting, tRight:
		p.closeSetting(&f)
	}
}

// topicField is the question a topic answers first of all.
var topicField = [numTopics]flows.Field{tWorn: flows.Worn, tTaken: flows.Worn, tReason: flows.NotWorn, tSnore: flows.Snoring,
	tPain: flows.Pain, tGone: flows.Gone, tGuide: flows.Guide, tBite: flows.Bite, tNose: flows.Nose, tSleepy: flows.Sleepiness,
	tDrive: flows.Driving, tPauses: flows.Pauses, tHeadache: flows.Headache, tSetting: flows.SettingLeft, tRight: flows.SettingRight}

// closeScale keeps a score from 0 to 10.
func (p *parse) closeScale(f *frame, field flows.Field) {
	switch {
	case f.hasNum:
		p.number(field, f.num, 0, 10)
	case f.neg:
		p.token(field, flows.Num(0))
	default:
		p.token(field, flows.Unknown)
	}
}

func (p *parse) closeWorn(f *frame) {
	switch {
	case f.hasAt && !f.clock:
		p.number(flows.WornMinutes, numeral{n: f.time}, 0, 1440)
	case f.hasNum: // "worn 7": hours
		f.num.n *= 60
		p.number(flows.WornMinutes, f.num, 60, 16*60)
	case f.neg && (f.has.has(cAllNight) || f.has.has(cPartNight)):
		p.token(flows.Worn, flows.Num(flows.WornPart))
		p.whyOpen = true
	case f.neg:
		p.token(flows.Worn, flows.Num(flows.WornNo))
		p.whyOpen = true
	case f.has.has(cAllNight):
		p.token(flows.Worn, flows.Num(flows.WornAll))
	case f.has.has(cPartNight):
		p.token(flows.Worn, flows.Num(flows.WornPart))
		p.whyOpen = true
	default:
		p.token(flows.Worn, flows.Unknown)
	}
}

func (p *parse) closePain(f *frame) {
	site := flows.Unknown
	switch {
	case f.has.has(cJoint):
		site = flows.Num(flows.SiteJoint)
	case f.has.has(cMuscle):
		site = flows.Num(flows.SiteMuscle)
	case f.has.has(cTooth):
		site = flows.Num(flows.SiteTooth)
	case f.has.has(cGum):
		site = flows.Num(flows.SiteGum)
	case f.has.has(cElsewhere):
		site = flows.Num(flows.SiteOther)
	}
	still := f.has.has(cStill) && !f.neg
	switch {
	case f.hasNum:
		p.number(flows.Pain, f.num, 0, 10)
	case f.neg:
		p.token(flows.Pain, flows.Num(0))
	case still, site != flows.Unknown, p.painSaid:
	default:
		p.token(flows.Pain, flows.Unknown)
	}
	if site != flows.Unknown && !f.neg {
		p.token(flows.Where, site)
	}
	if still {
		p.token(flows.Gone, flows.Num(flows.GoneNo))
	}
}

// Where a clock hour is given bare, the worse of its two readings counts:
// "gone by 5" is the afternoon. Morning ends at 11:00, midday at 13:00 (common
// practice, no source).
func (p *parse) closeGone(f *frame) {
	v := flows.Unknown
	if f.hasNum && !f.hasAt && f.num.kind == isNumber {
		f.setHour(f.num)
	}
	switch {
	case f.neg || f.has.has(cStill):
		v = flows.Num(flows.GoneNo)
	case f.hasAt && f.clock:
		switch {
		case f.time >= 13*60:
			v = flows.Num(flows.GoneAfternoon)
		case f.time >= 11*60:
			v = flows.Num(flows.GoneMidday)
		default:
			v = flows.Num(flows.GoneMorning)
		}
	case f.hasAt: // so long after waking
		switch {
		case f.time > flows.BiteMidday:
			v = flows.Num(flows.GoneAfternoon)
		case f.time > 4*60:
			v = flows.Num(flows.GoneMidday)
		default:
			v = flows.Num(flows.GoneMorning)
		}
	case f.has.has(cAfternoon), f.has.has(cEvening), f.has.has(cNoon) && f.has.has(cAfter):
		v = flows.Num(flows.GoneAfternoon)
	case f.has.has(cNoon):
		v = flows.Num(flows.GoneMidday)
	case f.has.has(cMorning):
		v = flows.Num(flows.GoneMorning)
	}
	if f.hasNum && f.num.kind == isBad {
		p.doubt(flows.Gone, f.num.doubt)
		return
	}
	p.token(flows.Gone, v)
}

// setHour takes a bare number as an hour of the clock, the later one where it
// may be either.
func (f *frame) setHour(n numeral) {
	h := n.n
	if n.neg || h > 24 || n.milli%10 != 0 || n.milli/10 > 59 {
		f.num = numeral{kind: isBad, doubt: flows.IsOdd}
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
		p.number(flows.GuideMinutes, numeral{n: f.time}, 0, 240)
	case f.hasNum:
		p.number(flows.GuideMinutes, f.num, 0, 240)
	case f.neg, f.has.has(cForgot):
		p.token(flows.Guide, flows.Num(flows.No))
	case f.has.empty():
		p.token(flows.Guide, flows.Unknown)
	default:
		p.token(flows.Guide, flows.Num(flows.Yes))
	}
}

// Clock times of the bite count from waking at seven, as flows.BiteMidday does.
const waking = 7 * 60

func (p *parse) closeBite(f *frame) {
	if f.hasNum && !f.hasAt && f.num.kind == isNumber && (f.has.has(cAt) || f.has.has(cBy) || f.has.has(cAM) || f.has.has(cPM)) {
		f.setHour(f.num)
		f.hasNum = f.num.kind == isBad
	}
	fine := f.has.has(cOK) || f.has.has(cBoth) || f.has.has(cYes) || f.has.has(cBack) || f.has.has(cMeet) || f.first == cBack
	still := f.has.has(cStill)
	switch {
	case f.hasNum:
		d := flows.IsOdd
		if f.num.kind == isBad {
			d = f.num.doubt
		}
		p.doubt(flows.BiteMinutes, d)
	case f.hasAt && f.clock && f.time >= waking:
		p.token(flows.BiteMinutes, flows.Num(int(f.time-waking)))
	case f.hasAt && !f.clock:
		p.number(flows.BiteMinutes, numeral{n: f.time}, 0, 1440)
	case f.hasAt:
		p.token(flows.BiteMinutes, flows.Unknown)
	case f.has.has(cNoon) && !f.neg:
		p.token(flows.BiteMinutes, flows.Num(flows.BiteMidday))
	case f.has.has(cOne):
		p.token(flows.Bite, flows.Num(flows.BiteOne))
	case f.has.has(cFront):
		p.token(flows.Bite, flows.Num(flows.BiteFront))
	case f.has.has(cUnsure):
		p.token(flows.Bite, flows.Num(flows.BiteUnsure))
	case still && (f.neg || f.has.has(cOff)), f.neg && (f.has.has(cBack) || f.first == cBack):
		p.token(flows.BiteMinutes, flows.Num(flows.BiteNot))
	case f.has.has(cOff) && !f.neg, f.neg && fine:
		p.token(flows.Bite, flows.Num(flows.BiteUnsure))
	case fine || f.has.has(cOff):
		p.token(flows.Bite, flows.Num(flows.BiteBoth))
	default:
		p.token(flows.Bite, flows.Unknown)
	}
}

func (p *parse) closeNose(f *frame) {
	clear := f.has.has(cClear) || f.has.has(cOK) || f.has.has(cYes)
	blocked := f.has.has(cBlocked) || f.has.has(cHard) || f.has.has(cCannot)
	switch {
	case blocked != f.neg && (blocked || clear):
		p.token(flows.Nose, flows.Num(flows.No))
	case blocked || clear:
		p.token(flows.Nose, flows.Num(flows.Yes))
	case f.first == cNoseBreath && f.neg:
		p.token(flows.Nose, flows.Num(flows.No))
	case f.first == cNoseBreath:
		p.token(flows.Nose, flows.Num(flows.Yes))
	default:
		p.token(flows.Nose, flows.Unknown)
	}
}

func (p *parse) closeDrive(f *frame) {
	switch {
	case f.neg, f.has.has(cOK):
		p.token(flows.Driving, flows.Num(flows.DrivingNo))
	case f.has.has(cNearly):
		p.token(flows.Driving, flows.Num(flows.DrivingNearly))
	case f.has.has(cAsleep), f.has.has(cYes):
		p.token(flows.Driving, flows.Num(flows.DrivingYes))
	default:
		p.token(flows.Driving, flows.Unknown)
	}
}

func (p *parse) closeSetting(f *frame) {
	if !f.hasNum {
		return // "right", "left it at home": no setting was named
	}
	field := topicField[f.topic]
	n, doubt := f.num.whole()
	if doubt != flows.NoDoubt {
		p.doubt(field, doubt)
		return
	}
	if n < -200 || n > 200 {
		p.doubt(field, flows.OutOfZone)
		return
	}
	p.token(field, flows.Num(n))
	switch f.first {
	case cStands:
		p.out.Word = flows.WordStands
	case cStillAt:
		p.out.Word = flows.WordStill
	}
}
