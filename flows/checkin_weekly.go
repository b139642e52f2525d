package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// weekly reports whether the check-ins come once a week: from holding on nothing
// is turned any more.
func (t *turn) weekly() bool {
	s := t.p.Course.State
	return s >= chart.Holding && s <= chart.Recall
}

// weeklyDue reports whether the weekly questions are due: seven days after they
// were last answered.
func (p *Patient) weeklyDue(night civil.Date) bool {
	k := &p.Talk
	return k.WeeklyA != 0 && night-k.WeeklyA >= WeekDays
}

// promptDue reports whether, in weekly check-ins, this is the evening.
func (p *Patient) promptDue(night civil.Date) bool {
	return p.Talk.Weekly == 0 || night-p.Talk.Weekly >= WeekDays
}

// weeklyDone ends the weekly check-in.
func (t *turn) weeklyDone() {
	if t.p.Talk.Asked != 0 { // a week without any answer is asked again
		t.p.Talk.WeeklyA = t.p.Talk.Night
	}
	t.endCheckIn()
	if t.answerAt != 0 {
		t.say("weekly.done")
	}
	t.plain()
}
