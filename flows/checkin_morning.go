package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// morning begins the morning check-in that ends a night.
func (t *turn) morning(night civil.Date, late int32) {
	k := &t.p.Talk
	e, _ := t.p.Course.Entry(night)
	switch {
	case e.Asked&(askedMorning|oursMorning) != 0:
		return // once a night
	case late > LateMorning, !t.mayPrompt():
		t.markAsked(night, oursMorning)
		return
	case t.morningAfter(night):
		return
	case t.weekly() && k.Weekly != night && !t.p.proving():
		return
	case k.Silent >= CallSilence: // one prompt a day: the evening's
		return
	case t.p.Course.Advices == 0: // no night before this morning
		return
	}
	t.markAsked(night, askedMorning)
	t.withdraw("prompt")
	t.beginCheckIn(MorningCheck, night)
	m := t.say("prompt.morning")
	before := len(m.Lines)
	t.proceed()
	if k.Open == chart.NoField && len(t.answer.Msg.Lines) == before { // all of it was said before: nothing to ask
		t.answer.Msg.Lines = nil
		return
	}
	if !t.weekly() || k.Weekly == night {
		t.timer("remind.morning", t.reminder(t.p.Plan.MorningAt(night)))
	}
	t.prompt(LanePrompt, LateMorning, "prompt")
}

// remindMorning asks the open question once more, then the patient is left alone.
func (t *turn) remindMorning(night civil.Date, late int32) {
	k := &t.p.Talk
	if k.CheckIn != MorningCheck || k.Night != night || k.Open == chart.NoField || late > LateMorning-RemindAfter ||
		!t.mayPrompt() {
		return
	}
	t.withdraw("prompt")
	t.say("remind.morning")
	t.proceed()
	t.prompt(LaneReminder, LateMorning-RemindAfter, "prompt")
}

// morningDone ends the morning.
func (t *turn) morningDone() {
	k := &t.p.Talk
	t.endCheckIn()
	t.clear("remind.morning")
	if t.answerAt == 0 {
		return
	}
	switch {
	case t.p.rising():
		t.reply(t.line("morning.rising"))
	case t.p.proving():
		t.reply(t.line("morning.proving"))
	case t.weekly():
		t.reply(t.line("morning.weekly"))
	default:
		t.reply(t.line("morning.done", message.ArgC("evening", t.p.Plan.Evening)))
	}
	if k.Night <= t.p.Plan.Fitted || t.p.Course.Advices <= 1 {
		t.offerHowTo(reading.HowGuide, reading.HowClean, reading.HowFirstWeek)
	}
	t.plain()
}

// recheck asks an hour after a morning on which the teeth did not meet on both
// sides. Where the morning is still being asked, it follows there.
func (t *turn) recheck(night civil.Date, late int32) {
	k := &t.p.Talk
	l := t.contextOf(MorningCheck, night)
	if t.p.Emergency() != nil || !l.biteAway() || late > lateRecheck || !t.mayPrompt() {
		return
	}
	t.markAsked(night, askedAgain)
	if k.CheckIn != NoCheckIn && k.Open != chart.NoField {
		return
	}
	t.beginCheckIn(Recheck, night)
	t.say("prompt.recheck")
	t.proceed()
	t.prompt(LanePrompt, LateMorning-RecheckAfter, "prompt")
}
