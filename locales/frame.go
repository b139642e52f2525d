package locales

import (
	"duskdawn/flows/chart"
)

// topic is the question that the words being read belong to: that of a field,
// or one of two more.
type topic uint8

const (
	tTaken = topic(chart.NumFields) + iota // taken out during the night
	tElse                                  // something that takes numbers and is none of our questions
	numTopics
)

// The topics of fields that the grammar knows by themselves. All others are
// read by their kind.
const (
	tNone    = topic(chart.NoField)
	tWorn    = topic(chart.Worn)
	tReason  = topic(chart.NotWorn)
	tSnore   = topic(chart.Snoring)
	tPain    = topic(chart.Pain)
	tGone    = topic(chart.Gone)
	tGuide   = topic(chart.Guide)
	tBite    = topic(chart.Bite)
	tNose    = topic(chart.Nose)
	tDrive   = topic(chart.Driving)
	tHead    = topic(chart.Headache)
	tSetting = topic(chart.SettingLeft)
	tRight   = topic(chart.SettingRight)
)

// yesNo reports whether a topic is answered with yes or no.
func (t topic) yesNo() bool { return t < tTaken && t != tNone && t.field().Row().Kind == chart.YesNo }

// field is the question that a topic answers first of all.
func (t topic) field() chart.Field {
	if t == tTaken {
		return chart.Worn
	}
	return chart.Field(t)
}

// opens says which concept begins which question: what a field is called does,
// and some words besides.
var opens = func() (o [numConcepts]topic) {
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		o[cField+concept(f)] = topic(f)
	}
	for c, t := range map[concept]topic{cTaken: tTaken, cTeeth: tBite, cBack: tBite, cNoseBreath: tNose, cLeft: tSetting,
		cStands: tSetting, cStillAt: tSetting, cSlept: tElse, cOtherPain: tElse, cChest: tElse, cFever: tElse} {
		o[c] = t
	}
	return o
}()

// manner is what a question understands: concepts, a bare number, and a length
// of time or a clock time.
type manner struct {
	accepts      concepts
	number, time bool
}

// manners are the questions' own, else those of their kind.
var manners = func() (all [numTopics]manner) {
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		m := &all[f]
		switch f.Row().Kind {
		case chart.YesNo:
			m.accepts = setOf(cYes)
		case chart.Scale:
			m.accepts, m.number = setOf(cLoud, cSevere, cLittle), true
		case chart.Setting:
			m.accepts, m.number = setOf(cAt, cTurn), true
		case chart.Minutes, chart.Hours:
			m.accepts, m.number, m.time = setOf(cFor), true, true
		}
	}
	for t, m := range map[topic]manner{
		tWorn:  {setOf(cAllNight, cPartNight, cYes, cOK, cUsed), true, true},
		tTaken: {setOf(cAt, cAfter, cAM, cPM, cMidnight, cPartNight, cBy), true, true},
		tPain: {setOf(cStill, cLittle, cJoint, cMuscle, cTooth, cGum, cElsewhere, cSevere, cOK, cJaw, cMorning, cMouthPart), true,
			false},
		tGone: {setOf(cBy, cAt, cAfter, cAM, cPM, cNoon, cMidnight, cMorning, cAfternoon, cEvening, cStill, cPain), true,
			true},
		tGuide: {setOf(cYes, cOK, cUsed, cFor, cWorn, cForgot), true, true},
		tBite: {setOf(cOK, cOff, cBoth, cOne, cFront, cUnsure, cBack, cStill, cAfter, cBy, cAt, cNoon, cAM, cPM, cMeet,
			cTeeth, cYes, cNow), true, true},
		tNose:  {accepts: setOf(cClear, cBlocked, cOK, cHard, cCannot, cYes)},
		tDrive: {accepts: setOf(cYes, cOK, cNearly, cAsleep)},
		tElse:  {number: true, time: true},
	} {
		all[t] = m
	}
	return all
}()

// frame collects what is said of one question until the next one begins.
type frame struct {
	topic  topic
	first  concept // the concept that opened it
	has    concepts
	neg    bool
	before bool // the "not" stood before its name
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
		p.token(f.topic.field(), chart.Skipped)
		return
	}
	switch f.topic {
	case tReason, tElse:
	case tWorn:
		p.closeWorn(&f)
	case tTaken:
		if f.neg { // "never took it out"
			p.token(chart.Worn, chart.Num(chart.WornAll))
			return
		}
		p.token(chart.Worn, chart.Num(chart.WornPart))
		p.whyOpen = true
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
	default:
		p.closeKind(&f)
	}
}

// closeKind keeps the answer of a question that has no grammar of its own.
func (p *parse) closeKind(f *frame) {
	field := f.topic.field()
	switch r := field.Row(); {
	case r.Kind == chart.Setting:
		p.closeSetting(f)
	case r.Kind == chart.YesNo && f.neg:
		p.token(field, chart.Num(chart.No))
	case r.Kind == chart.YesNo:
		p.token(field, chart.Num(chart.Yes))
	case f.hasAt && !f.clock:
		p.number(field, numeral{n: f.time}, r.Least, r.Most)
	case f.hasNum && r.Kind == chart.Hours:
		f.num.n *= 60
		p.number(field, f.num, r.Least, r.Said)
	case f.hasNum:
		p.number(field, f.num, r.Least, r.Said)
	case f.has.has(cLittle): // "not much snoring" is no number
		p.token(field, chart.Unknown)
	case f.neg && r.Kind == chart.Scale:
		p.token(field, chart.Num(r.Least))
		p.negated()
	default:
		p.token(field, chart.Unknown)
	}
}
