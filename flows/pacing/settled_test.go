package pacing

import (
	"testing"

	"duskdawn/flows/chart"
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
	if r := k.desk("P13"); r.Role != practice.Assistant {
		t.Errorf("%+v", r) // arrange the test
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

// P14: fewer than 2 usable reports at this setting, or their mean, each night
// without a report counted as 0, at or under target.
func TestP14Gather(t *testing.T) {
	for _, x := range []struct {
		scores []int // gone: no report
		fires  bool
	}{
		{[]int{gone, gone, 9}, true},
		{[]int{gone, 6, 6}, false}, // 12 of 3 nights: 4
		{[]int{gone, gone, 6, 6}, true},
		{[]int{gone, 3, 6}, true},
		{[]int{gone, 4, 6}, false},
		{[]int{2, 2, 2, 7}, false}, // four known and one loud
		{[]int{2, 2, 7}, false},
		{[]int{1, 1, 7}, true},
		{[]int{gone, 1, 1, 1, 7}, false},
	} {
		k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Settle = 14 })
		for _, s := range x.scores {
			k.night(quietly(s))
		}
		if k.evening(); k.a.Fired.Has(14) != x.fires {
			t.Errorf("%v: %+v", x.scores, k.a)
		}
	}
}

// Known unworn nights do not count; another reporter's are not usable.
func TestP14WhichNights(t *testing.T) {
	k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Settle = 14 })
	k.nights(2, quietly(5))
	k.nights(2, told{chart.Worn: chart.WornNo})
	if k.evening(); k.a.Fired.Has(14) {
		t.Errorf("unworn nights counted as 0: %+v", k.a)
	}
	k.tell(fine(told{chart.Reporter: chart.ReporterSelf, chart.Snoring: 9}))
	k.night(fine(told{chart.Reporter: chart.ReporterSelf, chart.Snoring: 9}))
	if k.evening(); !k.a.Fired.Has(14) {
		t.Errorf("another reporter's scores were used: %+v", k.a)
	}
}

// Nights that may have been at this setting count too.
func TestP14NightsThatMayHaveBeen(t *testing.T) {
	k := trial(t)
	k.nights(3, quietly(8))
	k.evening() // forward to 1
	k.tell(quietly(gone))
	k.evening() // not confirmed: 0 or 1
	k.confirm(1)
	k.tell(quietly(8))
	k.night(quietly(4))
	if k.evening(); k.a.To != 1 || k.a.Fired.Has(14) { // 0, 8, 4: 4
		t.Errorf("%+v", k.a)
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
