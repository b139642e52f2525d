package flows

// morning begins the morning check-in that ends a night.
func (t *turn) morning(night Date, late int32) {
	k := &t.p.Talk
	e, _ := t.p.Course.Entry(night)
	switch {
	case e.Asked&(askedMorning|oursMorning) != 0:
		return // once a night
	case late > lateMorning, !t.prompts():
		t.mark(night, oursMorning)
		return
	case t.weekly() && k.Weekly != night:
		return
	case k.Silent >= callSilence: // one prompt a day: the evening's
		return
	case t.p.Course.Advices == 0: // no night before this morning
		return
	}
	t.mark(night, askedMorning)
	t.withdraw("prompt")
	t.begins(MorningCheck, night)
	m := t.say("prompt.morning")
	before := len(m.Lines)
	t.proceed()
	if k.Open == NoField && len(t.answer.Msg.Lines) == before { // all of it was said before: nothing to ask
		t.answer.Msg.Lines = nil
		return
	}
	t.timer("remind.morning", t.reminder(t.p.Plan.morningAt(night)))
	t.prompt(LanePrompt, lateMorning, "prompt")
}

// remindMorning asks the open question once more, then the patient is left alone.
func (t *turn) remindMorning(night Date, late int32) {
	k := &t.p.Talk
	if k.Script != MorningCheck || k.Night != night || k.Open == NoField || late > lateMorning-remindAfter || !t.prompts() {
		return
	}
	t.withdraw("prompt")
	t.say("remind.morning")
	t.proceed()
	t.prompt(LaneReminder, lateMorning-remindAfter, "prompt")
}

// morningDone ends the morning.
func (t *turn) morningDone() {
	k := &t.p.Talk
	t.endScript()
	t.clear("remind.morning")
	if t.answerAt == 0 {
		return
	}
	if t.weekly() {
		t.reply(t.line("morning.weekly"))
	} else {
		t.reply(t.line("morning.done", ArgC("evening", t.p.Plan.Evening)))
	}
	if k.Night <= t.p.Plan.Fitted || t.p.Course.Advices <= 1 {
		t.offer(HowGuide, HowClean, HowFirstWeek)
	}
	t.plain()
}

// recheck asks an hour after a morning on which the teeth did not meet on both
// sides. Where the morning is still being asked, it follows there.
func (t *turn) recheck(night Date, late int32) {
	k := &t.p.Talk
	l := t.look(MorningCheck, night)
	if !l.biteAway() || late > lateRecheck || !t.prompts() {
		return
	}
	t.mark(night, askedAgain)
	if k.Script != NoScript && k.Open != NoField {
		return
	}
	t.begins(Recheck, night)
	t.say("prompt.recheck")
	t.proceed()
	t.prompt(LanePrompt, lateMorning-recheckAfter, "prompt")
}
