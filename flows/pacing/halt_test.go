package pacing

import (
	"testing"

	"duskdawn/flows/chart"
)

// While the rules are halted every advice says to change nothing, a step and a
// way back alike; what a red flag leaves out stays out; lifted, the course goes on.
func TestHaltedRules(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.nights(3, fine())
	k.f.Halted = true
	k.next(chart.Stay, k.c.Left, P01)
	if k.a.Reason != "reason.p01.halted" || k.a.Fired != chart.Rules(0).With(P01) {
		t.Errorf("%s, fired %b", k.a.Reason, k.a.Fired)
	}
	if e, _ := k.c.Entry(k.d); e.Under()&chart.UnderHalted == 0 {
		t.Error("the night does not say that it was halted")
	}
	k.confirm(k.a.To)
	k.tell(fine(told{chart.Pain: 6, chart.Gone: chart.GoneMorning}))
	k.next(chart.Stay, k.c.Left, P01) // P07 would go back
	k.confirm(k.a.To)
	k.tell(fine(told{chart.Pain: 9, chart.Gone: chart.GoneMorning}))
	k.evening()
	k.d++
	k.next(chart.LeaveOut, k.c.Left, P02) // its flag counts from the evening after
	k.f.Halted = false
	k.d++
	k.next(chart.LeaveOut, k.c.Left, P02)
}

// Nights while the rules are halted count as any others: lifted, the next step comes.
func TestLifted(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.confirm(2)
	at := k.c.Left
	k.f.Halted = true
	k.nights(5, fine())
	if k.c.Left != at {
		t.Fatalf("it moved from %d to %d while halted", at, k.c.Left)
	}
	k.f.Halted = false
	k.next(chart.Forward, at+1, P18)
}
