package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
)

// quietly is a night with this snoring score.
func quietly(score int) told { return fine(told{chart.Snoring: score}) }

// P13: 4 or more reports at this setting in the last 7 nights, mean at or under
// target, no loud night: holding.
func TestP13Settled(t *testing.T) {
	k := trial(t)
	k.nights(3, quietly(3))
	k.next(chart.Stay, 0, 14) // three reports are not four
	k.confirm(0)
	k.tell(quietly(3))
	k.next(chart.Stay, 0, 13)
	if k.c.State != chart.Holding {
		t.Errorf("%v", k.c.State)
	}
	if r := k.desk("P13"); r.Role != practice.Clinician {
		t.Errorf("%+v", r) // no weekly answer says that symptoms are better
	}
	k.confirm(0)
	k.tell(quietly(6))
	k.nights(5, quietly(6))
	k.next(chart.Stay, 0, 3) // out of it only by a grant or an order
}

func TestP13SettlingToo(t *testing.T) {
	k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Settle = 10 })
	k.nights(4, quietly(2))
	k.next(chart.Stay, 0, 10)
	if k.c.State != chart.Holding || !k.a.Fired.Has(13) {
		t.Errorf("%v, %+v", k.c.State, k.a)
	}
}

// [6 5 4] is not enough nights, [6 5 4 5] has a mean of 5.0; [2 2 2 7] has a
// loud night; 3 is at target (four nights: doi 10.1111/j.1749-4486.2010.02127.x;
// 3 or less: common practice, no source).
func TestP13Examples(t *testing.T) {
	for _, x := range []struct {
		scores  []int
		settled bool
	}{
		{[]int{2, 2, 2}, false}, {[]int{6, 5, 4, 5}, false}, {[]int{3, 3, 3, 3}, true}, {[]int{2, 3, 3, 4}, true},
		{[]int{3, 3, 3, 4}, false}, {[]int{1, 1, 1, 7}, false}, {[]int{0, 0, 0, 6}, true},
	} {
		k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Settle = 14 })
		for _, s := range x.scores {
			k.night(quietly(s))
		}
		if k.evening(); k.a.Fired.Has(13) != x.settled {
			t.Errorf("%v: %+v", x.scores, k.a)
		}
	}
}

// Never mix reporters; a self-score never settles.
func TestP13OneReporter(t *testing.T) {
	k := trial(t)
	for _, by := range []int{chart.ReporterSelf, chart.ReporterPartner, chart.ReporterSelf, chart.ReporterPartner,
		chart.ReporterPartner} {
		k.night(fine(told{chart.Snoring: 2, chart.Reporter: by}))
	}
	if k.evening(); k.a.Fired.Has(13) {
		t.Errorf("three of the partner's settled: %+v", k.a)
	}
	k = trial(t, func(_ *chart.Plan, _ *chart.Appliance, b *chart.Baseline) { b.Reporter = chart.Num(chart.ReporterSelf) })
	k.nights(7, fine(told{chart.Snoring: 1, chart.Reporter: chart.ReporterSelf}))
	if k.evening(); k.a.Fired.Has(13) || k.a.Rule != 14 {
		t.Errorf("a self-score settled: %+v", k.a)
	}
}

// Weekly symptoms no better: clinician.
func TestP13SymptomsNoBetter(t *testing.T) {
	for name, x := range map[string]struct {
		field chart.Field
		n     int
		role  practice.Role
	}{
		"sleepiness as before": {chart.Sleepiness, 5, practice.Clinician},
		"sleepiness better":    {chart.Sleepiness, 4, practice.Assistant},
		"pauses":               {chart.Pauses, chart.Yes, practice.Clinician},
		"headache":             {chart.Headache, chart.Yes, practice.Clinician},
	} {
		k := trial(t)
		k.nights(4, quietly(3))
		k.c.Answer(k.f, k.d, x.field, chart.Num(x.n), chart.FromPatient)
		k.evening()
		if r := k.desk("P13"); r.Role != x.role {
			t.Errorf("%s: %v", name, r.Role)
		}
	}
}

// Out of holding only by a grant or an order to a setting; P13 is off up to it.
func TestP13OutByGrantOrOrder(t *testing.T) {
	for name, act := range map[string]func(*bench) Refusal{
		"grant": func(k *bench) Refusal { return k.c.Grant(k.f, k.d, 2, 0, "s1") },
		"order": func(k *bench) Refusal { return k.c.Order(k.f, k.d, 2) },
	} {
		k := trial(t)
		k.nights(4, quietly(2))
		k.night(quietly(2))
		if r := act(k); r != Done {
			t.Fatal(name, r)
		}
		if k.c.State != chart.Stepping {
			t.Errorf("%s: %v", name, k.c.State)
		}
		reached := false
		for range 20 {
			k.night(quietly(5))
			if k.c.Left == 2 {
				reached = true
				break
			}
			if k.c.State == chart.Holding {
				t.Fatalf("%s: held at %d", name, k.c.Left)
			}
		}
		if !reached {
			t.Errorf("%s: stayed at %d by %s", name, k.c.Left, k.a.Rule.ID())
		}
		k.nights(8, quietly(2))
		if k.c.State != chart.Holding {
			t.Errorf("%s: %v at %d", name, k.c.State, k.c.Left)
		}
	}
}

// P14: fewer than 3 usable reports at this setting; of exactly 3 a mean at or under
// target, or loud ones and the others at or under it; of 4 or more the newest 4,
// one loud one apart, at or under target.
func TestP14Gather(t *testing.T) {
	for _, x := range []struct {
		scores []int // gone: no report
		fires  bool
	}{
		{[]int{gone, 9, 9}, true},
		{[]int{9, gone, gone, 9, gone, 9}, false}, // nights without a report are no quiet ones
		{[]int{4, 3, 3}, false},
		{[]int{3, 3, 3}, true},
		{[]int{2, 3, 7}, true},  // one loud night buys no step
		{[]int{7, 2, 7}, true},  // nor do two
		{[]int{3, 3, 7}, true},  // the others at target
		{[]int{3, 4, 7}, false}, // the others are above it
		{[]int{7, 7, 7}, false},
		{[]int{2, 2, 2, 7}, true},
		{[]int{3, 3, 3, 3}, true},
		{[]int{3, 4, 3, 7}, false},
		{[]int{2, 2, 7, 7}, false}, // one apart, the others are 11 of 3
		{[]int{9, 9, 3, 3, 3, 7}, true},
		{[]int{3, 3, 3, 3, 7, 4, 4, 4}, false}, // the newest four alone
		{[]int{3, 3, 3, 3, 3, 3, 3, 4, 4, 4, 4}, false},
	} {
		k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Settle = 14 })
		for _, s := range x.scores {
			k.night(quietly(s))
			k.c.State, k.c.Path = chart.Settling, 0 // it would hold where it is quiet
		}
		if k.evening(); k.a.Fired.Has(14) != x.fires {
			t.Errorf("%v: %+v", x.scores, k.a)
		}
	}
}

// Fewer than three here hold no step where the newest three of fourteen nights,
// here or at most 0.5 mm behind, are all above target.
func TestP14NearBy(t *testing.T) {
	for name, x := range map[string]struct {
		step  chart.Micrometres
		at    []chart.Steps // night by night, the newest last
		score []int
		fires bool
	}{
		"0.5 mm behind":        {250, []chart.Steps{0, 0, 0, 2}, []int{5, 5, 5, gone}, false},
		"0.75 mm behind":       {250, []chart.Steps{0, 0, 0, 3}, []int{5, 5, 5, gone}, true},
		"further on":           {250, []chart.Steps{2, 2, 2, 1}, []int{5, 5, 5, gone}, true},
		"one at target":        {250, []chart.Steps{1, 1, 1, 2}, []int{5, 5, 3, gone}, true},
		"an older at target":   {250, []chart.Steps{1, 1, 1, 1, 2}, []int{3, 5, 5, 5, gone}, false},
		"two":                  {250, []chart.Steps{1, 1, 2}, []int{5, 5, gone}, true},
		"one of them here":     {250, []chart.Steps{1, 1, 2}, []int{5, 5, 5}, false},
		"a step of 1 mm":       {1000, []chart.Steps{1, 1, 1, 2}, []int{5, 5, 5, gone}, true},
		"a step not read":      {0, []chart.Steps{2, 2, 2}, []int{5, 5, gone}, true},
		"fourteen nights back": {250, []chart.Steps{1, 1, 1, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2}, []int{5, 5, 5, gone, gone, gone, gone, gone, gone, gone, gone, gone, gone, gone}, false},
		"fifteen nights back":  {250, []chart.Steps{1, 1, 1, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2}, []int{5, 5, 5, gone, gone, gone, gone, gone, gone, gone, gone, gone, gone, gone, gone}, true},
	} {
		v := atSetting(x.at[len(x.at)-1], func(v *assessment) {
			a := *v.f.Appliance
			a.Step, v.f.Appliance = x.step, &a
		})
		es := remembered(v, len(x.at)+1)
		for i, at := range x.at {
			es[i].Low, es[i].High = at, at
			say(&es[i], told{chart.Worn: chart.WornAll, chart.Reporter: chart.ReporterPartner})
			if x.score[i] != gone {
				say(&es[i], told{chart.Snoring: x.score[i]})
			}
		}
		if got := p14(*v).do == chart.Stay; got != x.fires {
			t.Errorf("%s: fires %v", name, got)
		}
	}
}

// Reports here count since the last arrival, of either side, and since a visit.
func TestP14SinceTheArrival(t *testing.T) {
	for name, x := range map[string]struct {
		two     bool
		visited civil.Date // nights ago
		spoil   func(e *chart.Entry)
		fires   bool
	}{
		"three here":            {fires: false},
		"a visit between":       {visited: 2, fires: true},
		"a visit before":        {visited: 3, fires: false},
		"elsewhere, between":    {spoil: func(e *chart.Entry) { e.Low, e.High = 3, 3 }, fires: true},
		"not known, between":    {spoil: func(e *chart.Entry) { e.Low = 3 }, fires: true}, // two that are sure
		"the right side behind": {two: true, spoil: func(e *chart.Entry) { say(e, told{chart.SettingRight: 3}) }, fires: true},
		"both sides":            {two: true, fires: false},
	} {
		v := atSetting(4, func(v *assessment) {
			a := *v.f.Appliance
			a.TwoSided, a.Step, v.f.Appliance = x.two, 1000, &a
		})
		es := remembered(v, 4)
		for i := range 3 {
			say(&es[i], told{chart.Worn: chart.WornAll, chart.Reporter: chart.ReporterPartner, chart.Snoring: 5 - i%2*2,
				chart.SettingLeft: 4, chart.SettingRight: 4})
		}
		if x.spoil != nil {
			x.spoil(&es[1])
		}
		if x.visited > 0 {
			v.c.Visited = v.night - x.visited
		}
		if got := p14(*v).do == chart.Stay; got != x.fires {
			t.Errorf("%s: fires %v", name, got)
		}
	}
}

// Known unworn nights do not count; another reporter's are not usable.
func TestP14WhichNights(t *testing.T) {
	k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Settle = 14 })
	k.nights(3, quietly(5))
	k.nights(2, told{chart.Worn: chart.WornNo})
	if k.evening(); k.a.Fired.Has(14) {
		t.Errorf("unworn nights counted as quiet: %+v", k.a)
	}
	k = trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Settle = 14 })
	k.nights(3, fine(told{chart.Reporter: chart.ReporterSelf, chart.Snoring: 9}))
	if k.evening(); !k.a.Fired.Has(14) {
		t.Errorf("another reporter's scores were used: %+v", k.a)
	}
}

func TestP14TenNights(t *testing.T) {
	k := trial(t)
	for range 10 {
		k.night(quietly(gone))
		if k.a.Night < day0+9 {
			k.silent("P14")
		}
	}
	k.desk("P14")
}
