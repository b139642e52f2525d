package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// Orders, grants, visits and releases: what each ends, what it does not, and when
// it is refused.

// An order is a limit once it is reached: it holds there, the desk arranges the
// test, and only a grant, another order or a visit leads on.
func TestP16OrderedSetting(t *testing.T) {
	reach := func() *bench {
		k := trial(t)
		k.forward(2)
		if k.c.Tested(k.d, 2) != Done || k.c.Order(k.f, k.d, 4) != Done {
			t.Fatal("order refused")
		}
		for range 30 {
			if k.night(fine()); k.c.Left == 4 {
				break
			}
		}
		k.next(chart.Stay, 4, P15)
		if !k.a.Fired.Has(P16) || k.c.State != chart.Holding || k.c.HoldFrom != k.d {
			t.Fatalf("%v, %+v", k.c.State, k.a)
		}
		k.desk("P13")
		k.silent("P16") // a setting that was ordered is no review
		k.confirm(4)
		k.tell(fine())
		k.nights(10, fine())
		if k.c.State != chart.Holding || k.c.Left != 4 || p16(k.c.assess(k.f, k.d)).why != "reason.p16.order" {
			t.Fatalf("%v at %d", k.c.State, k.c.Left)
		}
		return k
	}
	for name, act := range map[string]func(*bench) Refusal{
		"grant": func(k *bench) Refusal { return k.c.Grant(k.f, k.d, 6, 0, "s1") },
		"order": func(k *bench) Refusal { return k.c.Order(k.f, k.d, 5) },
		"visit": func(k *bench) Refusal { return k.c.Visit(k.f, k.d, 5) },
	} {
		k := reach()
		if r := act(k); r != Done {
			t.Fatal(name, r)
		}
		k.nights(8, fine())
		if k.c.Left < 5 {
			t.Errorf("%s: at %d by %s", name, k.c.Left, k.a.Rule.ID())
		}
	}
	k := reach() // a sore morning comes first
	k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}))
	k.c.walk(chart.Stepping)
	if k.next(chart.GoBack, 3, P07); k.c.State != chart.Resting {
		t.Errorf("%v", k.c.State)
	}
}

// An order to a lower setting is a way back that evening, and where it ends.
func TestOrderToALowerSetting(t *testing.T) {
	for _, s := range []chart.State{chart.Stepping, chart.Holding, chart.Testing, chart.Steady} {
		k := trial(t)
		k.forward(5)
		k.c.walk(s)
		if r := k.c.Order(k.f, k.d, 3); r != Done {
			t.Fatal(s, r)
		}
		k.evening()
		if k.a.Action != chart.GoBack || k.a.To != 3 || k.a.Rule != P06 {
			t.Errorf("%v: %+v", s, k.a)
		}
		k.confirm(3)
		k.tell(fine())
		k.nights(9, fine())
		if k.c.State != chart.Holding || k.c.Left != 3 {
			t.Errorf("%v: %v at %d", s, k.c.State, k.c.Left)
		}
	}
}

// An order goes past no comfort limit, no timetable's top and no settle night; a
// grant or an order that can do nothing is refused.
func TestOrdersThatCanDoNothing(t *testing.T) {
	at := func(s chart.State, change func(*bench)) *bench {
		k := trial(t)
		k.forward(2)
		k.c.walk(s)
		if change != nil {
			change(k)
		}
		return k
	}
	limited := func(k *bench) { k.c.Limited, k.c.Limit = true, 2 }
	for name, x := range map[string]struct {
		k            *bench
		order, grant Refusal
	}{
		"stepping":           {at(chart.Stepping, nil), Done, Done},
		"holding":            {at(chart.Holding, nil), Done, Done},
		"settling":           {at(chart.Settling, nil), RefuseState, Done},
		"resting":            {at(chart.Resting, nil), RefuseState, Done},
		"testing":            {at(chart.Testing, nil), Done, RefuseState},
		"steady":             {at(chart.Steady, nil), Done, RefuseState},
		"recall":             {at(chart.Recall, nil), Done, RefuseState},
		"ended":              {at(chart.Holding, func(k *bench) { k.c.End() }), RefuseState, RefuseState},
		"at a comfort limit": {at(chart.Stepping, limited), RefuseLimit, Done},
		"granted past it":    {at(chart.Holding, func(k *bench) { limited(k); k.c.GrantTo = 4 }), Done, Done},
		"at the timetable's top": {at(chart.Stepping, func(k *bench) {
			k.f.Plan.Limits.Timetable, k.f.Plan.Limits.TimetableTop = true, 2
		}), RefuseLimit, Done},
	} {
		c := x.k.c.twin()
		if r := c.Order(x.k.f, x.k.d, 4); r != x.order {
			t.Errorf("%s: an order: %q", name, r)
		}
		if r := x.k.c.Grant(x.k.f, x.k.d, 4, 0, "s1"); r != x.grant {
			t.Errorf("%s: a grant: %q", name, r)
		}
	}
}

// P10 under an order: settle nights are worn first.
func TestP10UnderAnOrder(t *testing.T) {
	k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Settle = 10 })
	k.nights(4, quietly(2))
	if k.evening(); k.c.State != chart.Holding {
		t.Fatal(k.c.State)
	}
	if r := k.c.Order(k.f, k.d, 3); r != Done {
		t.Fatal(r)
	}
	for n := 4; n <= 12; n++ {
		k.confirm(k.c.Left)
		k.tell(fine())
		if k.evening(); k.a.Fired.Has(P10) != (n < 9) || (k.a.Action == chart.Forward) != (n >= 9) {
			t.Fatalf("after %d nights: %+v", n+1, k.a)
		}
		if n == 9 {
			break
		}
	}
	old := trial(t) // a course of the first edition remembers no such thing
	old.forward(2)
	old.c.Unsettled, old.c.SettleFrom = false, old.d
	if old.night(fine()); old.a.Fired.Has(P10) {
		t.Errorf("%+v", old.a)
	}
}

// P13 beneath a flag and a pause: the state becomes holding under them.
func TestP13BeneathAFlagOrAPause(t *testing.T) {
	for name, hide := range map[string]func(*bench){
		"a pause": func(k *bench) { k.c.Pause() },
		"a flag": func(k *bench) {
			k.c.Flags = append(k.c.Flags, redflag.Flag{ID: "driving.asleep", Class: redflag.ClassS, From: k.d})
			k.c.restate()
		},
	} {
		k := trial(t)
		k.nights(3, quietly(3))
		k.night(quietly(3))
		hide(k)
		if k.evening(); !k.a.Fired.Has(P13) || k.c.OnPath() != chart.Holding || k.c.State == chart.Holding {
			t.Errorf("%s: %v over %v, %+v", name, k.c.State, k.c.OnPath(), k.a)
		}
		k.desk("P13")
	}
	k := trial(t) // only where the advice is a stay
	k.nights(4, quietly(3))
	k.c.Advised, k.c.High = 0, 1
	if k.next(chart.GoBack, 0, P06); !k.a.Fired.Has(P13) || k.c.State == chart.Holding {
		t.Errorf("%v, %+v", k.c.State, k.a)
	}
}

// P13: asked again weekly from the fourteenth evening of holding on.
func TestP13AskedAgain(t *testing.T) {
	k := trial(t)
	k.nights(4, quietly(3))
	var on []int
	for n := 1; n <= 30; n++ {
		if k.evening(); k.c.State != chart.Holding {
			t.Fatal(k.c.State)
		}
		if r, ok := hears(k.r, "P13"); ok {
			if on = append(on, n); r.Role != practice.Clinician {
				t.Errorf("%+v", r)
			}
		}
		if k.evening(); n > 1 {
			k.silent("P13") // not twice in one evening
		}
		k.confirm(0)
		k.tell(quietly(3))
	}
	if len(on) != 4 || on[0] != 1 || on[1] != 14 || on[2] != 21 || on[3] != 28 {
		t.Errorf("on evenings %v", on)
	}
	k.c.HoldFrom = 0 // a course of the first edition: from now on
	k.evening()
	k.silent("P13")
	if k.c.HoldFrom != k.d {
		t.Errorf("%v", k.c.HoldFrom)
	}
}

// Out of holding by a visit that moves it, not by one that does not.
func TestVisitOutOfHolding(t *testing.T) {
	for to, want := range map[chart.Steps]chart.State{1: chart.Stepping, 0: chart.Holding} {
		k := trial(t)
		k.nights(5, quietly(3))
		if k.c.Visit(k.f, k.d, to) != Done || k.c.State != want {
			t.Errorf("to %d: %v", to, k.c.State)
		}
	}
}

// P19: words that wait for a person hold the step, and no longer.
func TestP19WordsNotRead(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.f.Unread = true
	k.next(chart.Stay, 0, P19)
	if e, _ := k.c.Entry(k.d); k.a.Reason != "reason.p19" || e.Under() != chart.UnderUnread || !k.f.With(e.Under()).Unread {
		t.Errorf("%+v, under %b", k.a, e.Under())
	}
	k.confirm(0)
	k.tell(fine())
	k.f.Unread = false
	k.next(chart.Forward, 1, P18)
}

// Fourteen evenings without a move, a notice or an act of the desk: the desk hears,
// and weekly after that. Each of the three begins the count anew.
func TestStill(t *testing.T) {
	held := func() *bench { // the pace of a plan whose steps are too long for it: no row counts that
		k := trial(t, func(p *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.Step, p.Limits.Pace = 400, 300 })
		k.nights(3, fine())
		return k
	}
	for name, act := range map[string]func(*bench){
		"nothing":     func(*bench) {},
		"a contact":   func(k *bench) { k.c.Contact(k.d) },
		"a move":      func(k *bench) { k.c.Advised = 1; k.c.Advice.Action = chart.NoAction; k.confirm(1); k.c.Advised = 1 },
		"a flag":      func(k *bench) { k.c.raiseRuled(&k.f, nil, "sleepy", k.d, k.d); k.c.Flags = nil },
		"a signature": func(k *bench) { k.c.Renew(k.f, k.d) },
	} {
		k := held()
		var on []int
		for n := 4; n <= 31; n++ {
			if n == 10 {
				act(k)
			}
			k.evening()
			if r, ok := hears(k.r, "still"); ok {
				if on = append(on, n); r.Role != practice.Assistant || r.Flag {
					t.Errorf("%s: %+v", name, r)
				}
			}
			k.confirm(k.c.Left)
			k.tell(fine())
		}
		want := 14
		if name != "nothing" {
			want = 23
		}
		if len(on) < 2 || on[0] != want || on[1] != want+7 {
			t.Errorf("%s: on evenings %v, first %d", name, on, want)
		}
	}
	k := held()
	k.c.walk(chart.Holding)
	for range 20 {
		k.evening()
		k.silent("still")
		k.confirm(0)
		k.tell(fine())
	}
}
