package cohort

import "duskdawn/flows"

// nights lives them: the staff's day, the evening, bed, the night, the morning.
func (pl *Player) nights() {
	for d := range flows.Date(pl.trial.Nights) {
		pl.night = monday + d
		pl.out.Nights++
		pl.staff()
		if pl.p.Course.State == flows.Ended {
			return
		}
		plan := &pl.p.Plan
		pl.until(at(flows.Wall{Date: pl.night, Clock: plan.Evening}))
		pl.heard = false
		if !pl.quit && pl.r.Float64() < pl.who.answers {
			pl.evening()
		}
		pl.until(at(flows.Wall{Date: pl.night + 1}))
		pl.bed()
		pl.sleep()
		pl.until(at(flows.Wall{Date: pl.night + 1, Clock: plan.Morning}))
		if !pl.quit && pl.r.Float64() < pl.who.answers {
			pl.dawn()
		}
		pl.dayDone()
	}
}

// token gathers an answer.
func (pl *Player) token(f flows.Field, n int) {
	pl.toks = append(pl.toks, flows.Token{Field: f, Value: flows.Num(n)})
}

// tell says what was gathered.
func (pl *Player) tell() {
	if len(pl.toks) > 0 {
		pl.say(flows.Reading{Tokens: pl.toks})
	}
	pl.toks = pl.toks[:0]
}

// evening answers the evening's prompt: in a line, or question by question.
// What a line leaves open is answered too; the setting it tells in the morning.
func (pl *Player) evening() {
	k := &pl.p.Talk
	if k.Script == flows.NoScript || k.Open == flows.NoField {
		return
	}
	pl.heard = true
	pl.until(pl.now + minute(1+pl.r.IntN(promptDelayMost)))
	if !pl.who.presses {
		pl.toks = pl.toks[:0]
		if k.Open != flows.SettingLeft { // once the setting is asked the rest is past
			pl.token(flows.Wrong, flows.No)
			if m := &pl.morning; pl.night > monday && m.pain > pl.p.Baseline.Pain.N() {
				pl.toks = append(pl.toks, flows.Token{Field: flows.Gone, Value: flows.Num(m.gone)})
			}
			pl.tell()
		}
		weekly := k.WeeklyA != 0 && pl.night-k.WeeklyA >= 7
		if pl.p.Course.Advice.Night == pl.night && pl.p.Course.Advice.Action != flows.NoAction && !weekly {
			return
		}
	}
	pl.talk(14)
	if pl.r.Float64() < trouble {
		pl.amiss()
	}
}

// amiss says that something is not right, in words that the flow knows.
func (pl *Player) amiss() {
	some := [...]flows.Features{flows.FSore, flows.FSeat, flows.FBroken, flows.FTooth, flows.FCatch, flows.FBiteOff, flows.FLipSeal, flows.FLost}
	pl.say(flows.Reading{Features: some[pl.r.IntN(len(some))], Rest: true})
	pl.talk(3)
}

// dawn answers the morning's.
func (pl *Player) dawn() {
	k := &pl.p.Talk
	if k.Script == flows.NoScript || k.Open == flows.NoField {
		return
	}
	pl.until(pl.now + minute(1+pl.r.IntN(promptDelayMost)))
	m := &pl.morning
	m.said = true
	if !pl.who.presses {
		pl.toks = pl.toks[:0]
		if e, _ := pl.p.Course.Entry(pl.night); !e.At(flows.SettingLeft).Known() && e.Action > flows.LeaveOut {
			pl.token(flows.SettingLeft, pl.counted())
			if pl.p.Appliance.TwoSided {
				pl.token(flows.SettingRight, pl.counted()+int(pl.p.Appliance.Offset))
			}
		}
		pl.token(flows.Worn, m.worn)
		if m.worn == flows.WornPart {
			pl.token(flows.WornMinutes, m.minutes)
		}
		if m.why != 0 {
			pl.token(flows.NotWorn, m.why)
		}
		if m.worn != flows.WornNo {
			pl.token(flows.Snoring, m.snoring)
			if pl.p.Appliance.Guide {
				pl.token(flows.Guide, yesNo(m.guide))
			}
			pl.token(flows.BiteMinutes, m.bite)
		}
		pl.token(flows.Pain, m.pain)
		if m.pain > pl.p.Baseline.Pain.N() && m.gone == flows.GoneMorning {
			pl.token(flows.Gone, m.gone)
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
			pl.say(flows.Reading{Word: flows.WordNo})
			if k.Ask == flows.AskWrong {
				return
			}
		case k.Script == flows.NoScript && k.Open == flows.NoField:
			return
		case k.Open == flows.NoField:
			return
		default:
			pl.toks = pl.toks[:0]
			pl.reply(k.Open)
			pl.tell()
		}
	}
}

// reply is the answer to one question.
func (pl *Player) reply(f flows.Field) {
	m, r := &pl.morning, pl.r
	switch f {
	case flows.SettingLeft, flows.SettingRight:
		a := &pl.p.Course.Advice
		if a.Night == pl.night && a.Action != flows.NoAction && pl.now < at(flows.Wall{Date: pl.night + 1}) {
			pl.bed() // it is turned now, and read off
		}
		n := pl.counted()
		if f == flows.SettingRight {
			n += int(pl.p.Appliance.Offset)
		}
		pl.token(f, n)
	case flows.Worn:
		pl.token(f, m.worn)
	case flows.WornMinutes:
		pl.token(f, m.minutes)
	case flows.NotWorn:
		pl.token(f, max(m.why, flows.ReasonForgot))
	case flows.Reporter:
		pl.token(f, flows.ReporterPartner)
	case flows.Snoring:
		pl.token(f, m.snoring)
	case flows.Pain:
		pl.token(f, m.pain)
	case flows.Woken:
		pl.token(f, yesNo(m.pain >= 7 && r.IntN(3) == 0))
	case flows.Where:
		pl.token(f, flows.SiteMuscle)
	case flows.Gone:
		if pl.p.Talk.Script == flows.MorningCheck && m.gone != flows.GoneMorning {
			pl.token(f, flows.GoneNo)
		} else {
			pl.token(f, m.gone)
		}
	case flows.Guide:
		pl.token(f, yesNo(m.guide))
	case flows.Bite:
		pl.token(f, map[bool]int{true: flows.BiteBoth, false: flows.BiteFront}[m.bite <= 30])
	case flows.BiteMinutes:
		pl.token(f, m.bite)
	case flows.Nose:
		pl.token(f, flows.Yes)
	case flows.Sleepiness:
		pl.token(f, clampInt(pl.who.sleepy-int(3*(1-pl.who.desaturations(pl.mm())))+r.IntN(2), 0, 10))
	case flows.Driving:
		pl.token(f, map[bool]int{true: flows.DrivingNearly, false: flows.DrivingNo}[r.Float64() < nodding])
	default: // pauses, headache, anything wrong
		pl.token(f, flows.No)
	}
}

func yesNo(b bool) int {
	if b {
		return flows.Yes
	}
	return flows.No
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
	if pl.quit || a.Night != pl.night || a.Action == flows.LeaveOut || a.Action == flows.NoAction || pl.stands == a.To {
		return
	}
	if a.Action == flows.Stay && pl.p.Course.InDoubt || !pl.heard && pl.r.Float64() >= silentFollows {
		return
	}
	pl.turn(a.To)
}
