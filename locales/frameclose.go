package locales

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

func (p *parse) closeWorn(f *frame) {
	switch {
	case f.hasAt && !f.clock:
		p.number(chart.WornMinutes, numeral{n: f.time}, 0, chart.WornMinutes.Row().Most)
	case f.hasNum: // "worn 7": hours
		f.num.n *= 60
		p.number(chart.WornMinutes, f.num, 60, chart.WornMinutes.Row().Said)
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
		p.number(chart.Pain, f.num, 0, chart.Pain.Row().Said)
	case f.has.has(cLittle): // "not much pain" is no number
		p.token(chart.Pain, chart.Unknown)
	case f.neg:
		p.token(chart.Pain, chart.Num(0))
		p.negated()
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
// "gone by 5" is the afternoon. Morning ends at 11:00, midday with 13:00 (common
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
		case f.time > 13*60:
			v = chart.Num(chart.GoneAfternoon)
		case f.time > 11*60:
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
		p.number(chart.GuideMinutes, numeral{n: f.time}, 0, chart.GuideMinutes.Row().Said)
	case f.hasNum:
		p.number(chart.GuideMinutes, f.num, 0, chart.GuideMinutes.Row().Said)
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

// longest is how long after waking such a time is believed: "bite good at 15" is a length of time.
const longest = 7 * 60

func (p *parse) closeBite(f *frame) {
	if f.hasNum && !f.hasAt && f.num.kind == isNumber && (f.has.has(cAt) || f.has.has(cBy) || f.has.has(cAM) ||
		f.has.has(cPM)) {
		f.setHour(f.num)
		f.hasNum = f.num.kind == isBad
	}
	switch {
	case f.hasNum:
		d := reading.IsOdd
		if f.num.kind == isBad {
			d = f.num.doubt
		}
		p.doubt(chart.BiteMinutes, d)
	case f.hasAt && f.clock && f.time >= waking && f.time-waking <= longest:
		p.token(chart.BiteMinutes, chart.Num(int(f.time-waking)))
	case f.hasAt && !f.clock:
		p.number(chart.BiteMinutes, numeral{n: f.time}, 0, chart.BiteMinutes.Row().Said)
	case f.hasAt:
		p.token(chart.BiteMinutes, chart.Unknown)
	case f.has.has(cNoon) && !f.neg:
		p.token(chart.BiteMinutes, chart.Num(chart.BiteMidday))
	default:
		p.token(f.biteWords())
	}
}

// biteWords is what words alone say of the bite.
func (f *frame) biteWords() (chart.Field, chart.Answer) {
	back := f.has.has(cBack) || f.first == cBack
	fine := f.has.has(cOK) || f.has.has(cBoth) || f.has.has(cYes) || f.has.has(cMeet) || back
	off, still := f.has.has(cOff), f.has.has(cStill)
	switch {
	case f.has.has(cOne):
		return chart.Bite, chart.Num(chart.BiteOne)
	case f.has.has(cFront):
		return chart.Bite, chart.Num(chart.BiteFront)
	case f.has.has(cUnsure):
		return chart.Bite, chart.Num(chart.BiteUnsure)
	case still && (f.neg || off), f.neg && back:
		return chart.BiteMinutes, chart.Num(chart.BiteNot)
	case off && !f.neg, f.neg && fine:
		return chart.Bite, chart.Num(chart.BiteUnsure)
	case fine || off: // "not off"
		return chart.Bite, chart.Num(chart.BiteBoth)
	}
	return chart.Bite, chart.Unknown
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
	case f.before && !f.has.has(cAsleep) && !f.has.has(cNearly): // "no car this week"
		p.token(chart.Driving, chart.Num(chart.DrivingNoDrive))
	case f.neg, f.has.has(cOK):
		p.token(chart.Driving, chart.Num(chart.DrivingNo))
	case f.has.has(cNearly):
		p.token(chart.Driving, chart.Num(chart.DrivingNearly))
	case f.has.has(cAsleep): // "yes, I drove" is not that
		p.token(chart.Driving, chart.Num(chart.DrivingYes))
	default:
		p.token(chart.Driving, chart.Unknown)
	}
}

// mostSteps is how far from fitting day a setting is believed that is one piece
// of a day among others: no appliance has so many.
const mostSteps = 200

func (p *parse) closeSetting(f *frame) {
	if !f.hasNum {
		return // "right", "left it at home": no setting was named
	}
	field := f.topic.field()
	n, doubt := f.num.whole()
	if doubt != reading.NoDoubt {
		p.doubt(field, doubt)
		return
	}
	if n < -mostSteps || n > mostSteps {
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
