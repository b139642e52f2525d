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
	if t.running() {
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
		t.ask(AskNow, t.p.Talk.AskArg, []message.Line{message.Say("now.ask")}, [2]string{"yes", "now.b.yes"},
			[2]string{"no", "now.b.no"})
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
