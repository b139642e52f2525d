package flows

import (
	"slices"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/redflag"
)

// A restore is an epoch. The practice counts restores and the one that the owner
// released; a patient's own epoch is behind until the setting was confirmed. In
// between is a freeze: only emergencies and a fixed answer are said here, the
// runner leases no lane above replies, and what waited in the copy was settled
// as in doubt before the program starts (scheduler/restore.go). An escalation
// names the epoch it last rang in, so that one of the copy does not ring.

// doubtRestored begins a turn after a restore: what was known since the copy is
// lost, so the count is in doubt and no advice stands until the patient has
// said where the appliance is.
func (t *turn) doubtRestored() {
	c := &t.p.Course
	if t.p.Epoch == t.pr.Epoch || c.InDoubt || c.State <= chart.Consented || c.State == chart.Ended {
		return
	}
	c.LoseCount()
	t.voidAdvice()
	t.log("restore.doubt", message.ArgN("epoch", int(t.pr.Epoch)))
}

// voidAdvice takes back what was advised for tonight.
func (t *turn) voidAdvice() {
	if c := &t.p.Course; c.Advice.Night >= t.nights() {
		c.Advice.Action = chart.NoAction
		t.withdraw("advice")
	}
}

// settingConfirmed ends the doubt: the setting was confirmed in this turn. Before the
// release it may have been an old button's word, so it is asked all the same.
func (t *turn) settingConfirmed() {
	c := &t.p.Course
	if t.p.Epoch != t.pr.Epoch && !t.pr.Frozen() && (!c.InDoubt || c.State <= chart.Consented || c.State == chart.Ended) {
		t.p.Epoch = t.pr.Epoch
	}
}

// restored comes twice: at the restore, when what waited is void and what was
// asked is closed, and after the release, when the setting is asked for before
// anything else.
func (t *turn) restored(Restored) {
	if t.pr.Frozen() {
		if t.frozen() {
			t.voidAdvice()
			t.withdrawAll()
			t.closeTalk()
			t.p.Talk.DoubtAt = 0
		}
		return
	}
	if t.p.Epoch == t.pr.Epoch || !t.speaking() || !t.running() {
		return
	}
	t.closeTalk()
	t.reply(message.Say("restore.lost"), message.Say("restore.ask"))
	t.askNamed(chart.SettingLeft, t.natural(chart.SettingLeft, t.e.Wall))
}

// frozen reports whether this patient's turn falls in a freeze. Whoever is still
// on the way in, or has ended, follows no advice.
func (t *turn) frozen() bool {
	s := t.p.Course.State
	return t.pr.Frozen() && s > chart.Consented && s != chart.Ended
}

// asked reports whether the event is something the patient wrote, pressed or sent.
func (t *turn) asked() bool {
	switch t.e.Body.(type) {
	case Said, Tap, Other:
		return true
	}
	return false
}

// freeze ends a turn in a freeze. Who wrote hears the cautions, and that the
// records are being put right, that nothing is to be changed, and whom to call.
// What was said is kept: answers in the diary, everything else before a person.
// No question stays open, since none was seen.
func (t *turn) freeze() {
	if s, ok := t.e.Body.(Said); ok && !t.alarm && !t.desked && len(t.notes) == 0 {
		t.toDesk(redflag.ClassN, WhyMessage, s.Text)
	}
	var lines []message.Line
	for _, l := range t.answer.Msg.Lines {
		if strings.HasPrefix(l.Key, "now.") || slices.ContainsFunc(t.rose,
			func(r redflag.Raised) bool { return r.Caution == l.Key }) {
			lines = append(lines, l)
		}
	}
	if t.p.Talk.Ask != AskNow { // whether a danger is there now is asked with its caution
		t.closeTalk()
	}
	t.answer.Msg = message.Message{}
	if t.asked() {
		lines = append(lines, message.Say("restore.wait"), message.Say("restore.call", t.numbers()...),
			message.Say("restore.kept"))
		*t.reply() = message.Message{Lines: lines, Plain: true}
	}
}

// withheld reports whether a message to the patient is not said in a freeze:
// everything that was not asked for, but for what an emergency brings.
func (t *turn) withheld(s *Send) bool {
	switch b := t.e.Body.(type) {
	case Said, Tap, Other:
		n := len(s.Msg.Lines)
		return s.Lane != LaneUrgent && (n == 0 || s.Msg.Lines[n-1].Key != "restore.kept") &&
			(s.Key != keyPath || t.p.Talk.Ask != AskNow)
	case Order:
		return s.Lane != LaneUrgent
	case Due:
		return s.Lane != LaneUrgent || !strings.HasPrefix(b.Name, ringHead)
	}
	return true
}
