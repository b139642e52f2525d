package flows

import "testing"

func TestP07SoreMornings(t *testing.T) {
	for name, m := range map[string]told{
		"pain 5":            fine(told{Pain: 5, Gone: GoneMorning}),
		"pain 7":            fine(told{Pain: 7, Gone: GoneMorning}),
		"past midday":       fine(told{Pain: 4, Gone: GoneAfternoon}),
		"still there":       fine(told{Pain: 1, Gone: GoneNo}),
		"taken out for it":  fine(told{Worn: WornPart, WornMinutes: 120, NotWorn: ReasonPain}),
		"bite not back":     fine(told{BiteMinutes: BiteNot}),
		"bite after midday": fine(told{BiteMinutes: BiteMidday}),
	} {
		k := trial(t)
		k.forward(3)
		k.night(m)
		k.evening()
		if k.a.Action != GoBack || k.a.To != 2 || k.a.Rule != 7 || k.a.From != 3 {
			t.Errorf("%s: %+v", name, k.a)
		}
		if k.c.State != Resting || !k.c.Doubled || k.c.RestTo != Stepping {
			t.Errorf("%s: state %v", name, k.c.State)
		}
		// N flag only at the start or where the bite is not back.
		if open := k.c.Open(); open != m.late() {
			t.Errorf("%s: flags %v", name, k.c.Flags)
		}
	}
}

func (m told) late() bool { return m[BiteMinutes] >= BiteMidday }

// Pain 4 gone by 9 in the morning: watched; until 15 in the afternoon: back;
// 8: severe (doi 10.2147/JPR.S75192; the hours are practice sheets).
func TestPainExamples(t *testing.T) {
	for _, x := range []struct {
		m    told
		do   Action
		rule Rule
	}{
		{fine(told{Pain: 4, Gone: GoneMorning}), Stay, 15},
		{fine(told{Pain: 4, Gone: GoneAfternoon}), GoBack, 7},
		{fine(told{Pain: 8, Gone: GoneMorning}), LeaveOut, 4},
	} {
		k := trial(t)
		k.forward(2)
		k.night(x.m)
		if k.evening(); k.a.Action != x.do || k.a.Rule != x.rule {
			t.Errorf("%v: %+v", x.m, k.a)
		}
	}
}

// Pain at or below the baseline counts as 0 and needs no "gone".
func TestPainAtBaseline(t *testing.T) {
	k := trial(t, func(_ *Plan, _ *Appliance, b *Baseline) { b.Pain = Num(5) })
	k.nights(3, fine(told{Pain: 5}))
	k.next(Forward, 1, 18)
	k.confirm(1)
	k.tell(fine(told{Pain: 6, Gone: GoneMorning}))
	k.next(GoBack, 0, 7)
}

// Bite away over 60 minutes on two of the last 7 mornings since the last
// go-back, visit or release.
func TestP07BiteTwice(t *testing.T) {
	k := trial(t, func(p *Plan, _ *Appliance, _ *Baseline) { p.Limits.Interval = 7 })
	k.forward(3)
	k.night(fine(told{BiteMinutes: 61}))
	k.next(Stay, 3, 8)
	k.confirm(3)
	k.tell(fine())
	k.c.Flags = nil
	k.night(fine(told{BiteMinutes: 75}))
	k.next(GoBack, 2, 7)
	k.confirm(2)
	k.tell(fine(told{BiteMinutes: 61})) // once since the go-back
	k.evening()
	if k.a.Fired.Has(7) {
		t.Errorf("mornings before the go-back counted again: %+v", k.a)
	}
}

func TestP07BiteOnceAfterAWeek(t *testing.T) {
	k := trial(t, func(p *Plan, _ *Appliance, _ *Baseline) { p.Limits.Interval = 14 })
	k.forward(1)
	k.night(fine(told{BiteMinutes: 61}))
	k.c.Flags = nil
	k.nights(6, fine())
	k.night(fine(told{BiteMinutes: 61}))
	if k.evening(); k.a.Fired.Has(7) {
		t.Errorf("%+v", k.a)
	}
}

// Go back to the last comfortable setting since the last visit, and at least
// one step under the lowest it may be at.
func TestP07BackToTheLastComfortable(t *testing.T) {
	k := trial(t)
	k.forward(2)
	mild := fine(told{Pain: 2, Gone: GoneMorning, BiteMinutes: 46})
	for k.a.To < 4 || k.a.Action != Forward { // two steps without a comfortable night
		m := mild
		if k.c.Low < 2 {
			m = fine()
		}
		k.c.Nights[k.c.index(k.d-1)].V[BiteMinutes] = Num(5) // easy enough to step on ...
		k.night(m)
	}
	for i := range k.c.Nights { // ... but not comfortable at 3 or 4
		if k.c.Nights[i].Low >= 3 {
			k.c.Nights[i].V[BiteMinutes] = Num(50)
		}
	}
	k.c.Nights[k.c.index(k.d-1)].V[Pain] = Num(6)
	k.next(GoBack, 2, 7)
}

func TestP07SinceTheLastVisit(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.nights(2, fine())
	if k.c.Visit(k.f, k.d, 6) != Done {
		t.Fatal("visit refused")
	}
	k.night(fine(told{Pain: 5, Gone: GoneMorning}))
	k.next(GoBack, 5, 7) // 2 was comfortable before the visit
}

// At the start: rest, settle count 0, then settling; N flag.
func TestP07AtTheStart(t *testing.T) {
	k := trial(t)
	k.nights(2, fine())
	k.night(fine(told{Pain: 5, Gone: GoneMidday}))
	k.next(Stay, 0, 7)
	if r := k.desk("sore.start"); r.Class != ClassN {
		t.Errorf("%+v", r)
	}
	if k.c.State != Resting || k.c.RestTo != Settling {
		t.Errorf("%v then %v", k.c.State, k.c.RestTo)
	}
	k.c.Flags = nil // looked at
	k.confirm(0)
	k.tell(fine())
	k.nights(2, fine())
	k.next(Stay, 0, 15) // three easy mornings, three settle nights; the interval of 6 from the go-back is not over
	if k.c.State != Stepping || k.a.Fired.Has(10) {
		t.Errorf("state %v, %+v", k.c.State, k.a)
	}
	k.confirm(0)
	k.tell(fine())
	k.nights(2, fine())
	k.next(Forward, 1, 18)
}

// The settle count begins anew at the go-back, also for a longer settling.
func TestP07AtTheStartSettlesAgain(t *testing.T) {
	k := trial(t, func(p *Plan, _ *Appliance, _ *Baseline) { p.Limits.Settle = 5 })
	k.nights(3, fine())
	k.night(fine(told{Pain: 5, Gone: GoneMidday}))
	k.evening()
	k.c.Flags = nil
	k.confirm(0)
	k.tell(fine())
	k.nights(2, fine())
	k.next(Stay, 0, 10)
	if k.c.State != Settling {
		t.Errorf("state %v", k.c.State)
	}
	k.confirm(0)
	k.tell(fine())
	k.night(fine())
	k.next(Stay, 0, 15)
}

// A second such morning at the start since the last visit, release or forward
// step: leave out, S.
func TestP07AtTheStartTwice(t *testing.T) {
	sore := fine(told{Pain: 6, Gone: GoneMidday})
	k := trial(t)
	k.night(sore)
	k.next(Stay, 0, 7)
	k.c.Flags = nil
	k.confirm(0)
	k.tell(fine())
	k.nights(4, fine())
	k.confirm(0)
	k.evening()
	k.confirm(0)
	k.tell(sore)
	k.next(LeaveOut, 0, 7)
	if r := k.desk("sore.again"); r.Class != ClassS || k.c.State != Stopped {
		t.Errorf("%+v, %v", r, k.c.State)
	}
	for name, act := range map[string]func(*bench){
		"visit":   func(k *bench) { k.c.Visit(k.f, k.d, 0) },
		"release": func(k *bench) { k.c.Release(k.f, k.d, "", 0) },
	} {
		k := trial(t)
		k.night(sore)
		k.next(Stay, 0, 7)
		k.tell(fine())
		act(k)
		k.c.Flags = nil
		k.night(sore)
		if k.evening(); k.a.Action == LeaveOut {
			t.Errorf("after a %s it is the first: %+v", name, k.a)
		}
	}
}

func TestP07AtTheStartAfterAStep(t *testing.T) {
	sore := fine(told{Pain: 6, Gone: GoneMidday})
	k := trial(t)
	k.night(sore)
	k.evening()
	k.c.Flags = nil
	k.confirm(0)
	k.tell(fine())
	k.forward(1)
	k.night(sore)
	k.next(GoBack, 0, 7)
	k.confirm(0)
	k.tell(fine())
	k.nights(2, fine())
	k.night(sore)
	if k.evening(); k.a.Action != Stay || k.a.Rule != 7 {
		t.Errorf("the forward step made it the first at the start again: %+v", k.a)
	}
}

// ... or elsewhere in one rest: leave out, S.
func TestP07TwiceInOneRest(t *testing.T) {
	k := trial(t)
	k.forward(3)
	k.night(fine(told{Pain: 5, Gone: GoneMorning}))
	k.next(GoBack, 2, 7)
	k.confirm(2)
	k.tell(fine(told{Pain: 5, Gone: GoneMorning}))
	k.next(LeaveOut, 2, 7)
	k.desk("sore.again")
}

// Second go-back from one setting: comfort limit, clinician.
func TestP07SecondGoBack(t *testing.T) {
	sore := fine(told{Pain: 5, Gone: GoneMorning})
	k := trial(t)
	k.forward(3)
	k.night(sore)
	k.next(GoBack, 2, 7)
	k.silent("P07")
	k.confirm(2)
	k.tell(fine())
	k.forward(3)
	k.night(sore)
	k.next(GoBack, 2, 7)
	if r := k.desk("P07"); r.Role != Clinician {
		t.Errorf("%+v", r)
	}
	if !k.c.Limited || k.c.Limit != 2 {
		t.Errorf("comfort limit %d, %v", k.c.Limit, k.c.Limited)
	}
	k.confirm(2)
	k.tell(fine())
	k.nights(5, fine())
	k.next(Stay, 2, 16)
	if k.a.Reason != "reason.p16.comfort" {
		t.Error(k.a.Reason)
	}
	k.desk("P16")
}

// In holding, testing, steady, recall: go back, the state kept, desk.
func TestP07KeepsOtherStates(t *testing.T) {
	for _, s := range []State{Holding, Testing, Steady, Recall} {
		k := trial(t)
		k.forward(3)
		k.night(fine(told{Pain: 6, Gone: GoneMorning}))
		k.c.walk(s)
		k.next(GoBack, 2, 7)
		if k.c.State != s {
			t.Errorf("%v became %v", s, k.c.State)
		}
		k.desk("P07")
	}
}
