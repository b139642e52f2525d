package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// A loud night that the patient calls unusual neither keeps a settled snorer from
// holding nor buys a step: it is in no report.
func TestUnusualNightsAreInNoReport(t *testing.T) {
	for name, x := range map[string]struct {
		what  int
		holds bool
	}{"as any other": {chart.UsualNight, false}, "alcohol": {chart.UnusualDrink, true}, "a cold": {chart.UnusualCold, true},
		"on the back": {chart.UnusualBack, true}, "something else": {chart.UnusualOther, true}} {
		k := trial(t)
		k.nights(3, quietly(2))
		k.night(fine(told{chart.Snoring: 9, chart.Unusual: x.what}))
		k.night(quietly(2))
		k.evening()
		if holds := k.c.State == chart.Holding; holds != x.holds {
			t.Errorf("%s: %v by %s", name, k.c.State, k.a.Rule.ID())
		}
		e, _ := k.c.Entry(k.d - 2)
		if e.Aside() != x.holds || !e.V[chart.Snoring].Is(9) {
			t.Errorf("%s: aside %v, snoring kept %v", name, e.Aside(), e.V[chart.Snoring])
		}
	}
}

// At most two nights of any seven are left out, whatever the order they are told
// in; one that is taken back counts again.
func TestTwoUnusualNightsOfSeven(t *testing.T) {
	k := trial(t)
	k.nights(20, fine())
	first := k.d - 16
	say := func(n civil.Date, v chart.Answer) {
		k.c.Answer(k.f, first+n, chart.Unusual, v, chart.FromPatient)
	}
	aside := func() (out []civil.Date) {
		for n := range civil.Date(16) {
			if e, _ := k.c.Entry(first + n); e.Aside() {
				out = append(out, n)
			}
		}
		return out
	}
	is := func(want ...civil.Date) {
		t.Helper()
		got := aside()
		for i := range max(len(got), len(want)) {
			if i >= len(got) || i >= len(want) || got[i] != want[i] {
				t.Fatalf("left out %v, want %v", got, want)
			}
		}
	}
	yes, no := chart.Num(chart.UnusualCold), chart.Num(chart.UsualNight)
	say(6, yes)
	say(0, yes)
	is(0, 6)
	say(3, yes) // between the two: a third of the same seven
	is(0, 6)
	say(7, yes) // with 6, the second; with 0 and 6 no seven nights
	is(0, 6, 7)
	say(12, yes) // the third of 6 to 12
	is(0, 6, 7)
	say(13, yes) // the second of 7 to 13
	is(0, 6, 7, 13)
	say(6, no)
	is(0, 7, 13)
	say(12, chart.Unknown)
	say(12, yes) // said again
	is(0, 7, 13)
	say(7, chart.Unknown)
	is(0, 13)
	for _, x := range []struct{ said, aside []civil.Date }{
		{[]civil.Date{5, 6, 0}, []civil.Date{5, 6}},     // the first of seven
		{[]civil.Date{1, 7, 0}, []civil.Date{0, 1, 7}},  // 0 and 7 are in no seven nights
		{[]civil.Date{-3, -2, 2}, nil},                  // the oldest that are remembered
		{[]civil.Date{14, 15, 9}, []civil.Date{14, 15}}, // and the newest
		{[]civil.Date{14, 15, 8}, []civil.Date{8, 14, 15}},
	} {
		k = trial(t)
		k.nights(19, fine())
		first = k.d - 16
		for _, n := range x.said {
			say(n, yes)
		}
		is(x.aside...)
	}
}

// The seven nights at the ends of what is remembered: the first of all, and those
// that came after a night of which it is only told now.
func TestUnusualNightsAtTheEnds(t *testing.T) {
	for _, x := range []struct {
		nights int
		before []civil.Date
		said   civil.Date
		aside  bool
	}{
		{8, []civil.Date{0, 1}, 6, false}, // 0 to 6
		{8, []civil.Date{0, 1}, 7, true},  // 1 to 7
		{13, []civil.Date{11, 12}, 6, false},
		{13, []civil.Date{11, 12}, 5, true},
		{8, []civil.Date{0, 7}, 6, true}, // 0 to 6 has one of them, 1 to 7 the other
		{28, []civil.Date{21, 22}, 27, false},
	} {
		k := trial(t)
		k.nights(x.nights, fine())
		for _, n := range append(x.before, x.said) {
			k.c.Answer(k.f, day0+n, chart.Unusual, chart.Num(chart.UnusualCold), chart.FromPatient)
		}
		if e, _ := k.c.Entry(day0 + x.said); e.Aside() != x.aside {
			t.Errorf("%d after %v: left out %v", x.said, x.before, !x.aside)
		}
	}
}

// A headache of the week before counts though its night is the oldest remembered.
func TestHeadacheOfTheFirstWeek(t *testing.T) {
	k := trial(t)
	for n, want := range map[civil.Date]bool{7: true, 11: false} {
		k.c = Course{}
		k.c.Begin(k.f, day0)
		k.c.Answer(k.f, day0, chart.Headache, chart.Num(chart.Yes), chart.FromPatient)
		if _, told := hears(k.c.Answer(k.f, day0+n, chart.Headache, chart.Num(chart.Yes), chart.FromPatient), "headache.weeks"); told != want {
			t.Errorf("%d nights on: %v", n, told)
		}
	}
}

// A headache on three mornings of a week, or in two weeks running, is for a person;
// on one or two mornings of one week it is not. Who does not say on how many is heard
// as three.
func TestHeadachesOfAWeek(t *testing.T) {
	yes := chart.Num(chart.Yes)
	for apart, want := range map[civil.Date]bool{3: false, 4: true, 7: true, 10: true, 11: false} {
		k := trial(t)
		k.nights(14, fine())
		if k.c.Answer(k.f, k.d, chart.Headache, yes, chart.FromPatient) != nil || k.c.Open() {
			t.Error("one headache is a flag")
		}
		k.c.Reach(&k.f, k.d+apart)
		rs := k.c.Answer(k.f, k.d+apart, chart.Headache, yes, chart.FromPatient)
		if got := len(rs) == 1 && rs[0].ID == "headache.weeks"; got != want {
			t.Errorf("%d days apart: %v", apart, rs)
		}
	}
	k := trial(t) // the oldest night that is remembered
	k.c.Answer(k.f, k.d, chart.Headache, yes, chart.FromPatient)
	k.c.Reach(&k.f, k.d+7)
	if rs := k.c.Answer(k.f, k.d+7, chart.Headache, yes, chart.FromPatient); len(rs) != 1 {
		t.Errorf("of the first night: %v", rs)
	}
	k = trial(t)
	k.nights(14, fine())
	k.c.Answer(k.f, k.d, chart.Headache, chart.Num(chart.No), chart.FromPatient)
	k.c.Reach(&k.f, k.d+7)
	if rs := k.c.Answer(k.f, k.d+7, chart.Headache, yes, chart.FromPatient); rs != nil {
		t.Errorf("none the week before: %v", rs)
	}
	if rs := k.c.Answer(k.f, k.d+7, chart.HeadacheDays, chart.Skipped, chart.FromPatient); len(rs) != 1 || rs[0].ID != "headache.morning" {
		t.Errorf("skipped: %v", rs)
	}
}

// Who had morning headaches before the first night is not told on for two weeks of them.
func TestHeadachesThatWereThereBefore(t *testing.T) {
	for before, want := range map[chart.Answer]bool{chart.Num(chart.Yes): false, chart.Num(chart.No): true, chart.Unknown: true} {
		k := trial(t, func(_ *chart.Plan, _ *chart.Appliance, b *chart.Baseline) { b.Headache = before })
		k.c.Answer(k.f, k.d, chart.Headache, chart.Num(chart.Yes), chart.FromPatient)
		_, told := hears(k.c.Answer(k.f, k.d+7, chart.Headache, chart.Num(chart.Yes), chart.FromPatient), "headache.weeks")
		if told != want || k.c.Open() != want {
			t.Errorf("before: %v; two weeks of it told %v, flags %v", before, told, k.c.Flags)
		}
	}
}

// What is new goes to a clinician: dental work holds every step until it has been
// looked at, the rest is told and changes nothing.
func TestAnythingNew(t *testing.T) {
	for n, id := range map[int]string{chart.NewDental: "new.dental", chart.NewTablets: "new.tablets",
		chart.NewPregnancy: "new.pregnancy", chart.NewWeight: "new.weight"} {
		k := trial(t)
		k.nights(3, fine())
		rs := k.c.Answer(k.f, k.d, chart.New, chart.Num(n), chart.FromPatient)
		if len(rs) != 1 || rs[0].ID != id || rs[0].Class != 'N' {
			t.Errorf("%s: %v", id, rs)
		}
		if k.evening(); (k.a.Action == chart.Stay) != (n == chart.NewDental) || k.c.State != chart.Stepping {
			t.Errorf("%s: %+v, %v", id, k.a, k.c.State)
		}
		if n == chart.NewDental {
			if r := k.c.ReleaseHere(k.f, k.d, id); r != Done || k.c.State != chart.Stepping || k.c.Doubled {
				t.Errorf("%s: released %q, %v, doubled %v", id, r, k.c.State, k.c.Doubled)
			}
		}
	}
}
