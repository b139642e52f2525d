package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// Said on two evenings running, a setting at the start stands, however far it is
// from what was advised; one under the start never does, and is said anew each night.
func TestSaidTwiceAtTheStart(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.evening()
	if k.confirm(0); !k.c.InDoubt {
		t.Error("two steps from what was advised")
	}
	k.tell(fine())
	k.evening()
	if k.a.To != 2 {
		t.Errorf("in doubt it names the last confirmed setting: %+v", k.a)
	}
	if k.confirm(0); k.c.InDoubt || k.c.Left != 0 {
		t.Errorf("said twice: at %d, in doubt %v", k.c.Left, k.c.InDoubt)
	}
	k = trial(t)
	for range 2 {
		k.evening()
		if k.confirm(-1); !k.c.InDoubt {
			t.Errorf("under the start on night %d", k.d-day0)
		}
		k.tell(fine())
	}
}

// Who corrects the reply to an advice starts from the same stand again.
func TestReplyCorrected(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.next(chart.Forward, 1, 18)
	arrived := k.c.Arrived
	k.confirm(1)
	if k.confirm(0); k.c.InDoubt || k.c.Left != 0 || k.c.Arrived != arrived {
		t.Errorf("at %d, in doubt %v, arrived %v", k.c.Left, k.c.InDoubt, k.c.Arrived)
	}
}

// The travel is of the side that stands further forward: an offset takes from
// it, one to the other side gives nothing.
func TestTopOfTwoSides(t *testing.T) {
	for offset, want := range map[chart.Steps]chart.Steps{-2: 6, -1: 6, 0: 6, 1: 5} {
		f := Facts{Plan: &chart.Plan{Limits: chart.Limits{Ceiling: 20}},
			Appliance: &chart.Appliance{Travel: 6, TwoSided: true, Offset: offset}}
		if got := f.top(); got != want {
			t.Errorf("offset %d: %d", offset, got)
		}
	}
}

// The night that is the newest has its entry already; one 28 nights on leaves
// nothing remembered, and what leaves is folded night by night.
func TestReachBounds(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.c.Reach(&k.f, k.d)
	if i := k.c.Reach(&k.f, k.d); i != 3 || k.c.N != 4 || k.c.Nights[3].Night != k.d {
		t.Errorf("place %d of %d", i, k.c.N)
	}
	for ahead, unrun := range map[civil.Date]uint8{28: 0, 29: 255} { // 255: longer than any gap that is asked about
		k := trial(t)
		say(&k.c.Nights[0], fine())
		if i := k.c.Reach(&k.f, day0+ahead); i != 27 || k.c.FoldUnrun != unrun || k.c.GoodOn != day0 {
			t.Errorf("%d nights on: place %d, %d not known worn, comfortable on %v", ahead, i, k.c.FoldUnrun, k.c.GoodOn)
		}
	}
}

// The day before the first night has its entry while there is room for one: a
// full window would lose its newest night for it.
func TestReachTheDayBeforeTheFirstNight(t *testing.T) {
	for nights, place := range map[civil.Date]int{27: 0, 28: -1} {
		k := trial(t)
		k.c.Reach(&k.f, day0+nights-1)
		before := k.c.N
		i := k.c.Reach(&k.f, day0-1)
		if i != place || k.c.N != 28 || k.c.Nights[27].Night != day0+nights-1 || int(before) != int(nights) {
			t.Errorf("of %d nights: place %d, %d remembered, the newest %v", before, i, k.c.N, k.c.Nights[27].Night)
		}
	}
}

// The last comfortable setting, be its night the oldest or the newest.
func TestLastGood(t *testing.T) {
	for place := range 3 {
		k := trial(t)
		for i := range 3 {
			k.c.Nights[i] = chart.Entry{Night: day0 + civil.Date(i), Low: chart.Steps(i), High: chart.Steps(i)}
		}
		k.c.N = 3
		say(&k.c.Nights[place], fine())
		if at, on, ok := k.c.lastGood(&k.f); !ok || at != chart.Steps(place) || on != day0+civil.Date(place) {
			t.Errorf("place %d: %d on %v, %v", place, at, on, ok)
		}
	}
}

// A count that no appliance reaches is kept as the nearest that the diary holds.
func TestCountsBeyondTheDiary(t *testing.T) {
	for said, kept := range map[chart.Steps]int{1500: 999, 999: 999, 998: 998, -150: -99, -99: -99, -98: -98} {
		k := trial(t, func(_ *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.TwoSided = true })
		k.c.Confirm(k.f, k.d, said, said)
		e, _ := k.c.Entry(k.d)
		if !e.V[chart.SettingLeft].Is(kept) || !e.V[chart.SettingRight].Is(kept) {
			t.Errorf("%d is kept as %v and %v", said, e.V[chart.SettingLeft], e.V[chart.SettingRight])
		}
	}
}
