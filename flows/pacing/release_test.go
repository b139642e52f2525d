package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/redflag"
)

// A released flag of the jaw rests who was settling or stepping, at the lowest of
// the named, the last comfortable and the advised setting; a rest that runs, or is
// complete since, goes on; any other flag leaves state and counts.
func TestReleases(t *testing.T) {
	raise := func(k *bench, id string) {
		k.c.raiseRuled(&k.f, nil, id, k.d-1, k.d)
	}
	for id, jaw := range map[string]bool{"pain.severe": true, "sore.start": true, "jaw.locked": true, "bite.changed": true,
		"tooth.loose": true, "swelling.gum": true, "numb": true, "accident": true, "sleepy": false, "driving.asleep": false,
		"pauses": false, "headache.morning": false, "appliance.lost": false, "appliance.seat": false, "piece.broken": false} {
		k := trial(t)
		k.forward(4)
		arrived, settled := k.c.Arrived, k.c.SettleFrom
		raise(k, id)
		k.c.StartHits, k.c.RestHits = 1, 1
		if r := k.c.ReleaseHere(k.f, k.d, id); r != Done {
			t.Fatal(id, r)
		}
		rests := k.c.State == chart.Resting && k.c.Doubled && k.c.RestFrom == k.d && k.c.Arrived == k.d
		if rests != jaw || !jaw && (k.c.State != chart.Stepping || k.c.Arrived != arrived || k.c.Doubled) ||
			k.c.SettleFrom != settled || k.c.StartHits != 1 || k.c.Advised > 4 || k.c.Named != k.d {
			t.Errorf("%s: %v, advised %d", id, k.c.State, k.c.Advised)
		}
	}
	k := trial(t) // named lower, and never raised
	k.forward(4)
	raise(k, "sleepy")
	if r := k.c.Release(k.f, k.d, "", 9); r != Done || k.c.Advised != 4 {
		t.Errorf("%q, advised %d", r, k.c.Advised)
	}
	raise(k, "sleepy")
	if r := k.c.Release(k.f, k.d, "", 2); r != Done || k.c.Advised != 2 {
		t.Errorf("%q, advised %d", r, k.c.Advised)
	}
	k = trial(t) // a rest that runs
	k.forward(3)
	k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}))
	k.night(fine())
	from := k.c.RestFrom
	raise(k, "jaw.catch")
	if k.c.ReleaseHere(k.f, k.d, ""); k.c.State != chart.Resting || k.c.RestFrom != from || k.c.RestHits != 1 {
		t.Errorf("%v since %v, %d", k.c.State, k.c.RestFrom, k.c.RestHits)
	}
	k = trial(t) // ... and one that is complete since the flag
	k.forward(1)
	k.c.walk(chart.Settling)
	k.c.Left, k.c.Low, k.c.High, k.c.Advised = 0, 0, 0, 0
	k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}))
	k.nights(4, fine())
	if k.c.OnPath() == chart.Resting || !k.c.Open() {
		t.Fatalf("%v, %v", k.c.OnPath(), k.c.Flags)
	}
	if k.c.ReleaseHere(k.f, k.d, "sore.start"); k.c.State == chart.Resting {
		t.Errorf("%v again", k.c.State)
	}
}

// A night left out by advice counts for nothing, worn or not.
func TestLeftOutCountsForNothing(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.c.Flags = append(k.c.Flags, redflag.Flag{ID: "appliance.lost", Class: redflag.ClassN, Wear: redflag.WearOut, From: k.d})
	for range 9 {
		k.evening()
		k.tell(fine(told{chart.Snoring: 9}))
		k.silent("P11")
	}
	k.c.ReleaseHere(k.f, k.d, "")
	k.c.Reach(&k.f, k.d)
	v := k.c.assess(k.f, k.d)
	if v.worn != 1 || v.gap != 0 || v.gapped || v.hasGood && v.good != 2 {
		t.Errorf("worn %d; gap %d, %v", v.worn, v.gap, v.gapped)
	}
	e, _ := k.c.Entry(k.d - 1)
	if _, ok := e.Usable(chart.Num(chart.ReporterPartner), 240); ok || !leftOut(v) {
		t.Error("its report is usable")
	}
	k.next(chart.Stay, 2, P15)
}

// Where it is left out, too, no setting above the ceiling is named.
func TestLeftOutUnderTheCeiling(t *testing.T) {
	k := trial(t)
	k.forward(4)
	k.f.Plan.Limits.Ceiling = 2
	k.c.Flags = append(k.c.Flags, redflag.Flag{ID: "chest", Class: redflag.ClassE, Wear: redflag.WearOut, From: k.d})
	if k.evening(); k.a.Action != chart.LeaveOut || k.a.To != 2 {
		t.Errorf("%+v", k.a)
	}
}

// P15: an arrival of the right side counts, and only nights that are surely here.
func TestP15BothSides(t *testing.T) {
	k := trial(t, func(_ *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.TwoSided = true })
	k.forward(2)
	k.nights(1, fine())
	k.evening()
	k.c.Confirm(k.f, k.d, 2, 1)
	k.tell(fine())
	k.evening()
	k.c.Confirm(k.f, k.d, 2, 2)
	if k.c.Arrived != k.d {
		t.Errorf("arrived %v", k.c.Arrived)
	}
	k.tell(fine())
	k.nights(2, fine())
	k.next(chart.Forward, 3, P18)
	v := atSetting(2, func(v *assessment) { v.s.Arrived = 1 })
	es := remembered(v, 4)
	for i := range es {
		say(&es[i], fine())
	}
	es[1].High = 3
	if v.count(); v.worn != 2 {
		t.Errorf("%d nights surely here", v.worn)
	}
}
