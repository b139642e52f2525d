package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
)

// P11: nights left out by advice are no nights without a word: whoever had it left
// out knows, and the desk is not told of them again.
func TestNightsLeftOutAreNoSilence(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, reading.FTooth, "a loose tooth") // N: the state goes on
	for n := range 5 {
		k.next(chart.LeaveOut, 2, P02)
		if k.silent("P11"); k.a.Fired.Has(P11) != (n > 0) {
			t.Errorf("evening %d: fired %b", n, k.a.Fired)
		}
		k.tell(told{chart.Worn: chart.WornNo, chart.NotWorn: chart.ReasonAdvised})
	}
}

// A single notice to the desk begins the fourteen evenings without one anew.
func TestOneNoticeBeginsTheFourteenAnew(t *testing.T) {
	k := trial(t)
	told := 0
	for range 40 {
		k.night(fine(told3()))
		k.silent("still")
		told += len(k.r)
	}
	if told != 6 || k.c.Left != 0 { // on the third evening without the guide, and each week after it
		t.Errorf("%d notices, at %d", told, k.c.Left)
	}
}

// P17 waits for a person's look, and P18, for which nothing else may speak, puts
// no step that does not help before a person as ready.
func TestAStepThatDoesNotHelpIsNotReady(t *testing.T) {
	k := trial(t, func(p *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.Step, p.Limits.Settle = 500, 4 })
	for range 60 {
		if k.night(quietly(8)); k.a.Rule == P17 {
			break
		}
	}
	k.f.Plan.Limits.ReleaseByHand = true
	k.next(chart.Stay, 6, P17)
	if k.silent("P18"); k.a.Fired != chart.Rules(0).With(P17) || k.a.Ready {
		t.Errorf("%+v", k.a)
	}
}

// P16: an order to the first setting is a limit there, too: it holds.
func TestAnOrderToTheFirstSettingHoldsThere(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.evening()
	if r := k.c.Order(k.f, k.d, 1); r != Done {
		t.Fatal(r)
	}
	k.confirm(1)
	k.tell(fine())
	if k.evening(); !k.a.Fired.Has(P16) || k.c.State != chart.Holding {
		t.Errorf("%v, %+v", k.c.State, k.a)
	}
	k.desk("P13")
}
