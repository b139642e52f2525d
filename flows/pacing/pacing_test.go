package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// One test per sentence of the pacing table, by its name. The table is the
// design; its sources stand beside the rows in rules.go.

func TestP01NoPlanNoStep(t *testing.T) {
	for name, change := range map[string]func(*bench){
		"reason.p01.plan":     func(k *bench) { k.f.Plan.Rev = 0 },
		"reason.p01.clock":    func(k *bench) { k.f.Doubt = true },
		"reason.p01.restored": func(k *bench) { k.f.Restored = true },
		"reason.p01.held":     func(k *bench) { k.f.Held = true },
	} {
		k := trial(t)
		k.nights(3, fine())
		change(k)
		k.next(chart.Stay, 0, 1)
		if k.a.Reason != name {
			t.Errorf("%s: reason %s", name, k.a.Reason)
		}
		if _, told := hears(k.r, "P01"); told == (name == "reason.p01.held") {
			t.Errorf("%s: desk told %v", name, told)
		}
	}
}

func TestP01PlanThatEnded(t *testing.T) {
	k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Ends = day0 + 2 })
	k.nights(3, fine())
	k.next(chart.Stay, 0, 1)
}

func TestP01NoAppliance(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.f = Facts{}
	k.next(chart.Stay, 0, 1)
}

// 90 days or more without a recorded clinician contact.
func TestP01Contact(t *testing.T) {
	k := trial(t)
	k.c.Seen, k.f.Plan.Fitted = day0, day0
	k.d = day0 + 89
	if a := k.c.Preview(k.f, k.d); a.Fired.Has(1) {
		t.Error("89 days")
	}
	k.d = day0 + 90
	k.next(chart.Stay, 0, 1)
	if k.a.Reason != "reason.p01.contact" {
		t.Error(k.a.Reason)
	}
	k.desk("P01")
	k.c.Contact(k.d)
	k.d++
	if a := k.evening(); a.Fired.Has(1) {
		t.Error("a contact did not end it")
	}
	k.f.Plan.Limits.ContactDays = 400 // no plan goes over 90
	k.d = k.c.Seen + 90
	if a := k.evening(); !a.Fired.Has(1) {
		t.Error("over 90 days")
	}
}

func TestP02FlagHolds(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, reading.FBiteOff, "my bite is off all day") // N, worn
	k.next(chart.Stay, 0, 2)
	k.confirm(0)
	k.tell(fine())
	k.next(chart.Stay, 0, 2)
	if k.c.State != chart.Stepping {
		t.Errorf("an N flag changed the state to %v", k.c.State)
	}
	k.confirm(0)
	k.tell(fine())
	if k.c.Release(k.f, k.d, "bite.changed", 0) != Done {
		t.Fatal("not released")
	}
	k.next(chart.Stay, 0, 9)
	if k.c.State != chart.Resting || !k.c.Doubled {
		t.Errorf("after a release: %v", k.c.State)
	}
}

func TestP02LeavesOut(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, reading.FLocked, "my jaw is locked")
	k.next(chart.LeaveOut, 2, 2)
	if k.c.State != chart.Stopped || k.c.OnPath() != chart.Stepping {
		t.Errorf("state %v over %v", k.c.State, k.c.OnPath())
	}
	k.tell(told{chart.Worn: chart.WornNo, chart.NotWorn: chart.ReasonAdvised})
	k.next(chart.LeaveOut, 2, 2)
}

func TestP02OnlyTonight(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 9 * 60}, reading.FVomit, "I am vomiting") // the morning before
	k.next(chart.LeaveOut, 0, 2)
	if k.a.Reason != "reason.p02.tonight" {
		t.Error(k.a.Reason)
	}
	k.tell(told{chart.Worn: chart.WornNo})
	k.next(chart.Stay, 0, 2)
}

func TestP02SetBack(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.c.Flags = append(k.c.Flags, redflag.Flag{ID: "setting.above", Class: redflag.ClassS, Wear: redflag.WearBack,
		Resume: 1, From: k.d})
	k.c.restate()
	k.next(chart.GoBack, 1, 2)
}

// A flag of class R holds nothing, and is left to the next visit.
func TestP02RoutineHoldsNothing(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	rs := k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, reading.FSore, "a sore spot")
	if len(rs) != 1 || rs[0].Class != redflag.ClassR || len(k.c.Flags) != 0 {
		t.Errorf("%v, %v", rs, k.c.Flags)
	}
	k.next(chart.Forward, 1, 18)
}

// A flag of an answer that a rule speaks of counts in P02 from the evening after.
func TestP02OwnFlagFromTheNextEvening(t *testing.T) {
	for minutes, want := range map[int]struct {
		do   chart.Action
		to   chart.Steps
		rule chart.Rule
	}{61: {chart.Stay, 1, P08}, chart.BiteMidday: {chart.GoBack, 0, P07}} {
		k := trial(t)
		k.nights(3, fine())
		k.evening()
		k.confirm(1)
		k.tell(fine(told{chart.BiteMinutes: minutes}))
		k.next(want.do, want.to, want.rule)
		if k.a.Fired.Has(P02) {
			t.Errorf("%d minutes: the flag spoke the same evening as its rule", minutes)
		}
		k.confirm(want.to)
		k.tell(fine())
		k.next(chart.Stay, want.to, P02)
	}
}

func TestP03NoStepsInOtherStates(t *testing.T) {
	for _, s := range []chart.State{chart.Holding, chart.Testing, chart.Steady, chart.Recall, chart.Paused, chart.Stopped,
		chart.Ended, chart.Invited} {
		k := trial(t)
		k.nights(3, fine())
		k.c.State = s
		k.next(chart.Stay, 0, 3)
	}
}

// In steady or recall, snoring that returned goes to the desk.
func TestP03SnoringThatReturned(t *testing.T) {
	for _, s := range []chart.State{chart.Steady, chart.Recall} {
		k := trial(t)
		k.c.State = s
		k.nights(4, fine(told{chart.Snoring: 2}))
		k.evening()
		k.silent("P03")
		k.tell(fine(told{chart.Snoring: 5}))
		k.night(fine(told{chart.Snoring: 5}))
		k.evening() // 2, 2, 5, 5
		k.desk("P03")
		k.tell(fine(told{chart.Snoring: 6}))
		k.evening()
		k.silent("P03") // told once
	}
}

func TestP04SeverePain(t *testing.T) {
	for _, m := range []told{fine(told{chart.Pain: 8, chart.Gone: chart.GoneMorning}),
		fine(told{chart.Pain: 10, chart.Gone: chart.GoneMorning}), fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning, chart.Woken: chart.Yes}),
		fine(told{chart.Pain: gone, chart.Woken: chart.Yes})} {
		k := trial(t)
		k.forward(2)
		k.evening()
		k.confirm(2)
		rs := k.tell(m)
		if len(rs) == 0 || rs[0].Class != redflag.ClassS || !rs[0].Flag {
			t.Fatalf("raised %v", rs)
		}
		k.next(chart.LeaveOut, 2, 4)
		if k.c.State != chart.Stopped || k.c.Left != 2 {
			t.Errorf("state %v at %d", k.c.State, k.c.Left)
		}
		k.tell(told{chart.Worn: chart.WornNo, chart.NotWorn: chart.ReasonAdvised})
		k.next(chart.LeaveOut, 2, 2) // left out until released
		// The release names the setting, at most the last comfortable one.
		if k.c.Release(k.f, k.d, "", 3) != RefuseGood {
			t.Error("released above the last comfortable setting")
		}
		k.tell(told{chart.Worn: chart.WornNo})
		if r := k.c.Release(k.f, k.d, "", 1); r != Done {
			t.Fatal(r)
		}
		k.next(chart.GoBack, 1, 6)
		if k.c.State != chart.Resting {
			t.Errorf("state %v", k.c.State)
		}
	}
}

// A baseline of severe pain does not switch P04 off: it is fixed.
func TestP04WhateverTheBaseline(t *testing.T) {
	k := trial(t, func(_ *chart.Plan, _ *chart.Appliance, b *chart.Baseline) { b.Pain = chart.Num(9) })
	k.nights(2, fine())
	k.night(fine(told{chart.Pain: 9}))
	k.next(chart.LeaveOut, 0, 4)
}

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
