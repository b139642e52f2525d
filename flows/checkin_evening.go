package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// evening begins the evening check-in of a night.
func (t *turn) evening(night civil.Date, late int32) {
	c, k := &t.p.Course, &t.p.Talk
	if e, _ := c.Entry(night); e.Asked&(askedEvening|oursEvening) != 0 {
		return // once a night, whatever became of the timer
	}
	t.closeDay(night - 1)
	switch {
	case t.pr.Frozen(): // no advice is worked out from a copy
		t.markAsked(night, oursEvening)
		t.endCheckIn()
		return
	case late <= LateEvening && t.mayPrompt() && t.eveningAfter(night):
		return
	case late > LateEvening, !t.mayPrompt():
		t.markAsked(night, oursEvening)
		t.endCheckIn()
		t.commit(night, true)
		return
	case t.weekly() && !t.p.promptDue(night): // holding and later: once a week, the setting does not change in between
		t.endCheckIn()
		t.commit(night, true)
		if a := &c.Advice; a.Action == chart.GoBack || a.Action == chart.LeaveOut {
			t.beginCheckIn(EveningCheck, night)
			t.tellAdvice(*a)
			t.prompt(LanePrompt, LateEvening, "advice")
		}
		return
	}
	t.markAsked(night, askedEvening)
	t.withdraw("prompt")
	t.beginCheckIn(EveningCheck, night)
	if k.Weekly == 0 {
		k.Weekly, k.WeeklyA = night, night // the first week begins
	} else if t.p.weeklyDue(night) || t.weekly() {
		k.Weekly = night
	}
	t.say("prompt.evening")
	if k.Silent >= CallSilence { // one prompt a day, and it names the setting
		if t.commit(night, true); !t.quiet() {
			t.showAdvice(&c.Advice)
		}
		t.prompt(LanePrompt, LateEvening, "advice")
		return
	}
	t.timer("commit", t.reminder(t.p.Plan.EveningAt(night)))
	t.proceed()
	t.prompt(LanePrompt, LateEvening, "prompt")
}

// reminder is when to remind after a prompt that was due at a time: a late one
// gets as long.
func (t *turn) reminder(due civil.Wall) civil.Wall {
	if due.Before(t.e.Wall) {
		due = t.e.Wall
	}
	return due.Add(RemindAfter)
}

// remindEvening comes at the reminder hour: what was not answered means that
// nothing changes, and the patient hears the setting.
func (t *turn) remindEvening(night civil.Date, late int32) {
	k := &t.p.Talk
	if k.Ask == AskWrong { // "something is wrong", and no word since
		k.Ask = NoAsk
		t.toDesk(redflag.ClassN, WhyMessage, "")
	}
	if night != t.coming() || t.pr.Frozen() {
		return
	}
	if t.p.Emergency() != nil { // since the check-in began
		if e, _ := t.p.Course.Entry(night); e.Asked&oursEvening == 0 && late <= LateEvening-RemindAfter && t.mayPrompt() {
			t.withdraw("prompt")
			t.eveningAfter(night)
		}
		return
	}
	fresh := t.commit(night, true)
	if !fresh && (t.confirmed(night) || t.p.Course.Advice.Action == chart.LeaveOut) || late > LateEvening-RemindAfter ||
		!t.mayPrompt() || t.quiet() {
		return
	}
	if k.CheckIn != EveningCheck || k.Night != night {
		t.beginCheckIn(EveningCheck, night)
	}
	t.withdraw("prompt")
	t.say("remind.evening")
	if !t.stepHeld() {
		t.showAdvice(&t.p.Course.Advice)
	}
	t.prompt(LaneReminder, LateEvening-RemindAfter, "advice")
}

// advised reports whether the night has its advice.
func (t *turn) advised(night civil.Date) bool {
	a := &t.p.Course.Advice
	return a.Night == night && a.Action != chart.NoAction
}

// confirmed reports whether the patient said where it stands, in answer to the
// night's advice, or did not want to.
func (t *turn) confirmed(night civil.Date) bool {
	e, _ := t.p.Course.Entry(night)
	return e.V[chart.SettingLeft] != chart.Unknown &&
		(!t.p.Appliance.TwoSided || e.V[chart.SettingRight] != chart.Unknown || e.V[chart.SettingLeft] == chart.Skipped)
}

// commit gives the night its advice, once. Unheard says that the evening's
// questions were not answered: then nothing goes forward. It reports whether
// there is a new one.
func (t *turn) commit(night civil.Date, unheard bool) bool {
	if t.advised(night) {
		return false
	}
	f := t.facts()
	f.Unheard = unheard
	t.advising = true
	a, rs := t.p.Course.Advise(f, night)
	t.note(night, chart.FromBot)
	t.log("advice", message.ArgN("number", int(a.Number)), message.ArgS("action", a.Action.String()),
		message.ArgN("to", int(a.To)), message.ArgS("rule", a.Rule.ID()))
	t.raise(rs, "")
	t.countLeftOut(night)
	t.advising = false
	return true
}

// eveningDone ends the questions: the advice, the answer to it, and once a week
// the weekly ones.
func (t *turn) eveningDone(past bool) {
	k := &t.p.Talk
	night := k.Night
	fresh := t.commit(night, past)
	if t.quiet() {
		return
	}
	a := &t.p.Course.Advice
	switch {
	case past:
		t.endCheckIn()
		t.plain()
		return
	case fresh:
		t.showAdvice(a)
	case !t.confirmed(night) && a.Action != chart.LeaveOut:
		t.askStands(a)
	case t.furtherThanAdvised(a): // it is to be set back first: the next number is the setting, and no other answer
		k.Open, k.OpenAt = chart.SettingLeft, t.now()
		back := message.Choice{Word: reading.WordStands, N: int32(a.To)}
		if c := &t.p.Course; c.High != c.Low {
			back = message.Choice{Field: chart.SettingLeft, Value: chart.Num(int(c.Low))} // the other side is asked next
		}
		t.reply().Choices = [][]message.Choice{{back}, {{Word: reading.WordWrong}}}
	}
	if k.Open != chart.NoField {
		return
	}
	t.clear("commit")
	first := t.p.Course.Advices == 1
	if t.p.weeklyDue(night) {
		t.beginCheckIn(WeeklyCheck, night)
		t.say("weekly.head")
		t.proceed()
		return
	}
	t.endCheckIn()
	if first {
		t.offerHowTo(reading.HowPutIn, reading.HowTakeOut, reading.HowStep, reading.HowLipSeal)
	}
	t.plain()
}

// furtherThanAdvised reports whether it was said tonight to stand further than advised, or
// at two sides that do not match.
func (t *turn) furtherThanAdvised(a *chart.Advice) bool {
	c := &t.p.Course
	return a.Action != chart.LeaveOut && a.Action != chart.NoAction && c.SetOn == a.Night && !c.InDoubt &&
		(c.High > a.To || c.High != c.Low)
}

// offerHowTo puts how-to cards under the message, where some were not yet seen.
func (t *turn) offerHowTo(topics ...reading.Topic) {
	for _, topic := range topics {
		if t.has(topic) && t.p.Talk.Cards&(1<<topic) == 0 {
			t.say("cards.offer")
			t.offerCards(topics...)
			return
		}
	}
}

// closeDay counts a night that is over: silent, quiet, or neither.
func (t *turn) closeDay(night civil.Date) {
	e, ok := t.p.Course.Entry(night)
	if !ok {
		return
	}
	k := &t.p.Talk
	said := false
	for f := chart.Worn; f < chart.NumFields; f++ {
		said = said || e.V[f] != chart.Unknown
	}
	switch {
	case said:
		k.Silent = 0
	case t.weekly() && e.Asked&askedEvening == 0: // a morning's two questions until the test: nobody is called for their sake
	case e.Asked&(oursEvening|oursMorning) == 0 && e.Asked&(askedEvening|askedMorning) != 0:
		k.Silent++
		if k.Silent >= CallSilence && (k.Silent-CallSilence)%WeekDays == 0 {
			t.toDesk(redflag.ClassN, WhySilence, "")
		}
	}
	if t.quietNight(&e) {
		k.Quiet = min(k.Quiet+1, 999)
	} else {
		k.Quiet = 0
	}
}

// quietNight reports whether a night was quiet: worn, no pain, the bite back, the
// guide used, nothing wrong.
func (t *turn) quietNight(e *chart.Entry) bool {
	worn, _ := e.Worn(t.p.Plan.Limits.WornMinutes)
	pain, known := e.Pain(&t.p.Baseline)
	bite, biteKnown := e.Bite()
	used, _ := e.Guided()
	return worn && known && pain == 0 && biteKnown && bite <= chart.LateBite && (used || !t.p.Appliance.Guide) &&
		!e.V[chart.Wrong].Is(chart.Yes) && !e.V[chart.Woken].Is(chart.Yes)
}
