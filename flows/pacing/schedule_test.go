package pacing

import (
	"slices"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
)

// The integration example of the default protocol, derived from its rows
// (settle, interval, ceiling of 70 %: doi 10.5664/jcsm.8556; three pain-free
// days at a lesser setting and a longer interval after it: a practice sheet,
// common practice, no source): start 4.0 mm, range 8.0, step 0.25, settle 7,
// interval 3, night 1 being fitting night.
func TestScheduleOfTheDefaultProtocol(t *testing.T) {
	k := trial(t, func(p *chart.Plan, a *chart.Appliance, b *chart.Baseline) {
		p.Limits.Settle, p.Limits.Ceiling = 7, chart.Steps((5600-4000)/250)
	})
	var steps []int
	for n := 1; n <= 23; n++ {
		m := fine()
		if n == 23 {
			m = fine(told{chart.Pain: 6, chart.Gone: chart.GoneMidday})
		}
		if a := k.night(m); a.Action == chart.Forward {
			steps = append(steps, n)
		}
	}
	if want := []int{8, 11, 14, 17, 20, 23}; !slices.Equal(steps, want) {
		t.Fatalf("advances on nights %v, want %v", steps, want)
	}
	if k.c.Left != 6 || chart.ShareOf(k.f.Baseline, 4000+6*250) != 688 {
		t.Errorf("last setting %d", k.c.Left)
	}
	k.night(fine()) // night 24
	k.want(chart.GoBack, 5, 7)
	if k.c.State != chart.Resting {
		t.Errorf("state %v", k.c.State)
	}
	k.night(fine())
	k.night(fine())
	k.want(chart.Stay, 5, 9)
	k.night(fine()) // 27: three easy mornings
	if k.c.State != chart.Stepping {
		t.Errorf("night 27: state %v, want stepping again", k.c.State)
	}
	for n := 28; n <= 29; n++ {
		k.night(fine())
		k.want(chart.Stay, 5, 15)
	}
	k.night(fine()) // 30
	k.want(chart.Forward, 6, 18)
}

// Schedule arithmetic: the k-th advance is worn on night
// settle+1+(k-1)*interval, never past the target (derived; the last row but one
// is a practice sheet's: settle 7, 0.5 mm weekly, six advances, first on night
// 8, sixth on 43). What a course does is also what the summary promised.
func TestCourseKeepsTheSchedule(t *testing.T) {
	for _, x := range []struct {
		start, target, step   chart.Micrometres
		settle, interval      int16
		advances, first, last int
		final                 chart.Micrometres
	}{
		{4000, 6000, 250, 7, 3, 8, 8, 29, 6000},
		{4000, 6000, 250, 3, 3, 8, 4, 25, 6000},
		{4000, 6000, 250, 2, 2, 8, 4, 18, 6000}, // three reports come first
		{4000, 6000, 500, 7, 7, 4, 8, 29, 6000},
		{4000, 6000, 1000, 7, 7, 2, 8, 15, 6000},
		{4400, 6200, 250, 7, 3, 7, 8, 26, 6150},
		{4000, 7000, 500, 7, 7, 6, 8, 43, 7000},
		{4000, 6000, 500, 3, 7, 4, 4, 25, 6000}, // the interval is between steps
	} {
		k := trial(t, func(p *chart.Plan, a *chart.Appliance, b *chart.Baseline) {
			a.Step, b.Start = x.step, x.start
			p.Limits.Settle, p.Limits.Interval, p.Limits.Ceiling = x.settle, x.interval, chart.Steps((x.target-x.start)/x.step)
		})
		var nights []int
		for n := 1; n <= x.last+1; n++ {
			snore := max(9-int(k.c.Left), 4) // falls as it goes, so that steps still help
			if a := k.night(fine(told{chart.Snoring: snore})); a.Action == chart.Forward {
				nights = append(nights, n)
			}
		}
		final := x.start + chart.Micrometres(k.c.Left)*x.step
		if len(nights) != x.advances || nights[0] != x.first || nights[len(nights)-1] != x.last || final != x.final {
			t.Errorf("%+v: advances on %v, final %d", x, nights, final)
		}
		s := enrol.Summarise(chart.Enrolment{Appliance: *k.f.Appliance, Baseline: *k.f.Baseline, Plan: *k.f.Plan})
		if s.Night != x.last {
			t.Errorf("%+v: the summary promised night %d", x, s.Night)
		}
	}
}

// Months: a day that the month does not have becomes its last (fit 2026-08-31
// + 6 months is 2027-02-28); milestones of a fitting on 2026-01-15.
func TestMonthArithmetic(t *testing.T) {
	fit := civil.DateOf(2026, 1, 15)
	for got, want := range map[string]string{
		(fit + 30).String():                              "2026-02-14",
		(fit + 90).String():                              "2026-04-15",
		fit.AddMonths(6).String():                        "2026-07-15",
		fit.AddMonths(12).String():                       "2027-01-15",
		civil.DateOf(2026, 8, 31).AddMonths(6).String():  "2027-02-28",
		civil.DateOf(2026, 5, 10).AddMonths(12).String(): "2027-05-10",
		civil.DateOf(2027, 8, 31).AddMonths(6).String():  "2028-02-29",
	} {
		if got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

// Percent and millimetres, both zeros: counted from the habitual bite (as in
// the Flinders dose-response work), or from the most retruded position (doi
// 10.1186/s12903-019-0783-8). The same 50 % is 1 mm apart.
func TestPercentAndMillimetres(t *testing.T) {
	habitual, retruded := chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual},
		chart.Baseline{Max: 10000, Zero: chart.ZeroRetruded, Retruded: -2000}
	if h, r := chart.PlaceOf(&habitual, 500), chart.PlaceOf(&retruded, 500); h != 4000 || r != 3000 {
		t.Errorf("50 %%: %d and %d", h, r)
	}
	for _, x := range []struct {
		max, um chart.Micrometres
		tenths  int
	}{{8000, 4000, 500}, {8000, 6000, 750}, {9000, 5500, 611}, {8000, 3000, 375}, {8000, 250, 31}, {10000, 250, 25},
		{8000, 5500, 688}, {8000, 5750, 719}} {
		b := chart.Baseline{Max: x.max, Zero: chart.ZeroHabitual}
		if got := chart.ShareOf(&b, x.um); got != x.tenths {
			t.Errorf("%d of %d: %d", x.um, x.max, got)
		}
	}
	// Ceilings: 70 % of 8.0 and 8.8 mm (doi 10.5664/jcsm.8556), 50 % of 8.8, 75 % of 10.3.
	for _, x := range []struct {
		max    chart.Micrometres
		tenths int
		um     chart.Micrometres
	}{{8000, 700, 5600}, {8800, 700, 6160}, {8800, 500, 4400}, {10300, 750, 7725}} {
		b := chart.Baseline{Max: x.max, Zero: chart.ZeroHabitual}
		if got := chart.PlaceOf(&b, x.tenths); got != x.um {
			t.Errorf("%d tenths of %d: %d", x.tenths, x.max, got)
		}
	}
}
