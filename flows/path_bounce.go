package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/redflag"
)

// bounce notes that the patient's chat cannot be reached: what was reached is
// kept, prompts stop, and a person is told the same working day.
func (t *turn) bounce(b Bounce) {
	if b.Chat != t.p.Chat || b.Chat == 0 || t.p.Bounced {
		return
	}
	t.p.Bounced = true
	t.stopCheckins()
	t.withdrawAll()
	t.log("bounced", message.ArgS("why", b.Why))
	if t.p.Course.State != chart.Ended {
		t.toDesk(redflag.ClassN, WhyBounce, "")
	}
	for i := range t.p.Escalations {
		if x := &t.p.Escalations[i]; x.untold() {
			t.notDelivered(x)
		}
	}
}

// untold reports whether it is urgent, and what the patient was to be told about it
// has not reached the chat.
func (esc *Escalation) untold() bool {
	return esc.Class.Worse(redflag.ClassN) && esc.Via != 0 && !esc.Heard
}

// notDelivered has people call a patient whose chat is closed to a caution: whoever
// has taken it, or else everyone who may be rung at this hour, and with an
// emergency by the outside call as well.
func (t *turn) notDelivered(esc *Escalation) {
	head := message.Say("esc.undelivered", message.ArgN("n", int(t.p.Headline(esc.N))))
	t.withdraw(escKey(esc.N))
	if s, ok := t.pr.ByID(esc.AckBy); ok && s.Reachable() {
		t.card(s, esc, head)
		return
	}
	for _, s := range t.pr.Staff {
		if s.Reachable() && (!s.OffDuty || esc.Class == redflag.ClassE) {
			t.card(s, esc, head)
		}
	}
	if esc.Class == redflag.ClassE {
		t.call(esc)
	}
}

// tellAgain says the cautions that the closed chat did not take: the newest
// emergency's, or else all that nobody of the practice has taken.
func (t *turn) tellAgain() {
	if esc := t.p.Emergency(); esc != nil {
		if esc.untold() {
			t.tells(esc, esc.Told)
			t.urgent(message.Say(emergencyLine, t.numbers()...), message.Say(esc.Told, t.numbers()...))
		}
		return
	}
	var lines []message.Line
	for i := range t.p.Escalations {
		if x := &t.p.Escalations[i]; x.untold() && x.AckBy == "" {
			t.tells(x, x.Told)
			lines = addLine(lines, message.Say(x.Told, t.numbers()...))
		}
	}
	if len(lines) > 0 {
		t.urgent(append(lines, t.whenCalled(redflag.ClassS)...)...)
	}
}

// reached welcomes a patient whose chat is open again, and asks what is open.
func (t *turn) reached(b Reached) {
	if b.Chat != t.p.Chat || b.Chat == 0 || !t.p.Bounced {
		return
	}
	t.speaksAgain()
	t.log("reached")
	t.say("back.hello")
	if t.paused() {
		t.say("pause.back").Choices = pauseChoices()
		return
	}
	if t.running() && !t.stepHeld() {
		t.reply(t.tonight())
	}
	t.goOn()
}

// missed notes that a message of ours came too late to be sent. That is not
// the patient's silence.
func (t *turn) missed(m Missed) {
	t.log("missed", message.ArgS("key", m.Key))
	t.checkinMissed(m.Key)
	t.callMissed(m.Key)
}

// Gaps: taps are kept 150 seconds by the platform, typed messages a day.
const (
	tapGap  = 2
	textGap = 24 * 60
)

// gap asks again what may have been answered while nothing was taken: what has
// inline buttons after two minutes, the rest after a day.
func (t *turn) gap(g Gap) {
	if g.Minutes <= tapGap || !t.speaking() || t.frozen() {
		return
	}
	t.log("gap", message.ArgN("minutes", int(g.Minutes)))
	lost := g.Minutes >= textGap
	if lost && t.running() {
		t.toDesk(redflag.ClassN, WhyGap, "")
	}
	if k := &t.p.Talk; k.Ask != NoAsk || k.Nonce != "" || lost && k.Open != chart.NoField {
		t.say("gap.again")
		t.askAgain()
	}
}

// askAgain asks the open question once more, of the path or of a check-in.
func (t *turn) askAgain() {
	switch t.p.Talk.Ask {
	case AskAdult, AskConsent:
		t.askedPath()
	case AskStop:
		t.ask(AskStop, "", []message.Line{message.Say("stop.ask")},
			[2]string{"1", "stop.b.messages"}, [2]string{"2", "stop.b.turning"}, [2]string{"3", "stop.b.treatment"})
	case AskNow:
		t.askNow(t.p.Talk.AskArg)
	case AskHow:
		if esc := t.p.Emergency(); esc != nil {
			t.askHow(esc.N)
		}
	case AskErase:
		t.leave()
	case AskLanguage:
		t.language()
	default:
		t.openAgain()
	}
}
