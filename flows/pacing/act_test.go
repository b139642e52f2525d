package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// What staff do, at the first and the last setting and night that it may name.

// The ceiling itself can be ordered, granted, released at, visited and stepped to;
// one further is refused.
func TestActsUpToTheCeiling(t *testing.T) {
	for name, act := range map[string]func(k *bench, to chart.Steps) Refusal{
		"order": func(k *bench, to chart.Steps) Refusal { return k.c.Order(k.f, k.d, to) },
		"grant": func(k *bench, to chart.Steps) Refusal { return k.c.Grant(k.f, k.d, to, 0, "s1") },
		"visit": func(k *bench, to chart.Steps) Refusal { return k.c.Visit(k.f, k.d, to) },
		"release": func(k *bench, to chart.Steps) Refusal {
			k.c.raiseRuled(&k.f, nil, "sleepy", k.d, k.d)
			return k.c.Release(k.f, k.d, "sleepy", to)
		},
		"step": func(k *bench, to chart.Steps) Refusal {
			k.c.Left = to - 1
			return k.c.Step(k.f, k.d)
		},
	} {
		for to, want := range map[chart.Steps]Refusal{3: Done, 4: RefuseLimits} {
			k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Ceiling = 3 })
			k.forward(2)
			if r := act(k, to); r != want {
				t.Errorf("%s to %d: %q", name, to, r)
			}
		}
	}
}

// The first setting can be granted and ordered. An order to the start is refused: a
// visit records that; under the start nothing is released.
func TestActsDownToTheStart(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.evening()
	for name, x := range map[string][2]Refusal{
		"grant of the first setting": {k.c.Grant(k.f, k.d, 1, 0, "s1"), Done},
		"order to the first setting": {k.c.Order(k.f, k.d, 1), Done},
	} {
		if x[0] != x[1] {
			t.Errorf("%s: %q, want %q", name, x[0], x[1])
		}
	}
	k = trial(t)
	k.forward(2)
	k.c.raiseRuled(&k.f, nil, "sleepy", k.d, k.d)
	for name, x := range map[string][2]Refusal{
		"order to the start":      {k.c.Order(k.f, k.d, 0), RefuseLimits},
		"release under the start": {k.c.Release(k.f, k.d, "sleepy", -1), RefuseLimits},
		"release at the start":    {k.c.Release(k.f, k.d, "sleepy", 0), Done},
	} {
		if x[0] != x[1] {
			t.Errorf("%s: %q, want %q", name, x[0], x[1])
		}
	}
}

// A flag of the jaw with no comfortable night yet is released at the start, and no
// further; nor under it, though a night was said to stand there.
func TestReleaseOfTheJawAtTheStart(t *testing.T) {
	for low, at := range map[chart.Steps]map[chart.Steps]Refusal{0: {0: Done, 1: RefuseGood}, -1: {0: Done, 1: RefuseGood}} {
		for to, want := range at {
			k := trial(t)
			e := &k.c.Nights[0]
			say(e, fine())
			e.Low, e.High = low, low
			k.c.raiseRuled(&k.f, nil, "jaw.locked", k.d, k.d)
			if r := k.c.Release(k.f, k.d, "jaw.locked", to); r != want {
				t.Errorf("comfortable at %d, released at %d: %q", low, to, r)
			}
		}
	}
	k := trial(t) // where the lowest it may stand at is under the start
	k.forward(2)
	k.evening()
	k.confirm(-1)
	k.c.raiseRuled(&k.f, nil, "jaw.locked", k.d, k.d)
	if r := k.c.ReleaseHere(k.f, k.d, "jaw.locked"); r != Done || k.c.Advised != 0 {
		t.Errorf("%q, advised %d", r, k.c.Advised)
	}
}

// A rest that was complete on the evening of the flag's night came before the flag:
// its release rests again; a rest complete after it is the one it asks for.
func TestReleaseAfterARestOfTheSameNight(t *testing.T) {
	for after, rests := range map[civil.Date]bool{-1: true, 0: true, 1: false} {
		k := trial(t)
		k.forward(4)
		k.c.raiseRuled(&k.f, nil, "jaw.catch", k.d-1, k.d)
		k.c.Rested = k.d - 1 + after
		if k.c.ReleaseHere(k.f, k.d, "jaw.catch"); (k.c.OnPath() == chart.Resting) != rests {
			t.Errorf("complete %d nights after the flag: %v", after, k.c.OnPath())
		}
	}
}

// A visit in a rest: it rests on where the visit left it, no further, and the longer
// interval ends one step beyond that.
func TestVisitInARest(t *testing.T) {
	for at, over := range map[chart.Steps]bool{1: true, 2: false} {
		k := trial(t)
		k.forward(4)
		k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}))
		k.night(fine())
		if r := k.c.Visit(k.f, k.d, 1); r != Done || k.c.DoubledTo != 2 {
			t.Fatalf("%q, doubled to %d", r, k.c.DoubledTo)
		}
		for range 3 {
			k.evening()
			k.c.Confirm(k.f, k.d, at, at)
			k.tell(fine())
			e := &k.c.Nights[k.c.index(k.d-1)]
			e.Low, e.High = at, at
		}
		if k.evening(); (k.c.OnPath() == chart.Stepping) != over {
			t.Errorf("three easy mornings at %d after a visit to 1: %v", at, k.c.OnPath())
		}
	}
}

// The fitting setting is confirmed up to the first evening: an evening later it has
// to be said.
func TestTheFittingSettingIsSaidOnTheFirstEvening(t *testing.T) {
	k := trial(t)
	if k.evening(); k.a.Fired.Has(P05) {
		t.Errorf("%+v", k.a)
	}
	k.tell(fine())
	if k.evening(); !k.a.Fired.Has(P05) {
		t.Errorf("%+v", k.a)
	}
}

// A grant counts tonight where tonight is its last night. One up to where an order
// leads leaves that order a limit; one beyond ends it.
func TestGrantBesideAnOrder(t *testing.T) {
	for until, want := range map[civil.Date]Refusal{-1: RefuseBack, 0: Done} {
		k := trial(t)
		k.forward(2)
		if r := k.c.Grant(k.f, k.d, 4, k.d+until, "s1"); r != want {
			t.Errorf("until %d nights from tonight: %q", until, r)
		}
	}
	for to, order := range map[chart.Steps]chart.Steps{3: 4, 4: 4, 5: 0} {
		k := trial(t)
		k.forward(2)
		k.c.Order(k.f, k.d, 4)
		if r := k.c.Grant(k.f, k.d, to, 0, "s1"); r != Done || k.c.OrderTo != order {
			t.Errorf("granted to %d beside an order to 4: %q, ordered to %d", to, r, k.c.OrderTo)
		}
	}
}

// An order is refused where a limit forbids its first step, and only there: up to
// the limit it leads, and P16 holds it there.
func TestOrderUpToALimit(t *testing.T) {
	for limit, want := range map[chart.Steps]Refusal{2: RefuseLimit, 3: Done, 4: Done} {
		for name, set := range map[string]func(k *bench){
			"comfort":   func(k *bench) { k.c.Limited, k.c.Limit = true, limit },
			"timetable": func(k *bench) { k.f.Plan.Limits.Timetable, k.f.Plan.Limits.TimetableTop = true, limit },
		} {
			k := trial(t)
			k.forward(2)
			set(k)
			if r := k.c.Order(k.f, k.d, 5); r != want {
				t.Errorf("%s limit at %d: %q", name, limit, r)
			}
		}
	}
}

// Ended and opened again, a course goes on where it was on the path.
func TestReopenedWhereItWas(t *testing.T) {
	for s := chart.Settling; s <= chart.Recall; s++ {
		k := trial(t)
		k.c.State, k.c.Path = s, 0
		if k.c.End() != Done || k.c.Reopen(k.d) != Done || k.c.State != s {
			t.Errorf("%v: %v", s, k.c.State)
		}
	}
}

// Settings that were marked: 0 to 255, and no other.
func TestMarks(t *testing.T) {
	for at, want := range map[chart.Steps]bool{-1: false, 0: true, 1: true, 63: true, 64: true, 255: true, 256: false} {
		var m marks
		if m.add(at); m.has(at) != want || m.has(at+1) || m.has(at-1) {
			t.Errorf("%d: %v, %x", at, m.has(at), m)
		}
	}
}
