package pacing

import (
	"testing"

	"duskdawn/flows/chart"
)

// P05: two sides that differ are matched at the lower, be it the start; one said
// to be under it is in doubt and confirms nothing.
func TestSidesThatDifferAtTheStart(t *testing.T) {
	for left, doubt := range map[chart.Steps]bool{1: false, 0: false, -1: true} {
		k := trial(t, func(_ *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.TwoSided = true })
		k.forward(2)
		k.evening()
		k.c.Confirm(k.f, k.d, left, 2)
		if want := map[bool]chart.Steps{false: left, true: 2}[doubt]; k.c.InDoubt != doubt || k.c.Left != want {
			t.Errorf("left at %d: stands at %d, in doubt %v", left, k.c.Left, k.c.InDoubt)
		}
	}
}

// P05: two counts of two evenings are both in doubt; the second one stands once it
// is said again.
func TestAnotherCountThanLastEvening(t *testing.T) {
	k := trial(t)
	k.forward(2)
	for n, said := range []chart.Steps{5, 4, 4} {
		k.evening()
		k.confirm(said)
		if k.c.InDoubt != (n < 2) {
			t.Errorf("evening %d: at %d, in doubt %v", n, k.c.Left, k.c.InDoubt)
		}
		k.tell(fine())
	}
	if k.c.Left != 4 {
		t.Errorf("at %d", k.c.Left)
	}
}

// P05: a count lost on the first day was not said the evening before.
func TestACountLostOnTheFirstDay(t *testing.T) {
	k := trial(t)
	k.c.LoseCount()
	if k.confirm(5); !k.c.InDoubt || k.c.Left != 0 {
		t.Errorf("at %d, in doubt %v", k.c.Left, k.c.InDoubt)
	}
}

// A count under the start is in doubt, whatever was taken for confirmed before.
func TestACountUnderTheStart(t *testing.T) {
	k := trial(t)
	k.c.Left, k.c.Low, k.c.Advised = -1, -1, -1
	if k.confirm(-1); !k.c.InDoubt {
		t.Errorf("it stands at %d", k.c.Left)
	}
}

// P07: the count of sore mornings at the start, and of a rest, ends by a forward
// step as it was advised, and never by a release.
func TestAStepEndsTheCountOfSoreMornings(t *testing.T) {
	k := trial(t)
	k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}))
	k.night(fine())
	if r := k.c.Release(k.f, k.d, "sore.start", 0); r != Done || k.c.StartHits != 1 || k.c.RestHits != 1 {
		t.Fatal(r, k.c.StartHits, k.c.RestHits)
	}
	if k.forward(1); k.c.StartHits != 0 || k.c.RestHits != 0 {
		t.Errorf("after a step: %d at the start, %d of the rest", k.c.StartHits, k.c.RestHits)
	}
}
