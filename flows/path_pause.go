package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// paused reports whether messages are paused.
func (t *turn) paused() bool { return t.p.Course.Pausing }

// fallSilent stops every message at once: no check-in, no advice, until the patient
// or a person resumes.
func (t *turn) fallSilent() {
	t.p.Course.Pause()
	t.stopCheckins()
	t.withdraw("prompt")
	t.withdraw("advice")
	k := &t.p.Talk
	k.CheckIn, k.Open, k.Asked = NoCheckIn, chart.NoField, 0
	t.office("paused", t.pr.NextMorning(t.e.Office.Add(6*1440)))
}

// unpause ends a pause; an open E or S flag stops again.
func (t *turn) unpause(by string) {
	t.p.Course.Resume()
	t.closeWhy(WhyPause, by)
	t.clear("paused")
	t.log("resumed", message.ArgS("by", by))
}

// pause is the patient's: nothing is sent, and nothing is moved, until 'go on'.
func (t *turn) pause() {
	switch {
	case t.paused():
		t.say("pause.already").Choices = pauseChoices()
	case !t.running():
		t.say("pause.notyet")
		t.goOn()
	default:
		t.fallSilent()
		t.log("paused", message.ArgS("by", "patient"))
		t.toDesk(redflag.ClassN, WhyPause, "")
		t.reply(message.Say("pause.done"), message.Say("pause.keep", t.numbers()...),
			message.Say("pause.back")).Choices = pauseChoices()
		t.repeatWear()
	}
}

// repeatWear repeats what open flags say of wear, so that "nothing moves" is never
// heard as "keep wearing it".
func (t *turn) repeatWear() {
	if key := t.p.Course.WearKey(); key != "caution.wear.keep" {
		t.reply(message.Say(key))
	}
}

func pauseChoices() [][]message.Choice {
	return [][]message.Choice{{{Word: reading.WordResume}, {Word: reading.WordCall}}}
}

// resume goes on where the pause began.
func (t *turn) resume() {
	if !t.paused() {
		t.say("pause.none")
		t.goOn()
		return
	}
	t.unpause("patient")
	t.answered()
	if t.say("pause.over"); !t.stepHeld() {
		t.reply(t.tonight())
	}
	t.startCheckins()
}

// stop pauses everything at once and then asks what was meant: the word can
// mean the messages, the turning or the treatment. Without an answer it stays
// paused. Staff are told.
func (t *turn) stop() {
	if t.running() {
		t.fallSilent()
		t.log("paused", message.ArgS("by", "stop"))
	}
	t.toDesk(redflag.ClassN, WhyStop, "")
	if !t.trusted() {
		t.reply(append([]message.Line{message.Say("stop.waits")}, t.whenCalled(redflag.ClassN)...)...)
		return
	}
	t.ask(AskStop, "", []message.Line{message.Say("stop.done"), message.Say("stop.ask")},
		[2]string{"1", "stop.b.messages"}, [2]string{"2", "stop.b.turning"}, [2]string{"3", "stop.b.treatment"})
}

// stopMeant takes what was meant, by button or by its number.
func (t *turn) stopMeant(arg string) {
	t.answered()
	t.log("stop.meant", message.ArgS("what", arg))
	switch arg {
	case "1":
		t.tells(t.toDesk(redflag.ClassN, WhyStop, ""), "stop.messages")
		t.reply(message.Say("stop.messages"), message.Say("pause.keep", t.numbers()...),
			message.Say("pause.back")).Choices = pauseChoices()
	case "2": // the questions go on, the setting stays where it is until a person lets it move
		t.tells(t.toDesk(redflag.ClassN, WhyStop, ""), "stop.turning")
		t.p.Held, t.p.HeldBy = true, Deed{By: byPatient, At: t.e.Office, Op: OrderHold}
		t.unpause("patient")
		t.say("stop.turning")
		if !t.readvise() { // a step told this evening is taken back, as by a hold of staff
			t.reply(t.tonight())
		}
		t.startCheckins()
	case "3":
		t.tells(t.toDesk(redflag.ClassN, WhyStop, ""), "stop.treatment")
		lines := []message.Line{message.Say("stop.treatment", t.numbers()...)}
		if t.p.Plan.Fallback != "" {
			lines = append(lines, message.Say("stop.fallback", t.numbers()...))
		}
		t.reply(append(lines, t.whenCalled(redflag.ClassN)...)...)
	default:
		t.say("tap.old")
	}
}
