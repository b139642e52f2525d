package flows

// still stops every message at once: no check-in, no advice, until the patient
// or a person resumes. The state reached is remembered.
func (t *turn) still() {
	c := &t.p.Course
	switch {
	case c.State >= Settling && c.State <= Recall:
		t.p.Resume, c.State = c.State, Paused
	case c.State == Stopped:
		c.State = Paused
	}
	t.stopCheckins()
	t.withdraw("prompt")
	t.withdraw("advice")
	k := &t.p.Talk
	k.Script, k.Open, k.Asked = NoScript, NoField, 0
}

// pause is the patient's: nothing is sent, and nothing is moved, until 'go on'.
func (t *turn) pause() {
	if t.p.Course.State == Paused {
		t.say("pause.already")
		return
	}
	if !t.running() {
		t.say("pause.notyet")
		t.goOn()
		return
	}
	t.still()
	t.log("paused", ArgS("by", "patient"))
	t.desk(ClassN, WhyPause, "")
	m := t.reply(Say("pause.done"), Say("pause.keep", t.numbers()...), Say("pause.back"))
	m.Choices = [][]Choice{{{Word: WordResume}, {Word: WordCall}}}
	t.office("paused", t.pr.NextMorning(t.e.Office.Add(6*1440)))
}

// resume goes on where the pause began; an open E or S flag stops again.
func (t *turn) resume() {
	if t.p.Course.State != Paused {
		t.say("pause.none")
		t.goOn()
		return
	}
	t.goOnFrom("patient")
	t.reply(Say("pause.over"), t.tonight())
	t.startCheckins()
}

// goOnFrom ends a pause.
func (t *turn) goOnFrom(by string) {
	c := &t.p.Course
	c.State, t.p.Resume = active(t.p.Resume), NoState
	t.answered()
	t.closeWhy(WhyPause, by)
	t.clear("paused")
	t.log("resumed", ArgS("by", by))
	t.settle()
}

// stop pauses everything at once and then asks what was meant: the word can
// mean the messages, the turning or the treatment. Without an answer it stays
// paused. Staff are told.
func (t *turn) stop() {
	if t.running() {
		t.still()
		t.log("paused", ArgS("by", "stop"))
	}
	t.desk(ClassN, WhyStop, "")
	if t.p.Course.State <= Consented {
		t.reply(append([]Line{Say("stop.waits")}, t.when(ClassN)...)...)
		return
	}
	t.office("paused", t.pr.NextMorning(t.e.Office.Add(6*1440)))
	t.ask(AskStop, "", []Line{Say("stop.done"), Say("stop.ask")},
		[2]string{"1", "stop.b.messages"}, [2]string{"2", "stop.b.turning"}, [2]string{"3", "stop.b.treatment"})
}

// stopMeant takes what was meant, by button or by its number.
func (t *turn) stopMeant(arg string) {
	t.answered()
	t.log("stop.meant", ArgS("what", arg))
	switch arg {
	case "1":
		t.desk(ClassN, WhyStop, "").Told = "stop.messages"
		m := t.reply(Say("stop.messages"), Say("pause.keep", t.numbers()...), Say("pause.back"))
		m.Choices = [][]Choice{{{Word: WordResume}, {Word: WordCall}}}
	case "2": // the questions go on, the setting stays where it is until a person lets it move
		t.desk(ClassN, WhyStop, "").Told = "stop.turning"
		t.p.Held = true
		t.goOnFrom("patient")
		t.reply(Say("stop.turning"), t.tonight())
		t.startCheckins()
	case "3":
		t.desk(ClassN, WhyStop, "").Told = "stop.treatment"
		lines := []Line{Say("stop.treatment", t.numbers()...)}
		if t.p.Plan.Fallback != "" {
			lines = append(lines, Say("stop.fallback", t.numbers()...))
		}
		t.reply(append(lines, t.when(ClassN)...)...)
	default:
		t.say("tap.old")
	}
}
