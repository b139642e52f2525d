package flows

import "testing"

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
		k.next(Stay, 0, 1)
		if k.a.Reason != name {
			t.Errorf("%s: reason %s", name, k.a.Reason)
		}
		if _, told := hears(k.r, "P01"); told == (name == "reason.p01.held") {
			t.Errorf("%s: desk told %v", name, told)
		}
	}
}

func TestP01PlanThatEnded(t *testing.T) {
	k := trial(t, func(p *Plan, _ *Appliance, _ *Baseline) { p.Ends = day0 + 2 })
	k.nights(3, fine())
	k.next(Stay, 0, 1)
}

func TestP01NoAppliance(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.f = Facts{}
	k.next(Stay, 0, 1)
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
	k.next(Stay, 0, 1)
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
	k.c.Hear(k.f, Wall{k.d, 1200}, FBiteOff, "my bite is off all day") // N, worn
	k.next(Stay, 0, 2)
	k.confirm(0)
	k.tell(fine())
	k.next(Stay, 0, 2)
	if k.c.State != Stepping {
		t.Errorf("an N flag changed the state to %v", k.c.State)
	}
	k.confirm(0)
	k.tell(fine())
	if k.c.Release(k.f, k.d, "bite.changed", 0) != Done {
		t.Fatal("not released")
	}
	k.next(Stay, 0, 9)
	if k.c.State != Resting || !k.c.Doubled {
		t.Errorf("after a release: %v", k.c.State)
	}
}

func TestP02LeavesOut(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.c.Hear(k.f, Wall{k.d, 1200}, FLocked, "my jaw is locked")
	k.next(LeaveOut, 2, 2)
	if k.c.State != Stopped || k.c.Under() != Stepping {
		t.Errorf("state %v over %v", k.c.State, k.c.Under())
	}
	k.tell(told{Worn: WornNo, NotWorn: ReasonAdvised})
	k.next(LeaveOut, 2, 2)
}

func TestP02OnlyTonight(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.c.Hear(k.f, Wall{k.d, 9 * 60}, FVomit, "I am vomiting") // the morning before
	k.next(LeaveOut, 0, 2)
	if k.a.Reason != "reason.p02.tonight" {
		t.Error(k.a.Reason)
	}
	k.tell(told{Worn: WornNo})
	k.next(Stay, 0, 2)
}

func TestP02SetBack(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.c.Flags = append(k.c.Flags, Flag{ID: "setting.above", Class: ClassS, Wear: WearBack, Resume: 1, From: k.d})
	k.c.show()
	k.next(GoBack, 1, 2)
}

// A flag of class R holds nothing, and is left to the next visit.
func TestP02RoutineHoldsNothing(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	rs := k.c.Hear(k.f, Wall{k.d, 1200}, FSore, "a sore spot")
	if len(rs) != 1 || rs[0].Class != ClassR || len(k.c.Flags) != 0 {
		t.Errorf("%v, %v", rs, k.c.Flags)
	}
	k.next(Forward, 1, 18)
}

// A row's own flag counts in P02 from the next evening.
func TestP02OwnFlagFromTheNextEvening(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.evening()
	k.confirm(1)
	k.tell(fine(told{BiteMinutes: 61}))
	k.next(Stay, 1, 8)
	if k.a.Fired.Has(2) {
		t.Error("P08's own flag spoke the same evening")
	}
	k.confirm(1)
	k.tell(fine())
	k.next(Stay, 1, 2)
}

func TestP03NoStepsInOtherStates(t *testing.T) {
	for _, s := range []State{Holding, Testing, Steady, Recall, Paused, Stopped, Ended, Invited} {
		k := trial(t)
		k.nights(3, fine())
		k.c.State = s
		k.next(Stay, 0, 3)
	}
}

// In steady or recall, snoring that returned goes to the desk.
func TestP03SnoringThatReturned(t *testing.T) {
	for _, s := range []State{Steady, Recall} {
		k := trial(t)
		k.c.State = s
		k.nights(4, fine(told{Snoring: 2}))
		k.evening()
		k.silent("P03")
		k.tell(fine(told{Snoring: 5}))
		k.night(fine(told{Snoring: 5}))
		k.evening() // 2, 2, 5, 5
		k.desk("P03")
		k.tell(fine(told{Snoring: 6}))
		k.evening()
		k.silent("P03") // told once
	}
}

func TestP04SeverePain(t *testing.T) {
	for _, m := range []told{fine(told{Pain: 8, Gone: GoneMorning}), fine(told{Pain: 10, Gone: GoneMorning}), fine(told{Woken: Yes})} {
		k := trial(t)
		k.forward(2)
		k.evening()
		k.confirm(2)
		rs := k.tell(m)
		if len(rs) == 0 || rs[0].Class != ClassS || !rs[0].Flag {
			t.Fatalf("raised %v", rs)
		}
		k.next(LeaveOut, 2, 4)
		if k.c.State != Stopped || k.c.Left != 2 {
			t.Errorf("state %v at %d", k.c.State, k.c.Left)
		}
		k.tell(told{Worn: WornNo, NotWorn: ReasonAdvised})
		k.next(LeaveOut, 2, 2) // left out until released
		// The release names the setting, at most the last comfortable one.
		if k.c.Release(k.f, k.d, "", 3) != RefuseGood {
			t.Error("released above the last comfortable setting")
		}
		k.tell(told{Worn: WornNo})
		if r := k.c.Release(k.f, k.d, "", 1); r != Done {
			t.Fatal(r)
		}
		k.next(GoBack, 1, 6)
		if k.c.State != Resting {
			t.Errorf("state %v", k.c.State)
		}
	}
}

// A baseline of severe pain does not switch P04 off: it is fixed.
func TestP04WhateverTheBaseline(t *testing.T) {
	k := trial(t, func(_ *Plan, _ *Appliance, b *Baseline) { b.Pain = Num(9) })
	k.nights(2, fine())
	k.night(fine(told{Pain: 9}))
	k.next(LeaveOut, 0, 4)
}

func TestP05NotConfirmed(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.next(Forward, 1, 18)
	k.tell(fine()) // nobody said where it stands
	k.next(Stay, 0, 5)
	if k.c.Advised != 1 {
		t.Errorf("a stay without confirmation lowered the advised setting to %d", k.c.Advised)
	}
	k.silent("P05")
	k.tell(fine())
	k.next(Stay, 0, 5)
	k.desk("P05") // no answer: desk calls
	k.confirm(1)
	k.tell(fine())
	if k.evening(); k.a.Fired.Has(5) || k.a.To != 1 {
		t.Errorf("confirmed: %+v", k.a)
	}
}

// The patient's count lies outside last confirmed..advised, below 0 too.
func TestP05CountOutside(t *testing.T) {
	for _, said := range []Steps{-1, 0, 5} {
		k := trial(t)
		k.forward(2)
		k.evening()
		k.confirm(said)
		k.tell(fine())
		k.evening()
		if !k.a.Fired.Has(5) || !k.c.InDoubt || k.a.To < 0 || k.a.To > 2 {
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
	k.next(Stay, 0, 5)
	k.confirm(0)
	if k.c.InDoubt {
		t.Error("a count within the range did not settle it")
	}
}

// Two sides that differ by other than the signed offset: match the lower.
func TestP05SidesDiffer(t *testing.T) {
	k := trial(t, func(_ *Plan, a *Appliance, _ *Baseline) { a.TwoSided, a.Offset = true, 1 })
	k.nights(3, fine())
	k.next(Forward, 1, 18)
	k.c.Confirm(k.f, k.d, 1, 1) // should be 1 and 2
	k.tell(fine())
	k.next(Stay, 0, 5)
	if k.a.Reason != "reason.p05.sides" {
		t.Error(k.a.Reason)
	}
	k.c.Confirm(k.f, k.d, 0, 1)
	k.tell(fine())
	if k.next(Stay, 0, 15); k.a.Fired.Has(5) {
		t.Error("both sides agree")
	}
}

// Left 7, right 6 of an appliance without offset: no advance (evidence: the
// same number of turns on both sides, common practice, no source).
func TestP05SevenAndSix(t *testing.T) {
	k := trial(t, func(_ *Plan, a *Appliance, _ *Baseline) { a.TwoSided = true })
	k.forward(7)
	k.evening()
	k.c.Confirm(k.f, k.d, 7, 6)
	k.tell(fine())
	k.next(Stay, 6, 5)
}

func TestP06AboveTheAdvised(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.next(Forward, 1, 18)
	k.confirm(3) // two half turns too many
	k.tell(fine())
	k.next(GoBack, 1, 6)
	if k.a.From != 3 {
		t.Errorf("from %d", k.a.From)
	}
	for range 2 {
		k.confirm(3)
		k.tell(fine())
		k.next(GoBack, 1, 6)
	}
	k.desk("P06")
}

// Above the ceiling or the travel: to the highest whole step at or under it,
// and S flag, never a breach of the guard.
func TestP06AboveTheCeiling(t *testing.T) {
	for _, change := range []func(*Plan, *Appliance, *Baseline){
		func(p *Plan, _ *Appliance, _ *Baseline) { p.Limits.Ceiling = 2 },
		func(_ *Plan, a *Appliance, _ *Baseline) { a.Travel = 2 },
	} {
		k := trial(t, change)
		k.forward(2)
		k.evening()
		rs := k.confirm(5)
		if r, ok := hears(rs, "setting.above"); !ok || r.Class != ClassS {
			t.Fatalf("raised %v", rs)
		}
		k.tell(fine())
		k.next(GoBack, 2, 6)
		if k.a.Breach || k.c.Breaches != 0 || k.c.State != Stopped {
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
	k.next(GoBack, 2, 6)
	k.desk("setting.above")
}
