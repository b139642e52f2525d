package pacing

import (
	"testing"

	"duskdawn/flows/chart"
)

// P04: woken by pain of 4 it is worn on, and a person looks: no step that evening,
// nor on any after it until the flag is released. Mild pain is 1 to 4: doi 10.2147/JPR.S75192.
func TestWokenByPainOfFour(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.night(fine(told{chart.Pain: 4, chart.Gone: chart.GoneMorning, chart.Woken: chart.Yes}))
	for n, rule := range []chart.Rule{P04, P02, P02, P02, P02} {
		k.next(chart.Stay, 2, rule)
		if n == 0 && k.a.Reason != "reason.p04.woken" || len(k.c.Flags) != 1 || k.c.Flags[0].ID != "pain.roused" {
			t.Fatalf("evening %d: %s, flags %v", n, k.a.Reason, k.c.Flags)
		}
		k.confirm(2)
		k.tell(fine())
	}
}

// P07: bite not back, and the flag of that answer released before the evening: the
// evening that goes back for it raises it anew, and it counts from the next.
func TestBiteReleasedBeforeItsEvening(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.night(fine(told{chart.BiteMinutes: chart.BiteNot}))
	if r := k.c.Release(k.f, k.d, "bite.notback", 2); r != Done || k.c.Open() {
		t.Fatal(r, k.c.Flags)
	}
	k.next(chart.GoBack, 1, P07)
	if len(k.c.Flags) != 1 || k.c.Flags[0].ID != "bite.notback" || k.c.Flags[0].From != k.d+1 {
		t.Errorf("%+v", k.c.Flags)
	}
}

// P09: an easy morning further forward than where it rests is none of the rest.
func TestEasyMorningsBeforeTheWayBackWasMade(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}))
	for _, rule := range []chart.Rule{P07, P06, P06, P06, P06} {
		k.next(chart.GoBack, 1, rule)
		k.confirm(2)
		k.tell(fine())
	}
	if k.evening(); k.c.OnPath() != chart.Resting || !k.a.Fired.Has(P09) {
		t.Errorf("%v after five easy mornings one step too far: %+v", k.c.OnPath(), k.a)
	}
}
