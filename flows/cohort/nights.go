package cohort

import (
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
)

// nights lives them: the staff's day, the evening, bed, the night, the morning.
func (pl *Player) nights() {
	for d := range civil.Date(pl.trial.Nights) {
		pl.night = pl.trial.fitted() + d
		pl.out.Nights++
		pl.staff()
		if pl.p.Course.State == chart.Ended {
			return
		}
		plan := &pl.p.Plan
		pl.until(at(civil.Wall{Date: pl.night, Clock: plan.Evening}))
		pl.heard = false
		if !pl.quit && pl.r.Float64() < pl.who.answers {
			pl.evening()
		}
		pl.until(at(civil.Wall{Date: pl.night + 1}))
		pl.bed()
		pl.sleep()
		pl.until(at(civil.Wall{Date: pl.night + 1, Clock: plan.Morning}))
		if !pl.quit && pl.r.Float64() < pl.who.answers {
			pl.dawn()
		}
		pl.dayDone()
	}
}

// token gathers an answer.
func (pl *Player) token(f chart.Field, n int) {
	pl.toks = append(pl.toks, reading.Token{Field: f, Value: chart.Num(n)})
}

// tell says what was gathered.
func (pl *Player) tell() {
	if len(pl.toks) > 0 {
		pl.say(reading.Reading{Tokens: pl.toks})
	}
	pl.toks = pl.toks[:0]
}

// evening answers the evening's prompt: in a line, or question by question.
// What a line leaves open is answered too; the setting it tells in the morning.
func (pl *Player) evening() {
	k := &pl.p.Talk
	if k.CheckIn == flows.NoCheckIn || k.Open == chart.NoField {
		return
	}
	pl.heard = true
	pl.until(pl.now + minute(1+pl.r.IntN(promptDelayMost)))
	if !pl.who.presses {
		pl.toks = pl.toks[:0]
		if k.Open != chart.SettingLeft { // once the setting is asked the rest is past
			pl.token(chart.Wrong, chart.No)
			if m := &pl.morning; pl.night > pl.trial.fitted() && m.pain > pl.p.Baseline.Pain.N() {
				pl.toks = append(pl.toks, reading.Token{Field: chart.Gone, Value: chart.Num(m.gone)})
			}
			pl.tell()
		}
		weekly := k.WeeklyA != 0 && pl.night-k.WeeklyA >= 7
		if pl.p.Course.Advice.Night == pl.night && pl.p.Course.Advice.Action != chart.NoAction && !weekly {
			return
		}
	}
	pl.talk(14)
	switch x := pl.r.Float64(); {
	case x < trouble:
		pl.amiss()
	case x < trouble+max(pl.trial.Dire, emergency):
		pl.dire()
	}
}

// dire says an emergency, once: of the patient, or of a child.
func (pl *Player) dire() {
	some := [...]reading.Features{reading.FBreath, reading.FChest, reading.FFaint, reading.FSwallowed, reading.FChoke,
		reading.FSwelling | reading.FMouthFace, reading.FBleeding | reading.FNotStopping, reading.FStroke, reading.FSelfHarm,
		reading.FSeizure, reading.FChild}
	pl.say(reading.Reading{Features: some[pl.r.IntN(len(some))], Rest: true})
	pl.talk(3)
}

// amiss says that something is not right, in words that the flow knows.
func (pl *Player) amiss() {
	some := [...]reading.Features{reading.FSore, reading.FSeat, reading.FBroken, reading.FTooth, reading.FCatch,
		reading.FBiteOff, reading.FLipSeal, reading.FLost}
	pl.say(reading.Reading{Features: some[pl.r.IntN(len(some))], Rest: true})
	pl.talk(3)
}

// dawn answers the morning's.
func (pl *Player) dawn() {
	k := &pl.p.Talk
	if k.CheckIn == flows.NoCheckIn || k.Open == chart.NoField {
		return
	}
	pl.until(pl.now + minute(1+pl.r.IntN(promptDelayMost)))
	m := &pl.morning
	m.said = true
	if !pl.who.presses {
		pl.toks = pl.toks[:0]
		if e, _ := pl.p.Course.Entry(pl.night); !e.At(chart.SettingLeft).Known() && e.Action > chart.LeaveOut {
			pl.token(chart.SettingLeft, pl.counted())
			if pl.p.Appliance.TwoSided {
				pl.token(chart.SettingRight, pl.counted()+int(pl.p.Appliance.Offset))
			}
		}
		pl.token(chart.Worn, m.worn)
		if m.worn == chart.WornPart {
			pl.token(chart.WornMinutes, m.minutes)
		}
		if m.why != 0 {
			pl.token(chart.NotWorn, m.why)
		}
		if m.worn != chart.WornNo {
			if m.heard {
				pl.token(chart.Snoring, m.snoring)
			} else {
				pl.token(chart.Reporter, chart.ReporterNobody)
			}
			if pl.p.Appliance.Guide {
				pl.token(chart.Guide, yesNo(m.guide))
			}
			pl.token(chart.BiteMinutes, m.bite)
		}
		pl.token(chart.Pain, m.pain)
		if m.pain > pl.p.Baseline.Pain.N() && m.gone == chart.GoneMorning {
			pl.token(chart.Gone, m.gone)
		}
		pl.tell()
	}
	pl.talk(14)
}

// talk answers open questions one by one, at most so many.
func (pl *Player) talk(most int) {
	for range most {
		k := &pl.p.Talk
		switch {
		case k.Ask == flows.AskWrong || k.Ask == flows.AskNow:
			pl.say(reading.Reading{Word: reading.WordNo})
			if k.Ask == flows.AskWrong {
				return
			}
		case k.Ask == flows.AskHow: // the morning after an emergency: it is over
			pl.say(reading.Reading{Word: reading.WordYes})
		case k.CheckIn == flows.NoCheckIn && k.Open == chart.NoField:
			return
		case k.Open == chart.NoField:
			return
		default:
			pl.toks = pl.toks[:0]
			pl.reply(k.Open)
			pl.tell()
		}
	}
}

// reply is the answer to one question.
func (pl *Player) reply(f chart.Field) {
	m, r := &pl.morning, pl.r
	switch f {
	case chart.SettingLeft, chart.SettingRight:
		a := &pl.p.Course.Advice
		if a.Night == pl.night && a.Action != chart.NoAction && pl.now < at(civil.Wall{Date: pl.night + 1}) {
			pl.bed() // it is turned now, and read off
		}
		n := pl.counted()
		if f == chart.SettingRight {
			n += int(pl.p.Appliance.Offset)
		}
		pl.token(f, n)
	case chart.Worn:
		pl.token(f, m.worn)
	case chart.WornMinutes:
		pl.token(f, m.minutes)
	case chart.NotWorn:
		pl.token(f, max(m.why, chart.ReasonForgot))
	case chart.Reporter:
		pl.token(f, chart.ReporterPartner)
	case chart.Snoring:
		if !m.heard {
			pl.token(chart.Reporter, chart.ReporterNobody)
			return
		}
		pl.token(f, m.snoring)
	case chart.Unusual:
		pl.token(f, m.odd)
	case chart.Pain:
		pl.token(f, m.pain)
	case chart.Woken:
		pl.token(f, yesNo(m.pain >= wokenFrom && r.IntN(3) == 0))
	case chart.Where:
		pl.token(f, pl.who.site)
	case chart.Gone:
		if pl.p.Talk.CheckIn == flows.MorningCheck && m.gone != chart.GoneMorning {
			pl.token(f, chart.GoneNo)
		} else {
			pl.token(f, m.gone)
		}
	case chart.Guide:
		pl.token(f, yesNo(m.guide))
	case chart.Bite:
		pl.token(f, pl.meets())
	case chart.BiteMinutes:
		pl.token(f, m.bite)
	case chart.Nose:
		pl.token(f, chart.Yes)
	case chart.Sleepiness:
		pl.token(f, clampInt(pl.sleepiness()+r.IntN(2), 0, 10))
	case chart.Driving:
		pl.token(f, map[bool]int{true: chart.DrivingNearly, false: chart.DrivingNo}[r.Float64() < nodding])
	case chart.Headache:
		pl.token(f, yesNo(pl.symptom(pl.who.headaches)))
	case chart.HeadacheDays:
		pl.token(f, chart.DaysOne+r.IntN(chart.DaysMore))
	case chart.Pauses:
		pl.token(f, yesNo(pl.symptom(pl.who.pauses)))
	case chart.New:
		pl.token(f, pl.news())
	default: // anything wrong
		pl.token(f, f.Row().Least)
	}
}

// wokenFrom is the pain from which it may wake somebody.
const wokenFrom = 7

// meets is how the teeth meet in the morning.
func (pl *Player) meets() int {
	if pl.morning.bite <= 30 {
		return chart.BiteBoth
	}
	return chart.BiteFront
}

// sleepiness is what is told of a week, or one more.
func (pl *Player) sleepiness() int {
	return pl.who.sleepy - int(3*(1-pl.who.desaturations(pl.mm())))
}

// news is what is new in a week.
func (pl *Player) news() int {
	if pl.r.Float64() >= anew {
		return chart.NewNothing
	}
	switch x := pl.r.IntN(20); {
	case x < 8:
		return chart.NewDental
	case x < 16:
		return chart.NewTablets
	case x < 19:
		return chart.NewWeight
	}
	return chart.NewPregnancy
}

// symptom reports whether one is told of a week: as often as desaturations are left
// by who had it before, seldom by who had not.
func (pl *Player) symptom(before bool) bool {
	if before {
		return pl.r.Float64() < pl.who.desaturations(pl.mm())
	}
	return pl.r.Float64() < newSymptom
}

func yesNo(b bool) int {
	if b {
		return chart.Yes
	}
	return chart.No
}

// counted is the setting as the patient reads it off.
func (pl *Player) counted() int {
	n := int(pl.stands)
	if pl.r.Float64() < miscount {
		n += 1 - 2*pl.r.IntN(2)
	}
	return n
}

// bed turns the appliance to what was advised; who did not answer may have read
// it all the same.
func (pl *Player) bed() {
	a := &pl.p.Course.Advice
	if pl.quit || a.Night != pl.night || a.Action == chart.LeaveOut || a.Action == chart.NoAction || pl.stands == a.To {
		return
	}
	if a.Action == chart.Stay && pl.p.Course.InDoubt || !pl.heard && pl.r.Float64() >= silentFollows {
		return
	}
	pl.turn(a.To)
}
