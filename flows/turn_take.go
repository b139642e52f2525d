package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// lost takes the count as lost: nothing goes forward until it is known again,
// and it is asked for at once.
func (b *dayAnswers) lost() {
	t := b.t
	if !t.trusted() {
		t.notYet()
		return
	}
	t.p.Course.LoseCount()
	t.readvise()
	t.askNamed(chart.SettingLeft, t.natural(chart.SettingLeft, b.s.Wall))
}

// record keeps one answer. The same answer twice is a double press.
func (b *dayAnswers) record(night civil.Date, f chart.Field, v chart.Answer) {
	t := b.t
	k := &t.p.Talk
	e, _ := t.p.Course.Entry(night)
	was := e.V[f]
	if b.n < len(b.saved) {
		b.saved[b.n] = saved{night, f, v}
		b.n++
	}
	if k.CheckIn != NoCheckIn {
		k.Asked |= 1 << f
	}
	if was == v {
		return
	}
	b.store(night, f, v)
	if kept, _ := t.p.Course.Entry(night); kept.V[f] != v { // of a night that is not remembered: never said to be saved
		b.n--
		b.refused = "date.old"
		return
	}
	k.Last, k.LastOn, k.LastWas = f, night, was
	t.answers = true
}

// store is record without the read-back, for what follows from an answer.
func (b *dayAnswers) store(night civil.Date, f chart.Field, v chart.Answer) {
	t := b.t
	b.raised = append(b.raised, t.p.Course.Answer(t.facts(), night, f, v, chart.FromPatient)...)
	t.note(night, chart.FromPatient)
	b.changed = b.changed || t.advised(t.coming())
}

// take puts an answer where it belongs: some answers mean another field, or
// more than one.
func (b *dayAnswers) take(night civil.Date, f chart.Field, v chart.Answer) {
	t := b.t
	k := &t.p.Talk
	e, _ := t.p.Course.Entry(night)
	if v == chart.Skipped {
		if e.V[f] == chart.Unknown {
			b.record(night, f, v)
		} else {
			if k.CheckIn != NoCheckIn && k.Open == f { // asked again, and left as it was
				k.Asked |= 1 << f
			}
			b.told, b.more = true, "skip.kept"
		}
		return
	}
	on, morning := t.p.Plan.Half(b.s.Wall)
	fresh := morning && on == night // said in the morning of that night
	switch f {
	case chart.NotWorn:
		if e.V[chart.Worn] == chart.Unknown && v.Is(chart.ReasonMorning) {
			b.store(night, chart.Worn, chart.Num(chart.WornPart))
		} else if e.V[chart.Worn] == chart.Unknown && v.Is(chart.ReasonNotKnown) {
			b.store(night, chart.Worn, chart.Skipped)
		}
	case chart.Reporter:
		if k.Open == chart.Reporter {
			k.Reporter = v
		} else if v.Is(chart.ReporterNobody) && e.V[chart.Snoring] == chart.Unknown {
			b.store(night, chart.Snoring, chart.Skipped)
			k.Asked |= 1 << chart.Snoring
		}
	case chart.Snoring:
		if by := t.p.reporter(); e.V[chart.Reporter] == chart.Unknown && by.Known() {
			b.store(night, chart.Reporter, by)
		}
	case chart.Gone:
		if fresh && v.Is(chart.GoneNo) { // not gone yet: when it went is asked in the evening
			k.Asked |= 1 << chart.Gone
			b.told, b.more = true, "saved.later"
			return
		}
	case chart.Bite:
		b.bite(night, v, &e, fresh)
		return
	case chart.BiteMinutes:
		if v.Is(chart.BiteNot) && fresh {
			b.biteNot(night, &e)
			return
		}
		t.clear("recheck")
	case chart.Wrong:
		b.wrongly = v.Is(chart.Yes)
	}
	b.record(night, f, v)
}

// bite takes how the teeth meet. After the hour of the recheck it says whether
// the bite is back by then; in the evening the morning's own answer stays.
func (b *dayAnswers) bite(night civil.Date, v chart.Answer, e *chart.Entry, fresh bool) {
	t := b.t
	away := e.V[chart.Bite].Known() && !e.V[chart.Bite].Is(chart.BiteBoth)
	switch {
	case away && e.Asked&askedAgain != 0 && fresh && v.Is(chart.BiteBoth):
		b.record(night, chart.BiteMinutes, chart.Num(RecheckAfter))
	case away && e.Asked&askedAgain != 0 && fresh:
		b.record(night, chart.BiteMinutes, chart.Num(hourPassed))
	case away && !fresh && v.Is(chart.BiteBoth): // back by now; when is the question
		t.askNamed(chart.BiteMinutes, night)
		b.again = true
	case away && !fresh:
		b.record(night, chart.BiteMinutes, chart.Num(chart.BiteNot))
	default:
		b.record(night, chart.Bite, v)
		if fresh && !v.Is(chart.BiteBoth) && e.V[chart.BiteMinutes] == chart.Unknown {
			t.after("recheck", RecheckAfter)
			b.more = "bite.recheck"
		} else if v.Is(chart.BiteBoth) {
			t.clear("recheck")
		}
	}
}

// biteNot takes "not back" in the morning: before the recheck it is how the
// teeth meet now, at the recheck it is more than an hour.
func (b *dayAnswers) biteNot(night civil.Date, e *chart.Entry) {
	if e.Asked&askedAgain != 0 {
		b.record(night, chart.BiteMinutes, chart.Num(hourPassed))
		return
	}
	v := e.V[chart.Bite]
	if !v.Known() || v.Is(chart.BiteBoth) {
		v = chart.Num(chart.BiteUnsure)
	}
	b.bite(night, v, e, true)
}

// skip leaves the open question.
func (b *dayAnswers) skip() {
	t := b.t
	f, night := t.p.Talk.Open, t.openOn(b.s.Wall)
	if f == chart.NoField {
		t.say("skip.none")
		t.openAgain()
		return
	}
	b.take(night, f, chart.Skipped)
	b.finish(t.proceed)
}

// wrong takes "something is wrong".
func (b *dayAnswers) wrong() {
	t := b.t
	night, _ := t.p.Plan.Half(b.s.Wall)
	b.take(night, chart.Wrong, chart.Num(chart.Yes))
	b.n = 0                                      // the question says it
	t.timer("commit", t.e.Wall.Add(RemindAfter)) // without a word by then, a person is told
	b.finish(t.proceed)
}

// askWrong asks what is wrong, in the patient's own words.
func (t *turn) askWrong() {
	t.p.Talk.Open = chart.NoField
	t.reply(t.line("wrong.ask"), message.Say("wrong.urgent",
		t.numbers()...)).Choices = [][]message.Choice{{{Word: reading.WordCall}}, {{Word: reading.WordUndo}}}
}

// yesNo takes a bare yes or no for the open question where that is an answer.
func (b *dayAnswers) yesNo(yes bool) {
	t := b.t
	f, v := t.p.Talk.Open, chart.Unknown
	switch f {
	case chart.SettingLeft: // the one number that is offered
		if yes && b.direct() && t.offersOne() {
			b.s.Reading.Word = reading.WordStands
			b.stands()
			return
		}
	case chart.Driving: // the worse of what a yes may mean
		v = chart.Num(chart.DrivingNo)
		if yes {
			v = chart.Num(chart.DrivingYes)
		}
	case chart.Worn:
		if !yes {
			v = chart.Num(chart.WornNo)
		}
	case chart.Gone:
		if _, morning := t.p.Plan.Half(b.s.Wall); morning && yes {
			v = chart.Num(chart.GoneMorning)
		} else if !yes {
			v = chart.Num(chart.GoneNo)
		}
	case chart.Bite:
		if yes {
			v = chart.Num(chart.BiteBoth)
		}
	case chart.Pain, chart.Snoring, chart.Sleepiness:
		if !yes {
			v = chart.Num(0)
		}
	default:
		if f.Row().Kind == chart.YesNo {
			v = chart.Num(chart.No)
			if yes {
				v = chart.Num(chart.Yes)
			}
		}
	}
	if v == chart.Unknown || !b.direct() {
		t.say("said.which")
		t.openAgain()
		return
	}
	b.take(t.openOn(b.s.Wall), f, v)
	b.finish(t.proceed)
}
