package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/redflag"
)

// Ways back, each with the setting it names.
func TestWaysBack(t *testing.T) {
	flag := func(resume chart.Steps) func(v *assessment) {
		return func(v *assessment) {
			v.c.Flags = []redflag.Flag{{ID: "setting.above", Class: redflag.ClassS, Wear: redflag.WearBack, Resume: resume}}
		}
	}
	if r := p02(*atSetting(3, flag(3))); r.do != chart.Stay {
		t.Errorf("back to where it stands: %+v", r)
	}
	if r := p02(*atSetting(3, flag(2))); r.do != chart.GoBack || r.to != 2 {
		t.Errorf("back by one: %+v", r)
	}
	if r := atSetting(1, nil).back(-1, ""); r.do != chart.GoBack || r.to != 0 {
		t.Errorf("back beyond the start: %+v", r)
	}
	for advised, want := range map[chart.Steps]chart.Steps{-5: 0, 0: 0, 2: 2, 4: 3} { // the ceiling is at 3
		if r := p06(*atSetting(5, func(v *assessment) { v.top, v.s.Advised = 3, advised })); r.do != chart.GoBack ||
			r.to != want {
			t.Errorf("above the ceiling, advised %d: %+v", advised, r)
		}
	}
	if r := p06(*atSetting(3, func(v *assessment) { v.top = 3 })); r.do != chart.NoAction {
		t.Errorf("at the ceiling: %+v", r)
	}
	sore := func(high chart.Steps) result {
		return p07(*atSetting(0, func(v *assessment) {
			v.s.High = high
			v.last = new(chart.Entry)
			v.last.V[chart.Pain] = chart.Num(6)
			v.sore = v.soreness()
		}))
	}
	if r := sore(1); r.do != chart.GoBack || r.to != 0 {
		t.Errorf("sore at the start, perhaps at 1: %+v", r)
	}
	if r := sore(0); r.do != chart.Stay {
		t.Errorf("sore at the start: %+v", r)
	}
}

// A sore morning by its minutes and its night.
func TestSoreBounds(t *testing.T) {
	for minutes, want := range map[int]bool{299: false, 300: true} {
		e := new(chart.Entry)
		e.V[chart.BiteMinutes] = chart.Num(minutes)
		if e.Sore(&chart.Baseline{}) != want || e.NotBack() != want {
			t.Errorf("the bite back after %d minutes: %v", minutes, !want)
		}
	}
	v := atSetting(2, func(v *assessment) { v.last = new(chart.Entry); v.last.V[chart.Pain] = chart.Num(5) })
	if v.soreNight() != v.night-1 {
		t.Errorf("the sore morning is last night's: %d", v.soreNight())
	}
	for hits, want := range map[uint8]int{0: 1, 1: 2, 2: 3} {
		v := atSetting(0, func(v *assessment) {
			v.c.State, v.c.StartHits, v.last = chart.Stepping, hits, new(chart.Entry)
			v.last.V[chart.Pain] = chart.Num(5)
		})
		if got := v.soreness(); got.nth != want || !got.start || got.known {
			t.Errorf("%d sore mornings before at the start: %+v", hits, got)
		}
		v.c.LastHit = v.night - 1
		if got := v.soreness(); got.nth != max(int(hits), 1) || !got.known {
			t.Errorf("the same morning is not another one: %+v", got)
		}
		v.c.State, v.c.RestHits, v.s.Low, v.s.High = chart.Resting, hits, 4, 4
		if got := v.soreness(); got.nth != int(hits) || got.start {
			t.Errorf("%d sore mornings of one rest: %+v", hits, got)
		}
	}
	gone := func(pain, when int) *assessment {
		return atSetting(0, func(v *assessment) {
			v.last = new(chart.Entry)
			v.last.V[chart.Pain], v.last.V[chart.Gone] = chart.Num(pain), chart.Num(when)
		})
	}
	if p12(*gone(0, chart.GoneMidday)).do != chart.NoAction || p12(*gone(1, chart.GoneMidday)).do != chart.Stay ||
		p12(*gone(1, chart.GoneMorning)).do != chart.NoAction {
		t.Error("no pain needs not go; mild pain has to by the same morning")
	}
	easy := fine(told{chart.Pain: 4, chart.Gone: chart.GoneMidday})
	for when, want := range map[int]bool{chart.GoneMidday: true, chart.GoneAfternoon: false} {
		var e chart.Entry
		for f, n := range easy {
			e.V[f] = chart.Num(n)
		}
		e.V[chart.Gone] = chart.Num(when)
		if e.Comfortable(240, &chart.Baseline{}) != want {
			t.Errorf("pain gone at %d: comfortable %v", when, !want)
		}
	}
}

// P11 by its counts: the third unworn night has its own reason; a needed weekly
// answer is overdue after 17 days, not on the 17th.
func TestP11Bounds(t *testing.T) {
	for gap, want := range map[int]string{2: "reason.p11.notworn", 3: "reason.p11.unworn"} {
		v := atSetting(2, func(v *assessment) {
			v.gap = gap
			v.last = new(chart.Entry)
			v.last.V[chart.Worn] = chart.Num(chart.WornNo)
		})
		if r := p11(*v); r.why != want {
			t.Errorf("%d nights: %s", gap, r.why)
		}
	}
	for days, want := range map[civil.Date]bool{17: false, 18: true} {
		v := atSetting(2, nil)
		v.c.N, v.c.Nights[0].Night = 1, v.night
		v.c.Began = v.night - days
		if v.overdue() != want {
			t.Errorf("%d days: overdue %v", days, !want)
		}
		v.c.Nights[0].V[chart.Sleepiness] = chart.Num(3)
		if v.overdue() {
			t.Error("answered tonight")
		}
	}
	v := atSetting(2, nil)
	if v.wrong() {
		t.Error("nothing was said of a night that is not there")
	}
	v.c.N, v.c.Nights[0].Night = 1, v.night
	v.c.Nights[0].V[chart.Wrong] = chart.Num(chart.Yes)
	if !v.wrong() {
		t.Error("something is wrong on the first night")
	}
}

// What is said of the setting: clipped, in doubt beyond what was advised, kept
// when it is said on two evenings running, and never under the start.
func TestConfirmBounds(t *testing.T) {
	for said, want := range map[chart.Steps]chart.Steps{2000: 999, 999: 999, -500: -99} {
		k := trial(t)
		k.evening()
		k.c.Confirm(k.f, k.d, said, said)
		if k.c.Low != min(want, 0) || k.c.High != max(want, 0) || k.c.Left != 0 {
			t.Errorf("%d: stands at %d, %d to %d", said, k.c.Left, k.c.Low, k.c.High)
		}
	}
	for said, doubt := range map[chart.Steps]bool{3: false, 0: false, -1: true} {
		k := trial(t)
		k.evening()
		k.c.Confirm(k.f, k.d, said, said)
		if k.c.Confirm(k.f, k.d, said, said); k.c.InDoubt != (said != 0) {
			t.Errorf("%d, said twice in one evening: in doubt %v", said, k.c.InDoubt)
		}
		k.tell(fine())
		k.evening()
		k.c.Confirm(k.f, k.d, said, said)
		if k.c.InDoubt != doubt {
			t.Errorf("%d, said twice: in doubt %v", said, k.c.InDoubt)
		}
	}
	k := trial(t)
	k.evening()
	rs := k.c.Confirm(k.f, k.d, 900, 900)
	if len(rs) != 1 || rs[0].ID != "setting.above" || k.c.Flags[0].From != k.d+2 {
		t.Errorf("above the ceiling: %v, %+v", rs, k.c.Flags)
	}
}

// Rest, settling and interval take at least one night, whatever a plan holds.
func TestLeastNights(t *testing.T) {
	for name, v := range map[string]struct {
		change func(c *Course, l *chart.Limits)
		easy   int
		want   chart.State
	}{
		"resting, no morning": {func(c *Course, l *chart.Limits) {
			c.State, c.RestFrom, c.RestTo = chart.Resting, day0,
				chart.Stepping
		}, 0, chart.Resting},
		"resting, one morning": {func(c *Course, l *chart.Limits) {
			c.State, c.RestFrom, c.RestTo = chart.Resting, day0,
				chart.Stepping
			c.DoubledTo = 1
		}, 1, chart.Stepping},
		"settling, no night":  {func(c *Course, l *chart.Limits) { c.State = chart.Settling }, 0, chart.Settling},
		"settling, one night": {func(c *Course, l *chart.Limits) { c.State = chart.Settling }, 1, chart.Stepping},
	} {
		k := trial(t)
		k.f.Plan.Limits.RestMornings, k.f.Plan.Limits.Settle = 0, 0
		v.change(&k.c, &k.f.Plan.Limits)
		k.c.N = 1
		k.c.Nights[0] = chart.Entry{Night: day0}
		for range v.easy {
			for f, n := range fine(told{chart.SettingLeft: 0}) {
				k.c.Nights[0].V[f] = chart.Num(n)
			}
		}
		k.c.N = 2
		k.c.Nights[1] = chart.Entry{Night: day0 + 1}
		if got := k.c.assess(k.f, day0+1).state; got != v.want {
			t.Errorf("%s: %v", name, got)
		}
	}
	for worn, stays := range map[int]bool{0: true, 1: false} {
		if r := p15(*atSetting(2, func(v *assessment) {
			v.s.Arrived, v.worn, v.lim.Interval = 1, worn,
				0
		})); (r.do == chart.Stay) != stays {
			t.Errorf("%d worn nights: %+v", worn, r)
		}
	}
}

// A second sore morning of one rest leads as far as the start, and never under it.
func TestSecondSoreMorningNearTheStart(t *testing.T) {
	sore := fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning})
	k := trial(t)
	k.forward(2)
	k.night(sore)
	k.next(chart.GoBack, 1, 7)
	k.confirm(1)
	k.tell(sore)
	k.next(chart.GoBack, 0, 7)
	k = trial(t)
	k.forward(1)
	k.night(sore)
	k.next(chart.GoBack, 0, 7)
	k.confirm(1)
	k.tell(sore)
	if k.next(chart.GoBack, 0, 6); !k.a.Fired.Has(P07) || k.c.DoubledTo != 1 {
		t.Errorf("it rests one step under %d: %+v", k.c.DoubledTo, k.a)
	}
}

// Sore mornings of seven nights, the oldest remembered among them, and none from
// before a visit.
func TestSoreMorningsOfAWeek(t *testing.T) {
	v := atSetting(3, nil)
	es := remembered(v, 8)
	for _, i := range []int{0, 5, 6} {
		say(&es[i], told{chart.Pain: 6})
	}
	for visited, want := range map[civil.Date]int{0: 2, v.night - 7: 2, v.night - 6: 1} {
		if v.c.Visited = visited; v.soreBefore(v.night-1) != want {
			t.Errorf("visited %v: %d before last night, want %d", visited, v.soreBefore(v.night-1), want)
		}
	}
}

// After a rest the interval is twice the plan's, to the night.
func TestTheIntervalAfterARestIsTwice(t *testing.T) {
	for interval, need := range map[int16]int{1: 2, 3: 6, 10: 20, 14: 28} {
		for worn, stays := range map[int]bool{need - 1: true, need: false} {
			if r := p15(*atSetting(2, func(v *assessment) {
				v.s.Arrived, v.worn, v.lim.Interval, v.doubled = 1, worn, interval, true
			})); (r.do == chart.Stay) != stays {
				t.Errorf("interval %d, %d worn nights: %+v", interval, worn, r)
			}
		}
	}
}
