package practice

import (
	"testing"
	"time"

	"duskdawn/flows/civil"
)

func TestOfficeHours(t *testing.T) {
	pr := Practice{}
	for d := time.Monday; d <= time.Friday; d++ {
		pr.Hours[d] = []Span{{9 * 60, 12 * 60}, {13 * 60, 17 * 60}}
	}
	monday := civil.DateOf(2026, time.November, 2)
	pr.Holidays = []civil.Date{monday + 1}
	for _, x := range []struct {
		at          civil.Wall
		open        bool
		opens, ends civil.Wall
	}{
		{civil.Wall{Date: monday, Clock: 10 * 60}, true, civil.Wall{Date: monday, Clock: 10 * 60}, civil.Wall{Date: monday, Clock: 17 * 60}},
		{civil.Wall{Date: monday, Clock: 12*60 + 30}, false, civil.Wall{Date: monday, Clock: 13 * 60}, civil.Wall{Date: monday, Clock: 17 * 60}}, // at lunch
		{civil.Wall{Date: monday, Clock: 17 * 60}, false, civil.Wall{Date: monday + 2, Clock: 9 * 60}, civil.Wall{Date: monday + 2, Clock: 17 * 60}},
		{civil.Wall{Date: monday + 1, Clock: 10 * 60}, false, civil.Wall{Date: monday + 2, Clock: 9 * 60}, civil.Wall{Date: monday + 2, Clock: 17 * 60}}, // a holiday
		{civil.Wall{Date: monday + 5, Clock: 10 * 60}, false, civil.Wall{Date: monday + 7, Clock: 9 * 60}, civil.Wall{Date: monday + 7, Clock: 17 * 60}}, // Saturday
		{civil.Wall{Date: monday, Clock: 0}, false, civil.Wall{Date: monday, Clock: 9 * 60}, civil.Wall{Date: monday, Clock: 17 * 60}},
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
	if _, ok := none.Opens(civil.Wall{Date: monday, Clock: 0}); ok {
		t.Error("a practice without hours opens")
	}
	if m := none.NextMorning(civil.Wall{Date: monday, Clock: 60}); m != (civil.Wall{Date: monday + 1, Clock: 60}) {
		t.Errorf("next morning without hours %v", m)
	}
}
