package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
)

// Worn = all night, or at least the plan's hours.
func TestWornNight(t *testing.T) {
	for _, x := range []struct {
		m           told
		worn, known bool
	}{
		{told{chart.Worn: chart.WornAll}, true, true},
		{told{chart.Worn: chart.WornPart, chart.WornMinutes: 240}, true, true},
		{told{chart.Worn: chart.WornPart, chart.WornMinutes: 239}, false, true},
		{told{chart.Worn: chart.WornPart}, false, false},
		{told{chart.WornMinutes: 300}, true, true},
		{told{chart.Worn: chart.WornNo, chart.WornMinutes: 300}, false, true},
		{told{}, false, false},
	} {
		var e chart.Entry
		for f, n := range x.m {
			e.V[f] = chart.Num(n)
		}
		if worn, known := e.Worn(240); worn != x.worn || known != x.known {
			t.Errorf("%v: %v, %v", x.m, worn, known)
		}
	}
}

// Last night not known worn, or pain, when gone, bite or guide missing.
func TestP11Missing(t *testing.T) {
	for name, m := range map[string]told{
		"worn":       fine(told{chart.Worn: gone}),
		"pain":       fine(told{chart.Pain: gone}),
		"when gone":  fine(told{chart.Pain: 3}),
		"bite":       fine(told{chart.Bite: gone, chart.BiteMinutes: gone}),
		"one side":   fine(told{chart.Bite: chart.BiteOne, chart.BiteMinutes: gone}),
		"guide":      fine(told{chart.Guide: gone}),
		"everything": {},
		"not worn":   {chart.Worn: chart.WornNo},
	} {
		k := trial(t)
		k.nights(3, fine())
		k.c.Nights[2].V = [chart.NumFields]chart.Answer{}
		k.d--
		k.tell(m)
		k.c.SetOn = k.d - 1
		k.evening()
		if !k.a.Fired.Has(11) || k.a.Action != chart.Stay {
			t.Errorf("%s: %+v", name, k.a)
		}
	}
	k := trial(t, func(_ *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.Guide = false })
	k.nights(3, fine(told{chart.Guide: gone}))
	k.next(chart.Forward, 1, 18) // no guide, nothing missing
}

// A weekly item only when asked by the plan and 10 days overdue.
func TestP11Weekly(t *testing.T) {
	for _, needed := range []bool{true, false} {
		k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) {
			p.Limits.WeeklyNeeded, p.Limits.Settle = needed, 14
		})
		for n := 0; n <= 17; n++ {
			k.night(fine())
		}
		k.evening()
		if k.a.Fired.Has(11) != needed {
			t.Errorf("needed %v: %+v", needed, k.a)
		}
		k.confirm(k.a.To)
		k.tell(fine())
		k.c.Answer(k.f, k.d, chart.Sleepiness, chart.Num(3), chart.FromPatient)
		if k.evening(); k.a.Fired.Has(11) {
			t.Error("answered this evening")
		}
	}
}

func TestP11ThreeRunning(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	for n := 1; n <= 2; n++ {
		k.night(told{chart.Worn: chart.WornNo})
		k.silent("P11")
	}
	k.night(told{chart.Worn: chart.WornNo})
	k.silent("P11")
	k.evening()
	if r := k.desk("P11"); r.Role != practice.Assistant || r.Flag {
		t.Errorf("%+v", r)
	}
	if k.a.Reason != "reason.p11.unworn" {
		t.Error(k.a.Reason)
	}
}

func TestP11SevenInFourteen(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	told7 := 0
	for n := range 20 {
		m := fine()
		if n%2 == 0 {
			m = told{chart.Worn: chart.WornNo}
		}
		k.night(m)
		if r, ok := hears(k.r, "P11"); ok && r.Role == practice.Clinician {
			told7++
			if n != 13 {
				t.Errorf("told after %d nights", n)
			}
		}
	}
	if told7 != 1 {
		t.Errorf("told %d times", told7)
	}
}

// A gap of 7 nights: counts restart; the settle count only while settling.
func TestP11GapOfSeven(t *testing.T) {
	k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Settle = 4 })
	k.nights(3, fine())
	k.nights(7, told{chart.Worn: chart.WornNo})
	k.nights(3, fine())
	k.next(chart.Stay, 0, 10) // three, not six
	k = trial(t)
	k.forward(1)
	k.night(fine())
	k.nights(7, told{chart.Worn: chart.WornNo})
	k.night(fine())
	k.evening()
	if k.c.State != chart.Stepping || !k.a.Fired.Has(15) || k.a.Action != chart.Stay {
		t.Errorf("%v, %+v", k.c.State, k.a)
	}
	k.confirm(1)
	k.tell(fine())
	k.night(fine())
	k.next(chart.Forward, 2, 18)
}

func TestP11GapOfSix(t *testing.T) {
	k := trial(t)
	k.forward(1)
	k.night(fine())
	k.nights(6, told{chart.Worn: chart.WornNo})
	k.night(fine()) // with the two nights at 1 before: three worn
	k.next(chart.Forward, 2, 18)
}

// Missed five nights: no catching up (common practice, no source).
func TestP11NoCatchingUp(t *testing.T) {
	k := trial(t)
	k.forward(1)
	k.nights(5, told{chart.Worn: chart.WornNo})
	k.night(fine())
	k.night(fine())
	k.next(chart.Forward, 2, 18)
	k.confirm(2)
	k.tell(fine())
	k.next(chart.Stay, 2, 15)
}

// A gap of 14: the clinician names the setting.
func TestP11GapOfFourteen(t *testing.T) {
	k := trial(t)
	k.forward(1)
	k.nights(14, told{chart.Worn: chart.WornNo})
	k.next(chart.Stay, 1, 11)
	if k.a.Reason != "reason.p11.lapsed" {
		t.Error(k.a.Reason)
	}
	if r := k.desk("P11"); r.Role != practice.Clinician {
		t.Errorf("%+v", r)
	}
	k.confirm(1)
	k.tell(fine())
	k.nights(5, fine())
	k.next(chart.Stay, 1, 11) // until a person names it
	k.tell(fine())
	if k.c.Visit(k.f, k.d, 1) != Done {
		t.Fatal("visit refused")
	}
	if k.evening(); k.a.Fired.Has(11) {
		t.Errorf("%+v", k.a)
	}
}

func TestP12NotQuiteEasy(t *testing.T) {
	for name, x := range map[string]struct {
		m     told
		fires bool
	}{
		"pain 1 gone by midday":  {fine(told{chart.Pain: 1, chart.Gone: chart.GoneMidday}), true},
		"pain 4 gone by midday":  {fine(told{chart.Pain: 4, chart.Gone: chart.GoneMidday}), true},
		"pain 4 gone by morning": {fine(told{chart.Pain: 4, chart.Gone: chart.GoneMorning}), false},
		"guide not used":         {fine(told{chart.Guide: chart.No}), true},
		"guide for 1 minute":     {fine(told{chart.GuideMinutes: 1}), true},
		"guide for 2 minutes":    {fine(told{chart.GuideMinutes: 2}), false},
		"bite after 46":          {fine(told{chart.BiteMinutes: 46}), true},
		"bite after 45":          {fine(told{chart.BiteMinutes: 45}), false},
	} {
		k := trial(t)
		k.nights(2, fine())
		k.night(x.m)
		k.evening()
		if k.a.Fired.Has(12) != x.fires || x.fires && (k.a.Rule != 12 || k.a.Action != chart.Stay) {
			t.Errorf("%s: %+v", name, k.a)
		}
	}
}

func TestP12ThreeRunning(t *testing.T) {
	k := trial(t)
	for range 3 {
		k.night(fine(told{chart.BiteMinutes: 50}))
		k.silent("P12")
	}
	k.evening()
	k.desk("P12")
}
