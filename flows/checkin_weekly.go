package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/relapse"
)

// weekly reports whether the check-ins come once a week: from holding on nothing
// is turned any more.
func (t *turn) weekly() bool {
	s := t.p.Course.State
	return s >= chart.Holding && s <= chart.Recall
}

// proofReports is how many snoring scores at the setting to be proved are asked for,
// night by night: what a later relapse is told by (relapse.Most).
const proofReports = relapse.Most

// proving reports whether a position holds that no test has proved yet: then each
// morning asks whether it was worn, and how loud it was until enough is known; or
// whether the chart of a proved one has risen and a few scores are wanted.
func (p *Patient) proving() bool {
	c := &p.Course
	return p.rising() || (c.State == chart.Holding || c.State == chart.Testing) && (c.TestOn == 0 || c.TestOn < c.HoldFrom)
}

// rising reports whether the relapse chart asks for scores.
func (p *Patient) rising() bool {
	s := p.Course.State
	return p.Course.Rose != 0 && (s == chart.Steady || s == chart.Recall)
}

// ofProof reports whether a question is one of those mornings'.
func (l *context) ofProof(f chart.Field) bool {
	switch f {
	case chart.Worn, chart.WornMinutes, chart.NotWorn, chart.Unusual:
		return true
	case chart.Snoring, chart.Reporter:
		return l.reports < proofReports || l.p.rising()
	}
	return false
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
