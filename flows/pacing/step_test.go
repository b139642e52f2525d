package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
)

// A timetable skips P13, P14 and P17 up to its own lower ceiling, then review.
func TestTimetable(t *testing.T) {
	k := trial(t, func(p *chart.Plan, _ *chart.Appliance, b *chart.Baseline) {
		p.Limits.Timetable, p.Limits.TimetableTop, b.Reporter = true, 9, chart.Num(chart.ReporterNobody)
	})
	silent := fine(told{chart.Snoring: gone, chart.Reporter: gone})
	for range 60 {
		k.night(silent)
		if k.a.Action == chart.Stay && k.a.Fired&(1<<13|1<<14|1<<17) != 0 {
			t.Fatalf("%+v", k.a)
		}
		if r, ok := hears(k.r, "P16"); ok {
			if k.c.Left != 9 || !k.a.Fired.Has(P16) || r.Role != practice.Clinician {
				t.Errorf("review at %d: %+v", k.c.Left, k.a)
			}
			// A grant lifts it, never the signed ceiling.
			if k.c.Grant(k.f, k.d, 11, 0, "s1") != RefuseLimits {
				t.Error("a grant passed the signed ceiling")
			}
			if k.c.Grant(k.f, k.d, 10, 0, "s1") != Done {
				t.Error("grant refused")
			}
			for range 3 {
				if k.night(silent); k.a.Action == chart.Forward {
					break
				}
			}
			k.want(chart.Forward, 10, 18)
			return
		}
	}
	t.Fatal("no review")
}

// P15: at most 1.0 mm in any 7 nights, whatever the interval.
func TestP15Pace(t *testing.T) {
	k := trial(t, func(p *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.Step, p.Limits.Interval = 400, 2 })
	var steps []civil.Date
	for range 30 {
		if a := k.night(fine()); a.Action == chart.Forward {
			steps = append(steps, a.Night)
		}
	}
	for i := 2; i < len(steps); i++ {
		if steps[i]-steps[i-2] < 7 {
			t.Errorf("three steps of 0.4 mm in %d nights", steps[i]-steps[i-2])
		}
	}
	if len(steps) < 5 || steps[2]-steps[0] != 7 {
		t.Errorf("steps %v", steps)
	}
}

// Unadvised and visit moves are included on the date confirmed.
func TestP15CountsEveryMove(t *testing.T) {
	k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Interval = 2 })
	k.forward(1)
	k.c.Visit(k.f, k.d, 4) // three steps at the visit
	k.nights(3, fine())
	if p15(k.c.assess(k.f, k.a.Night)).why != "reason.p15.pace" {
		t.Errorf("%+v", k.a)
	}
	k.nights(3, fine()) // the nights D-6..D still hold the first step, or all three
	k.want(chart.Stay, 4, 15)
	k.next(chart.Forward, 5, 18) // 0.75 mm of the visit and 0.25 tonight
}

func TestP15PlansOwnPace(t *testing.T) {
	k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Interval, p.Limits.Pace = 2, 250 })
	k.forward(1)
	first := k.a.Night
	k.forward(2)
	if k.a.Night-first != 7 {
		t.Errorf("second step after %d nights", k.a.Night-first)
	}
}

// P16: the lowest of comfort limit, timetable's top, signed ceiling, travel;
// one review a setting.
func TestP16Ceiling(t *testing.T) {
	for name, x := range map[string]func(*chart.Plan, *chart.Appliance, *chart.Baseline){
		"ceiling": func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Ceiling = 2 },
		"travel":  func(_ *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.Travel = 2 },
		"travel of one side": func(_ *chart.Plan, a *chart.Appliance, _ *chart.Baseline) {
			a.Travel, a.TwoSided, a.Offset = 3, true, 1
		},
	} {
		k := trial(t, x)
		k.forward(2)
		reviews := 0
		for range 30 {
			k.night(fine())
			if _, ok := hears(k.r, "P16"); ok {
				reviews++
			}
		}
		k.want(chart.Stay, 2, 16)
		if reviews != 1 || k.a.Reason != "reason.p16.ceiling" {
			t.Errorf("%s: %d reviews, %+v", name, reviews, k.a)
		}
		if k.c.Grant(k.f, k.d, 3, 0, "s1") != RefuseLimits {
			t.Errorf("%s: granted", name)
		}
	}
}

// A grant lifts the comfort limit up to a named setting until a night.
func TestP16Grant(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.c.Limited, k.c.Limit = true, 2
	k.nights(4, fine())
	k.want(chart.Stay, 2, 16)
	if r := k.c.Grant(k.f, k.d, 3, k.d+1, "s1"); r != Done {
		t.Fatal(r)
	}
	k.night(fine())
	k.want(chart.Forward, 3, 18)
	k.nights(4, fine())
	k.want(chart.Stay, 3, 16) // no further than it names
	for _, r := range []Refusal{k.c.Grant(k.f, k.d, 3, 0, ""), k.c.Grant(k.f, k.d, 5, k.d-1, "")} {
		if r != RefuseBack {
			t.Errorf("granted: %q", r)
		}
	}
	k.c.Grant(k.f, k.d, 5, k.d, "s1")
	k.d += 1
	k.c.Answer(k.f, k.d-1, chart.Worn, chart.Num(chart.WornAll), chart.FromPatient)
	if k.evening(); !k.a.Fired.Has(16) {
		t.Errorf("a grant that ended still lifts: %+v", k.a)
	}
}

// P17: 3.0 mm from the first reports the newest must be at most 80 % of them. 10 to
// 8 is 80 %, 10 to 9 is not enough; a clinician hears on the fourth evening, and a
// grant or an order goes past it.
func TestP17NoGain(t *testing.T) {
	for _, x := range []struct {
		now   int
		fires bool
	}{{8, false}, {9, true}} {
		k := trial(t, func(p *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.Step, p.Limits.Settle = 500, 4 })
		for k.c.Left < 6 {
			s := 10
			if k.c.Left == 5 {
				s = x.now
			}
			k.night(quietly(s))
			if k.d > day0+60 {
				t.Fatalf("stuck at %d: %+v", k.c.Left, k.a)
			}
		}
		k.nights(3, quietly(x.now))
		for k.a.Rule == P15 {
			k.night(quietly(x.now))
		}
		if k.a.Fired.Has(P17) != x.fires {
			t.Errorf("10 to %d: %+v", x.now, k.a)
		}
		if !x.fires {
			continue
		}
		k.silent("P17")
		k.nights(3, quietly(x.now))
		if r := k.desk("P17"); r.Role != practice.Clinician {
			t.Errorf("%+v", r)
		}
		if k.c.Grant(k.f, k.d, 7, 0, "s1") != Done {
			t.Fatal("grant refused")
		}
		k.night(quietly(7))
		k.want(chart.Forward, 7, P18)
	}
}

// Reports are pooled setting by setting, until four.
func TestP17Pools(t *testing.T) {
	var c Course
	partner := chart.Num(chart.ReporterPartner)
	for at, scores := range [][]int{{9, 9}, {8}, {7}, {6}, {2, 2, 2}} {
		for _, s := range scores {
			c.keepScore(chart.Steps(at), partner, s)
		}
	}
	gather := func(order ...chart.Steps) pool {
		var p pool
		for _, at := range order {
			c.scores(&p, at, partner, 1<<30, 240)
		}
		return p
	}
	if p := gather(1, 0, 2); p.n != 4 || p.sum != 8+9+9+7 {
		t.Errorf("then %+v", p)
	}
	if p := gather(4, 3); p.n != 4 || p.sum != 2+2+2+6 {
		t.Errorf("now %+v", p)
	}
	if p := gather(4); p.full() {
		t.Errorf("%+v", p)
	}
}

// The newest four of each setting and reporter are kept; the lowest setting
// makes room.
func TestHeard(t *testing.T) {
	var c Course
	partner, self := chart.Num(chart.ReporterPartner), chart.Num(chart.ReporterSelf)
	for s := range 10 {
		c.keepScore(5, partner, s)
		c.keepScore(5, self, 10)
	}
	var p pool
	c.scores(&p, 5, partner, 1<<30, 240)
	if p.sum != 9+8+7+6 {
		t.Errorf("%+v", p)
	}
	for at := chart.Steps(10); at < 60; at++ {
		c.keepScore(at, partner, 4)
	}
	p = pool{}
	if c.scores(&p, 59, partner, 1<<30, 240); p.n != 1 {
		t.Error("the furthest setting was not kept")
	}
	p = pool{}
	if c.scores(&p, 5, partner, 1<<30, 240); p.n != 0 {
		t.Error("the lowest setting did not make room")
	}
	c.keepScore(-1, partner, 4)
	c.keepScore(1, partner, 4)
	if c.scores(&p, 1, partner, 1<<30, 240); p.n != 0 {
		t.Error("a lower setting pushed a further one out")
	}
}

// P18: nothing above: one step forward; where a person releases, stay and
// ready for release.
func TestP18Release(t *testing.T) {
	k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.ReleaseByHand = true })
	k.nights(3, fine())
	k.next(chart.Stay, 0, 18)
	if !k.a.Ready || k.a.Fired != 1<<18 {
		t.Errorf("%+v", k.a)
	}
	k.desk("P18")
	if k.c.Step(k.f, k.d) != Done {
		t.Fatal("step refused")
	}
	if k.evening(); k.a.Action != chart.Stay {
		t.Error("a release made tonight's advice more forward")
	}
	k.confirm(0)
	k.tell(fine())
	k.next(chart.Forward, 1, 18)
	k.confirm(1)
	k.tell(fine())
	k.nights(2, fine())
	k.next(chart.Stay, 1, 18) // one step, and no more
	if !k.a.Ready {
		t.Error("not ready again")
	}
}

func TestP18NightlyReadyIsToldOnceAWeek(t *testing.T) {
	k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.ReleaseByHand = true })
	k.nights(3, fine())
	told := 0
	for range 14 {
		k.night(fine())
		if _, ok := hears(k.r, "P18"); ok {
			told++
		}
	}
	if told != 2 {
		t.Errorf("told %d times in 14 nights", told)
	}
}
