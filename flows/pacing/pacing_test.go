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
