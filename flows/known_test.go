package flows

import "testing"

// Worn = all night, or at least the plan's hours.
func TestWornNight(t *testing.T) {
	for _, x := range []struct {
		m           told
		worn, known bool
	}{
		{told{Worn: WornAll}, true, true},
		{told{Worn: WornPart, WornMinutes: 240}, true, true},
		{told{Worn: WornPart, WornMinutes: 239}, false, true},
		{told{Worn: WornPart}, false, false},
		{told{WornMinutes: 300}, true, true},
		{told{Worn: WornNo, WornMinutes: 300}, false, true},
		{told{}, false, false},
	} {
		var e Entry
		for f, n := range x.m {
			e.V[f] = Num(n)
		}
		if worn, known := e.worn(240); worn != x.worn || known != x.known {
			t.Errorf("%v: %v, %v", x.m, worn, known)
		}
	}
}

// Last night not known worn, or pain, when gone, bite or guide missing.
func TestP11Missing(t *testing.T) {
	for name, m := range map[string]told{
		"worn":       fine(told{Worn: gone}),
		"pain":       fine(told{Pain: gone}),
		"when gone":  fine(told{Pain: 3}),
		"bite":       fine(told{Bite: gone, BiteMinutes: gone}),
		"one side":   fine(told{Bite: BiteOne, BiteMinutes: gone}),
		"guide":      fine(told{Guide: gone}),
		"everything": {},
		"not worn":   {Worn: WornNo},
	} {
		k := trial(t)
		k.nights(3, fine())
		k.c.Nights[2].V = [NumFields]Value{}
		k.d--
		k.tell(m)
		k.c.SetOn = k.d - 1
		k.evening()
		if !k.a.Fired.Has(11) || k.a.Action != Stay {
			t.Errorf("%s: %+v", name, k.a)
		}
	}
	k := trial(t, func(_ *Plan, a *Appliance, _ *Baseline) { a.Guide = false })
	k.nights(3, fine(told{Guide: gone}))
	k.next(Forward, 1, 18) // no guide, nothing missing
}

// A weekly item only when asked by the plan and 10 days overdue.
func TestP11Weekly(t *testing.T) {
	for _, needed := range []bool{true, false} {
		k := trial(t, func(p *Plan, _ *Appliance, _ *Baseline) { p.Limits.WeeklyNeeded, p.Limits.Settle = needed, 14 })
		for n := 0; n <= 17; n++ {
			k.night(fine())
		}
		k.evening()
		if k.a.Fired.Has(11) != needed {
			t.Errorf("needed %v: %+v", needed, k.a)
		}
		k.confirm(k.a.To)
		k.tell(fine())
		k.c.Answer(k.f, k.d, Sleepiness, Num(3), FromPatient)
		if k.evening(); k.a.Fired.Has(11) {
			t.Error("answered this evening")
		}
	}
}

func TestP11ThreeRunning(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	for n := 1; n <= 2; n++ {
		k.night(told{Worn: WornNo})
		k.silent("P11")
	}
	k.night(told{Worn: WornNo})
	k.silent("P11")
	k.evening()
	if r := k.desk("P11"); r.Role != Assistant || r.Flag {
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
			m = told{Worn: WornNo}
		}
		k.night(m)
		if r, ok := hears(k.r, "P11"); ok && r.Role == Clinician {
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
	k := trial(t, func(p *Plan, _ *Appliance, _ *Baseline) { p.Limits.Settle = 4 })
	k.nights(3, fine())
	k.nights(7, told{Worn: WornNo})
	k.nights(3, fine())
	k.next(Stay, 0, 10) // three, not six
	k = trial(t)
	k.forward(1)
	k.night(fine())
	k.nights(7, told{Worn: WornNo})
	k.night(fine())
	k.evening()
	if k.c.State != Stepping || !k.a.Fired.Has(15) || k.a.Action != Stay {
		t.Errorf("%v, %+v", k.c.State, k.a)
	}
	k.confirm(1)
	k.tell(fine())
	k.night(fine())
	k.next(Forward, 2, 18)
}

func TestP11GapOfSix(t *testing.T) {
	k := trial(t)
	k.forward(1)
	k.night(fine())
	k.nights(6, told{Worn: WornNo})
	k.nights(2, fine()) // with the first night at 1: four worn
	k.next(Forward, 2, 18)
}

// Missed five nights: no catching up (common practice, no source).
func TestP11NoCatchingUp(t *testing.T) {
	k := trial(t)
	k.forward(1)
	k.nights(5, told{Worn: WornNo})
	k.night(fine())
	k.night(fine())
	k.next(Forward, 2, 18)
	k.confirm(2)
	k.tell(fine())
	k.next(Stay, 2, 14)
}

// A gap of 14: the clinician names the setting.
func TestP11GapOfFourteen(t *testing.T) {
	k := trial(t)
	k.forward(1)
	k.nights(14, told{Worn: WornNo})
	k.next(Stay, 1, 11)
	if k.a.Reason != "reason.p11.lapsed" {
		t.Error(k.a.Reason)
	}
	if r := k.desk("P11"); r.Role != Clinician {
		t.Errorf("%+v", r)
	}
	k.confirm(1)
	k.tell(fine())
	k.nights(5, fine())
	k.next(Stay, 1, 11) // until a person names it
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
		"pain 1 gone by midday":  {fine(told{Pain: 1, Gone: GoneMidday}), true},
		"pain 4 gone by midday":  {fine(told{Pain: 4, Gone: GoneMidday}), true},
		"pain 4 gone by morning": {fine(told{Pain: 4, Gone: GoneMorning}), false},
		"guide not used":         {fine(told{Guide: No}), true},
		"guide for 1 minute":     {fine(told{GuideMinutes: 1}), true},
		"guide for 2 minutes":    {fine(told{GuideMinutes: 2}), false},
		"bite after 46":          {fine(told{BiteMinutes: 46}), true},
		"bite after 45":          {fine(told{BiteMinutes: 45}), false},
	} {
		k := trial(t)
		k.nights(2, fine())
		k.night(x.m)
		k.evening()
		if k.a.Fired.Has(12) != x.fires || x.fires && (k.a.Rule != 12 || k.a.Action != Stay) {
			t.Errorf("%s: %+v", name, k.a)
		}
	}
}

func TestP12ThreeRunning(t *testing.T) {
	k := trial(t)
	for range 3 {
		k.night(fine(told{BiteMinutes: 50}))
		k.silent("P12")
	}
	k.evening()
	k.desk("P12")
}
