package flows

// showAdvice tells tonight's setting, always absolute and dated, and asks where
// the appliance stands. Sent again, it is the same text. A move is told with
// what one step is and which way it goes; only then, so that nobody turns
// anything by mistake.
func (t *turn) showAdvice(a *Advice) {
	ap := &t.p.Appliance
	at := t.out.keepArgs([]Arg{ArgD("date", a.Night), ArgN("n", int(a.To))})
	switch a.Action {
	case LeaveOut:
		t.reply(Say("advice.out", at...), Say("advice.kept", at...))
	case GoBack:
		t.reply(Say("advice.set", at...), t.line("advice.back", ArgN("count", int(a.From-a.To)), ArgS("word", ap.StepWord)), t.line("advice.backway", ArgS("way", ap.Forward)))
	case Forward:
		t.reply(Say("advice.set", at...), t.line("advice.forward", ArgS("word", ap.StepWord)), t.line("advice.way", ArgS("way", ap.Forward)))
	default:
		switch a.Reason {
		case "reason.p05.sides":
			t.reply(Say("advice.set", at...), Say("advice.match", at...))
		case reasonRestored: // a copy's number is not to be followed
			t.reply(Say("restore.night", at[0]))
		default:
			t.reply(Say("advice.set", at...), Say("advice.stay", at...))
		}
	}
	if a.Action != LeaveOut && a.Reason != reasonRestored {
		t.place(a.To)
	}
	if a.Reason != "" {
		t.reply(Say(a.Reason, t.numbers()...))
	}
	if e, _ := t.p.Course.Entry(a.Night); ap.LipSeal && e.V[Nose].Is(No) {
		t.say("advice.noseoff")
	}
	t.answer.Advice, t.answer.Plan = a.Number, t.p.Plan.Rev
	t.answer.Key, t.answer.NotAfter = "advice", lateAdvice
	if a.Action != LeaveOut {
		t.askStands(a)
	}
}

// place says where a setting is: in mm and per cent, the zero stated, and by
// the practice's own label. Two sides are both named.
func (t *turn) place(to Steps) {
	ap, b := &t.p.Appliance, &t.p.Baseline
	if ap.TwoSided {
		t.reply(t.line("advice.sides", ArgN("left", int(to)), ArgN("right", int(to+ap.Offset))))
	}
	if to >= 0 && int(to) < len(ap.Labels) && ap.Labels[to] != "" {
		t.reply(t.line("advice.label", ArgS("label", ap.Labels[to])))
	}
	if ap.Step <= 0 {
		return
	}
	moved := Micrometres(to) * ap.Step
	if b.Max <= 0 || b.Zero == ZeroUnset {
		t.reply(t.line("advice.mm", ArgUM("mm", moved)))
		return
	}
	zero := "advice.zero.habitual"
	if b.Zero == ZeroRetruded {
		zero = "advice.zero.retruded"
	}
	t.reply(t.line("advice.place", ArgUM("mm", moved), ArgP("share", ShareOf(b, b.Start+moved)), ArgK("zero", zero)))
}

// askStands asks where it stands now. The two answers that it should be are
// quick ones; any whole number can be typed.
func (t *turn) askStands(a *Advice) {
	if a.Reason == reasonRestored { // without a number to agree to
		t.askNamed(SettingLeft, a.Night)
		return
	}
	k := &t.p.Talk
	k.Open, k.OpenAt = SettingLeft, t.now()
	if k.Ask == AskNumber || k.Ask == AskEdit {
		k.Ask, k.EditOf = NoAsk, NoField
	}
	e, _ := t.p.Course.Entry(a.Night)
	if t.p.Appliance.TwoSided && e.V[SettingLeft].Known() && e.V[SettingRight] == Unknown {
		k.Open = SettingRight
		l := t.look(MorningCheck, a.Night)
		q := question{field: SettingRight, key: "ask.setting.right", rows: (*look).counts}
		t.pose(&q, l)
		return
	}
	key := "ask.stands"
	if a.Action == GoBack || a.Action == Forward {
		key = "ask.moved"
	}
	rows := append(t.out.rowsOf(3), t.out.row(Choice{Word: WordStands, N: int32(a.To)}))
	if at := t.p.Course.Left; at != a.To {
		rows = append(rows, t.out.row(Choice{Word: WordStill, N: int32(at)}))
	}
	t.say(key).Choices = append(rows, t.out.row(Choice{Word: WordWrong}))
}

// tellAdvice tells an advice that replaces the one told before. In an
// emergency nothing is told.
func (t *turn) tellAdvice(a Advice) {
	if t.advising {
		return // the evening tells it in its own place
	}
	if t.quiet() {
		return
	}
	k := &t.p.Talk
	if k.Script != EveningCheck || k.Night != a.Night {
		t.begins(EveningCheck, a.Night)
	}
	if a.Number > 1 && t.p.Course.Advice.Night == a.Night {
		t.say("advice.changed")
	}
	t.showAdvice(&a)
}

// confirmedAt answers what the patient said of tonight's setting.
func (t *turn) confirmedAt(a *Advice, at Steps) {
	n, to := ArgN("n", int(at)), ArgN("to", int(a.To))
	switch {
	case a.Action == LeaveOut:
		t.reply(t.line("confirm.kept", n))
	case t.beyond(a) && t.p.Course.Low != t.p.Course.High:
		c, low := &t.p.Course, t.p.Course.Low
		t.reply(t.line("confirm.sides", ArgN("left", int(c.Left)), ArgN("right", int(c.Right))),
			t.line("confirm.match", ArgN("left", int(low)), ArgN("right", int(low+t.p.Appliance.Offset))))
	case at == a.To:
		t.reply(t.line("confirm.done", n))
	case at > a.To:
		t.reply(t.line("confirm.high", n), t.line("confirm.lower", to))
	default:
		t.reply(t.line("confirm.low", n))
	}
}
