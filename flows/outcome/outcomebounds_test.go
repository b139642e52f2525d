package outcome

import (
	"testing"

	"duskdawn/flows/chart"
)

// Both rules of adherence, just under and just at their shares: doi 10.15331/jdsm.7204.
func TestAdherenceBounds(t *testing.T) {
	if (chart.Nights{Counted: 699, Answered: 1000, Calendar: 1000}).PayerRegular() ||
		!(chart.Nights{Counted: 700, Answered: 1000, Calendar: 1000}).PayerRegular() ||
		!(chart.Nights{Counted: 1, Answered: 1, Calendar: 1}).PayerRegular() {
		t.Error("70.0 % of nights")
	}
	for _, x := range []struct {
		worn, sleep int
		counts, ok  bool
	}{{799, 1000, false, true}, {800, 1000, true, true}, {1, 1, true, true}, {0, 450, false, true},
		{-1, 450, false, false}} {
		if counts, ok := chart.DentalNight(x.worn, x.sleep); counts != x.counts || ok != x.ok {
			t.Errorf("%+v: %v, %v", x, counts, ok)
		}
	}
	six := make([]chart.Entry, 6)
	for i := range six {
		six[i].V[chart.Worn] = chart.Num(chart.WornAll)
	}
	if w := chart.CountDental(six, 450); w != (chart.Weeks{}) {
		t.Errorf("six nights are no week: %+v", w)
	}
	if n, ok := chart.Share(1, 1); n != 1000 || !ok {
		t.Errorf("1 of 1: %d", n)
	}
	if _, ok := chart.Share(-1, 10); ok {
		t.Error("a share of less than nothing")
	}
}

// The named definitions at their bounds: doi 10.5664/jcsm.6492, J Clin Sleep
// Med 2014;10:215-27, doi 10.15331/jdsm.6918.
func TestOutcomeBounds(t *testing.T) {
	of := func(before, after int) Response {
		r, no := ResponseOf(test(before, "A"), test(after, "A"))
		if no != Defined {
			t.Errorf("%d to %d: %s", before, after, no)
		}
		return r
	}
	if !of(200, 49).Resolved || of(200, 50).Resolved {
		t.Error("resolved under 5.0")
	}
	if of(300, 100).Success || !of(300, 99).Success {
		t.Error("success under 10.0")
	}
	if of(100, 30).Strict || of(100, 26).Strict || !of(100, 25).Strict {
		t.Error("strict from 75 %")
	}
	if n, no := Alleviation(test(300, "A"), test(90, "A"), 1, 1); n != 700 || no != Defined {
		t.Errorf("a minute: %d %s", n, no)
	}
	if _, no := Alleviation(test(300, "A"), test(90, "A"), -1, 450); no != NoSleep {
		t.Error("worn for less than nothing")
	}
	if n, no := Change(1, 0); n != -1000 || no != Defined {
		t.Errorf("1 to 0: %d %s", n, no)
	}
	if less, no := MeansLess(1, 0); !less || no != Defined {
		t.Error("pain 1 to 0")
	}
	if n, no := Events(1, 1); n != 600 || no != Defined {
		t.Errorf("one in a minute: %d", n)
	}
	if n, no := Events(0, 60); n != 0 || no != Defined {
		t.Error("none in an hour")
	}
	if _, no := Events(-1, 60); no == Defined {
		t.Error("less than none")
	}
}
