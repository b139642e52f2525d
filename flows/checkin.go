package flows

// said takes a text of the patient's that is neither a red flag alone nor the
// answer to an open question of the path: answers of the day, a control word
// (handed to word), or something else (handed to pass).
func (t *turn) said(s Said) {
	if s.Reading.Word != NoWord {
		t.word(s.Reading.Word, s)
		return
	}
	t.pass(s)
}

// tapped takes a tap that is not about the path.
func (t *turn) tapped(Tap) { t.say("tap.old") }

// checkinDue takes a timer of the check-ins.
func (t *turn) checkinDue(string, Due) {}

// startCheckins sets the daily timers of a patient who becomes active.
func (t *turn) startCheckins() {}

// stopCheckins takes them back, with what waits to be sent.
func (t *turn) stopCheckins() {}

// openAgain asks the open question again, after something came between.
func (t *turn) openAgain() {}

// checkinMissed notes a prompt of ours that came too late to be sent.
func (t *turn) checkinMissed(string) {}

// tellAdvice tells the patient an advice.
func (t *turn) tellAdvice(a Advice) { t.reply(adviceLine(a)) }
