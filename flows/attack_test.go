package flows

import "testing"

// A night worker goes to bed in the morning: the reminder still commits the
// advice, and what is told after it still makes the advice stricter.
func TestANightWorkersEvening(t *testing.T) {
	for _, hours := range []struct{ evening, morning, boundary Clock }{
		{8*60 + 30, 16 * 60, 18 * 60},
		{8*60 + 30, 16 * 60, 6 * 60},
		{4*60 + 30, 13 * 60, 16 * 60},
		{30, 9 * 60, 12 * 60},
		{21 * 60, 7 * 60, 12 * 60},
	} {
		l := active(t)
		l.p.Plan.Evening, l.p.Plan.Morning, l.p.Plan.Boundary = hours.evening, hours.morning, hours.boundary
		night := l.p.Plan.Night(l.now) + 2
		l.now = l.p.Plan.eveningAt(night)
		l.on(Due{Name: "evening", Scheduled: l.now})
		l.later(remindAfter).on(Due{Name: "commit", Scheduled: l.now})
		if a := l.p.Course.Advice; a.Night != night || a.Action == NoAction {
			t.Errorf("%v: the reminder gives night %s %v, want night %s", hours, a.Night, a.Action, night)
			continue
		}
		l.later(5).say("swollen", Reading{Features: FMissing}) // a piece is missing
		if a := l.p.Course.Advice; len(l.p.Course.Flags) == 0 || a.Action != LeaveOut {
			t.Errorf("%v: a flag after the advice leaves %v with %v", hours, a.Action, l.p.Course.Flags)
		}
	}
}
