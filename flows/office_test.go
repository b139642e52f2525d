package flows

import (
	"testing"
	"time"
)

func TestOfficeHours(t *testing.T) {
	pr := Practice{}
	for d := time.Monday; d <= time.Friday; d++ {
		pr.Hours[d] = []Span{{9 * 60, 12 * 60}, {13 * 60, 17 * 60}}
	}
	monday := DateOf(2026, time.November, 2)
	pr.Holidays = []Date{monday + 1}
	for _, x := range []struct {
		at          Wall
		open        bool
		opens, ends Wall
	}{
		{Wall{monday, 10 * 60}, true, Wall{monday, 10 * 60}, Wall{monday, 17 * 60}},
		{Wall{monday, 12*60 + 30}, false, Wall{monday, 13 * 60}, Wall{monday, 17 * 60}}, // at lunch
		{Wall{monday, 17 * 60}, false, Wall{monday + 2, 9 * 60}, Wall{monday + 2, 17 * 60}},
		{Wall{monday + 1, 10 * 60}, false, Wall{monday + 2, 9 * 60}, Wall{monday + 2, 17 * 60}}, // a holiday
		{Wall{monday + 5, 10 * 60}, false, Wall{monday + 7, 9 * 60}, Wall{monday + 7, 17 * 60}}, // Saturday
		{Wall{monday, 0}, false, Wall{monday, 9 * 60}, Wall{monday, 17 * 60}},
	} {
		if pr.IsOpen(x.at) != x.open {
			t.Errorf("open at %v: %v", x.at, !x.open)
		}
		if o, ok := pr.Opens(x.at); !ok || o != x.opens {
			t.Errorf("opens after %v: %v, want %v", x.at, o, x.opens)
		}
		if e, ok := pr.DayEnds(x.at); !ok || e != x.ends {
			t.Errorf("day ends after %v: %v, want %v", x.at, e, x.ends)
		}
	}
	none := Practice{}
	if _, ok := none.Opens(Wall{monday, 0}); ok {
		t.Error("a practice without hours opens")
	}
	if m := none.NextMorning(Wall{monday, 60}); m != (Wall{monday + 1, 60}) {
		t.Errorf("next morning without hours %v", m)
	}
}
