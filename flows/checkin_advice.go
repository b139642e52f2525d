package flows

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// showAdvice tells tonight's setting, always absolute and dated, and asks where
// the appliance stands. Sent again, it is the same text. A move is told with
// what one step is and which way it goes; only then, so that nobody turns
// anything by mistake.
func (t *turn) showAdvice(a *chart.Advice) {
	ap := &t.p.Appliance
	t.tellSetting(a)
	if a.Action != chart.LeaveOut && a.Reason != pacing.ReasonRestored {
		t.tellPlace(a.To)
	}
	if a.Reason != "" && !(a.Action == chart.Forward && t.p.Course.InDoubt) {
		t.reply(message.Say(a.Reason, t.numbers()...))
	}
	if a.Action == chart.LeaveOut {
		t.reply(t.instead()...)
	}
	switch e, _ := t.p.Course.Entry(a.Night); {
	case !ap.LipSeal:
	case t.p.sealOff():
		t.say("advice.sealoff")
	case e.V[chart.Nose].Is(chart.No):
		t.say("advice.noseoff")
	}
	t.answer.Advice, t.answer.Plan = a.Number, t.p.Plan.Rev
	t.answer.Key, t.answer.NotAfter = "advice", LateAdvice
	if a.Action != chart.LeaveOut {
		t.askStands(a)
	}
}

// sealOff reports whether the lip-seal part is to stay off until somebody has
// looked at it.
func (p *Patient) sealOff() bool {
	return slices.ContainsFunc(p.Course.Flags, func(f redflag.Flag) bool { return f.ID == "lipseal" })
}

// tellSetting tells the setting itself.
func (t *turn) tellSetting(a *chart.Advice) {
	ap := &t.p.Appliance
	at := t.out.keepArgs([]message.Arg{message.ArgD("date", a.Night), message.ArgN("n", int(a.To))})
	switch a.Action {
	case chart.LeaveOut:
		t.reply(message.Say("advice.out", at...), message.Say("advice.kept", at...))
	case chart.GoBack:
		how := t.line("advice.back", message.ArgN("count", int(a.From-a.To)), message.ArgS("word", ap.StepWord))
		if !t.standsFor(a) { // nobody knows how many steps: read it, and set it by its number
			how = t.line("advice.read", message.ArgN("n", int(a.To)))
		}
		t.reply(message.Say("advice.set", at...), how, t.line("advice.backway", message.ArgS("way", ap.Forward)))
	case chart.Forward:
		t.reply(message.Say("advice.set", at...))
		if t.p.Course.InDoubt { // what was said since is not sure: nobody knows whether a step leads there
			t.reply(t.line("advice.read", message.ArgN("n", int(a.To))))
			return
		}
		t.reply(t.line("advice.forward", message.ArgS("word", ap.StepWord)),
			t.line("advice.way", message.ArgS("way", ap.Forward)))
	default:
		switch a.Reason {
		case "reason.p05.sides":
			t.reply(message.Say("advice.set", at...), message.Say("advice.match", at...))
		case pacing.ReasonRestored: // a copy's number is not to be followed
			t.reply(message.Say("restore.night", at[0]))
		default:
			t.reply(message.Say("advice.set", at...), message.Say("advice.stay", at...))
		}
	}
}

// standsFor reports whether it is known that it stands where a way back counts from: it was said
// this evening, or before it, and no step was told since.
func (t *turn) standsFor(a *chart.Advice) bool {
	c := &t.p.Course
	return !c.InDoubt && (c.SetOn == a.Night || c.Eve.Low == c.Eve.High && c.Eve.High == a.From)
}

// tellPlace says what a setting is called: of two sides both, and the practice's own
// label. Millimetres are told to who asks, per cent of a range to the desk alone.
func (t *turn) tellPlace(to chart.Steps) {
	ap := &t.p.Appliance
	if ap.TwoSided {
		t.reply(t.line("advice.sides", message.ArgN("left", int(to)), message.ArgN("right", int(to+ap.Offset))))
	}
	if to >= 0 && int(to) < len(ap.Labels) && ap.Labels[to] != "" {
		t.reply(t.line("advice.label", message.ArgS("label", ap.Labels[to])))
	}
}

// askStands asks where it stands now. The two answers that it should be are
// quick ones; any whole number can be typed.
func (t *turn) askStands(a *chart.Advice) {
	if a.Reason == pacing.ReasonRestored { // without a number to agree to
		t.askNamed(chart.SettingLeft, a.Night)
		return
	}
	k := &t.p.Talk
	k.Open, k.OpenAt = chart.SettingLeft, t.now()
	if k.Ask == AskNumber || k.Ask == AskEdit {
		k.Ask, k.EditOf = NoAsk, chart.NoField
	}
	e, _ := t.p.Course.Entry(a.Night)
	if t.p.Appliance.TwoSided && e.V[chart.SettingLeft].Known() && e.V[chart.SettingRight] == chart.Unknown {
		k.Open = chart.SettingRight
		l := t.contextOf(MorningCheck, a.Night)
		q := question{field: chart.SettingRight, key: "ask.setting.right", rows: (*context).counts}
		t.pose(&q, l)
		return
	}
	key := "ask.stands"
	if a.Action == chart.GoBack || a.Action == chart.Forward {
		key = "ask.moved"
	}
	rows := append(t.out.rowsOf(3), t.out.row(message.Choice{Word: reading.WordStands, N: int32(a.To)}))
	if at := t.p.Course.Left; at != a.To {
		rows = append(rows, t.out.row(message.Choice{Word: reading.WordStill, N: int32(at)}))
	}
	t.say(key).Choices = append(rows, t.out.row(message.Choice{Word: reading.WordWrong}))
}

// tellAdvice tells an advice that replaces the one told before. In an
// emergency nothing is told.
func (t *turn) tellAdvice(a chart.Advice) {
	if t.advising {
		return // the evening tells it in its own place
	}
	if t.quiet() {
		return
	}
	k := &t.p.Talk
	if k.CheckIn != EveningCheck || k.Night != a.Night {
		t.beginCheckIn(EveningCheck, a.Night)
	}
	if a.Number > 1 && t.p.Course.Advice.Night == a.Night {
		t.say("advice.changed")
	}
	t.showAdvice(&a)
}

// confirmedAt answers what the patient said of tonight's setting.
func (t *turn) confirmedAt(a *chart.Advice, at chart.Steps) {
	n, to := message.ArgN("n", int(at)), message.ArgN("to", int(a.To))
	switch {
	case a.Action == chart.LeaveOut:
		t.reply(t.line("confirm.kept", n))
	case t.furtherThanAdvised(a) && t.p.Course.Low != t.p.Course.High:
		c, low := &t.p.Course, t.p.Course.Low
		t.reply(t.line("confirm.sides", message.ArgN("left", int(c.Left)), message.ArgN("right", int(c.Right))),
			t.line("confirm.match", message.ArgN("left", int(low)), message.ArgN("right", int(low+t.p.Appliance.Offset))))
	case at == a.To:
		t.reply(t.line("confirm.done", n))
	case at > a.To:
		t.reply(t.line("confirm.high", n), t.line("confirm.lower", to))
	default:
		t.reply(t.line("confirm.low", n))
	}
}

// readvise works out tonight's advice again where one is in force. Only a more
// cautious one replaces it, and the patient hears the setting at once. It reports
// whether it was told.
func (t *turn) readvise() bool {
	c, night := &t.p.Course, t.nights()
	// a night that is over needs none
	if c.Advice.Night != night || c.Advice.Action == chart.NoAction || t.coming() != night {
		return false
	}
	was := c.Advice.Number
	a, rs := c.Advise(t.facts(), night)
	t.raised(rs, "")
	if a.Number == was {
		return false
	}
	t.withdraw("advice")
	t.note(night, chart.FromBot)
	t.log("advice.replaced", message.ArgN("number", int(a.Number)), message.ArgS("action", a.Action.String()),
		message.ArgN("to", int(a.To)), message.ArgS("rule", a.Rule.ID()))
	told := t.trusted() && t.running()
	if told {
		t.tellAdvice(a)
	}
	return told
}

// stepHeld takes back a step that was told this evening and is not said to be made, where
// something holds it by now: then it is not told again. It reports whether that was told.
func (t *turn) stepHeld() bool {
	c := &t.p.Course
	a := &c.Advice
	return a.Action == chart.Forward && !(c.SetOn == a.Night && c.Left == a.To) && t.readvise()
}
