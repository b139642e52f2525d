package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/redflag"
)

// P05 and P06: a count that is not sure, and an appliance that stands too far.

func TestP05NotConfirmed(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.next(chart.Forward, 1, 18)
	k.tell(fine()) // nobody said where it stands
	k.next(chart.Stay, 0, 5)
	if k.c.Advised != 1 {
		t.Errorf("a stay without confirmation lowered the advised setting to %d", k.c.Advised)
	}
	k.silent("P05")
	k.tell(fine())
	k.next(chart.Stay, 0, 5)
	k.desk("P05") // no answer: desk calls
	k.confirm(1)
	k.tell(fine())
	if k.evening(); k.a.Fired.Has(5) || k.a.To != 1 {
		t.Errorf("confirmed: %+v", k.a)
	}
}

// The patient's count lies outside last confirmed..advised, below 0 too.
func TestP05CountOutside(t *testing.T) {
	for _, said := range []chart.Steps{-1, 0, 5} {
		k := trial(t)
		k.forward(2)
		k.evening()
		k.confirm(said)
		k.tell(fine())
		k.evening()
		if !k.a.Fired.Has(5) || !k.c.InDoubt || k.a.To != 2 { // the last confirmed one, also under zero
			t.Errorf("said %d: %+v", said, k.a)
		}
		k.confirm(max(k.a.To, 0))
		if k.c.InDoubt {
			t.Errorf("said %d: still in doubt", said)
		}
	}
}

func TestP05LostCount(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.c.LoseCount()
	k.next(chart.Stay, 0, 5)
	k.confirm(0)
	if k.c.InDoubt {
		t.Error("a count within the range did not settle it")
	}
}

// A count that cannot be so rings on its second evening; one that was only not said waits for the digest.
func TestP05Rings(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.evening()
	k.confirm(7)
	k.tell(fine())
	k.evening()
	k.silent("P05")
	k.confirm(9)
	k.tell(fine())
	if k.evening(); !k.desk("P05").Rings {
		t.Error("two counts that cannot be so, and nobody calls")
	}
	k = trial(t)
	k.nights(3, fine())
	k.next(chart.Forward, 1, 18)
	k.tell(fine())
	k.next(chart.Stay, 0, 5)
	k.tell(fine())
	if k.next(chart.Stay, 0, 5); k.desk("P05").Rings {
		t.Error("a count that was not said rings")
	}
}

// Two sides that differ by other than the signed offset: match the lower.
func TestP05SidesDiffer(t *testing.T) {
	k := trial(t, func(_ *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.TwoSided, a.Offset = true, 1 })
	k.nights(3, fine())
	k.next(chart.Forward, 1, 18)
	k.c.Confirm(k.f, k.d, 1, 1) // should be 1 and 2
	k.tell(fine())
	k.next(chart.Stay, 0, 5)
	if k.a.Reason != "reason.p05.sides" {
		t.Error(k.a.Reason)
	}
	k.c.Confirm(k.f, k.d, 0, 1)
	k.tell(fine())
	if k.next(chart.Stay, 0, 15); k.a.Fired.Has(5) {
		t.Error("both sides agree")
	}
}

// A count in doubt, and two sides that differ, reach the desk on the second evening
// in every state; where nothing is stepped, an evening on which nobody was asked where
// it stands reaches nobody.
func TestP05IsToldInEveryState(t *testing.T) {
	for _, s := range []chart.State{chart.Stepping, chart.Holding, chart.Testing, chart.Steady, chart.Recall} {
		for name, said := range map[string][2]chart.Steps{"in doubt": {9, 9}, "sides": {2, 1}} {
			k := trial(t, func(_ *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.TwoSided = true })
			k.forward(2)
			k.c.walk(s)
			if s != chart.Stepping { // nobody was asked for some days
				for range 5 {
					k.evening()
					k.silent("P05")
					k.tell(fine())
				}
			}
			k.c.Confirm(k.f, k.d, said[0], said[1])
			k.tell(fine())
			k.evening()
			k.silent("P05")
			k.tell(fine())
			k.evening()
			if k.desk("P05"); !k.a.Fired.Has(P05) {
				t.Errorf("%v, %s: %+v", s, name, k.a)
			}
		}
	}
}

// Left 7, right 6 of an appliance without offset: no advance (evidence: the
// same number of turns on both sides, common practice, no source).
func TestP05SevenAndSix(t *testing.T) {
	k := trial(t, func(_ *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.TwoSided = true })
	k.forward(7)
	k.evening()
	k.c.Confirm(k.f, k.d, 7, 6)
	k.tell(fine())
	k.next(chart.Stay, 6, 5)
}

func TestP06AboveTheAdvised(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.next(chart.Forward, 1, 18)
	k.confirm(3) // two half turns too many
	k.tell(fine())
	k.next(chart.GoBack, 1, 6)
	if k.a.From != 3 {
		t.Errorf("from %d", k.a.From)
	}
	for range 2 {
		k.confirm(3)
		k.tell(fine())
		k.next(chart.GoBack, 1, 6)
	}
	k.desk("P06")
}

// Above the ceiling or the travel: to the highest whole step at or under it,
// and S flag, never a breach of the guard.
func TestP06AboveTheCeiling(t *testing.T) {
	for _, change := range []func(*chart.Plan, *chart.Appliance, *chart.Baseline){
		func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Ceiling = 2 },
		func(_ *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.Travel = 2 },
	} {
		k := trial(t, change)
		k.forward(2)
		k.evening()
		rs := k.confirm(5)
		if r, ok := hears(rs, "setting.above"); !ok || r.Class != redflag.ClassS {
			t.Fatalf("raised %v", rs)
		}
		k.tell(fine())
		k.next(chart.GoBack, 2, 6)
		if k.a.Breach || k.c.Breaches != 0 || k.c.State != chart.Stopped {
			t.Errorf("%+v, %v", k.a, k.c.State)
		}
	}
}

// A ceiling lowered under the setting.
func TestP06LoweredCeiling(t *testing.T) {
	k := trial(t)
	k.forward(4)
	k.f.Plan.Limits.Ceiling = 2
	k.f.Plan.Rev++
	k.c.Renew(k.f, k.d)
	k.next(chart.GoBack, 2, 6)
	k.desk("setting.above")
}
