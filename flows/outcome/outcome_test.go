package outcome

import (
	"testing"

	"duskdawn/flows/chart"
)

func test(ahi10 int, rule string) chart.SleepTest {
	return chart.SleepTest{AHI10: chart.Num(ahi10), Rule: rule, InPlace: true}
}

// Bands of adults: doi 10.1186/s13063-019-3698-4.
func TestSeverity(t *testing.T) {
	for ahi10, want := range map[int]Severity{0: SeverityNormal, 49: SeverityNormal, 50: SeverityMild, 149: SeverityMild,
		150: SeverityModerate, 299: SeverityModerate, 300: SeveritySevere, 900: SeveritySevere} {
		if got := SeverityOf(chart.Num(ahi10)); got != want {
			t.Errorf("%d tenths: %d", ahi10, got)
		}
	}
	if SeverityOf(chart.Unknown) != SeverityUnknown || SeverityOf(chart.Num(-1)) != SeverityUnknown {
		t.Error("a band of nothing")
	}
}

// Orofacial bands mild 1-4, moderate 5-7, severe 8-10: doi 10.2147/JPR.S75192.
func TestPainBands(t *testing.T) {
	for pain, want := range map[int]Band{0: BandNone, 1: BandMild, 4: BandMild, 5: BandModerate, 7: BandModerate,
		8: BandSevere, 10: BandSevere, 11: BandUnknown, -1: BandUnknown} {
		if got := BandOf(chart.Num(pain)); got != want {
			t.Errorf("%d: %d", pain, got)
		}
	}
	if BandOf(chart.Unknown) != BandUnknown || BandOf(chart.Skipped) != BandUnknown {
		t.Error("a band of silence")
	}
}

// Response, success (doi 10.5664/jcsm.6492), resolution (J Clin Sleep Med
// 2014;10:215-27), partial and none (commonly used, from memory).
func TestResponse(t *testing.T) {
	for _, x := range []struct {
		before, after, change                 int
		half, success, resolved, partial, non bool
	}{
		{300, 90, -700, true, true, false, true, false},
		{300, 150, -500, true, false, false, true, false},
		{300, 160, -467, false, false, false, false, true},
		{200, 99, -505, true, true, false, true, false},
		{120, 40, -667, true, true, true, false, false},
		{80, 40, -500, true, true, true, false, false},
		{90, 50, -444, false, false, false, false, true},
		{400, 180, -550, true, false, false, true, false},
	} {
		r, no := ResponseOf(test(x.before, "A"), test(x.after, "A"))
		if no != Defined || r.Change != x.change || r.Half != x.half || r.Success != x.success || r.Resolved != x.resolved ||
			r.Partial != x.partial || r.Unresolved != x.non {
			t.Errorf("%d to %d: %+v %s", x.before, x.after, r, no)
		}
	}
	if r, _ := ResponseOf(test(400, "A"), test(100, "A")); !r.Strict {
		t.Error("a fall of 75 %")
	}
}

// Undefined values are refused in words: no percentage across two scoring
// rules (PMC4661335), none from 0, none of what is not known.
func TestResponseRefused(t *testing.T) {
	out := test(90, "A")
	out.InPlace = false
	for want, x := range map[Undefined][2]chart.SleepTest{
		OtherRule:   {test(300, "A"), test(90, "B")},
		FromZero:    {test(0, "A"), test(90, "A")},
		NotMeasured: {{Rule: "A"}, test(90, "A")},
		NotWornTest: {test(300, "A"), out},
	} {
		if _, no := ResponseOf(x[0], x[1]); no != want {
			t.Errorf("%q, want %q", no, want)
		}
	}
	if _, no := ResponseOf(test(300, ""), test(90, "")); no != OtherRule {
		t.Error("a rule that is not named was compared")
	}
}

// Mean disease alleviation, formula from memory: Thorax 2013;68:91-6.
func TestAlleviation(t *testing.T) {
	for _, x := range []struct{ before, after, worn, sleep, want int }{
		{300, 90, 360, 450, 560},
		{180, 60, 402, 450, 596},
		{300, 90, 500, 450, 700},   // worn beyond the sleep: all of it
		{100, 150, 450, 450, -500}, // worse, and said so
		{300, 90, 0, 450, 0},
	} {
		if got, no := Alleviation(test(x.before, "A"), test(x.after, "A"), x.worn, x.sleep); got != x.want || no != Defined {
			t.Errorf("%+v: %d %s", x, got, no)
		}
	}
	if _, no := Alleviation(test(0, "A"), test(0, "A"), 1, 1); no != FromZero {
		t.Errorf("%q", no)
	}
	if _, no := Alleviation(test(300, "A"), test(90, "A"), 360, 0); no != NoSleep {
		t.Errorf("%q", no)
	}
}

// 8 to 6 is -25.0 % and meaningful, 8 to 7 is -12.5 % (PMC8726364 table 3);
// four nights or more, one reporter (doi 10.1111/j.1749-4486.2010.02127.x).
func TestSnoringChange(t *testing.T) {
	of := func(by int, scores ...int) (out []Snored) {
		for _, s := range scores {
			out = append(out, Snored{s, by})
		}
		return out
	}
	for _, x := range []struct {
		before, after []Snored
		want          int
		no            Undefined
	}{
		{of(1, 8, 8, 8, 8), of(1, 6, 6, 6, 6), -250, Defined},
		{of(1, 8, 8, 8, 8), of(1, 7, 7, 7, 7), -125, Defined},
		{of(1, 8, 8, 8, 8), of(1, 6, 6, 6, 6, 6, 6), -250, Defined},
		{of(1, 6, 5, 4), of(1, 6, 6, 6, 6), 0, TooFew},
		{of(1, 0, 0, 0, 0), of(1, 1, 1, 1, 1), 0, FromZero},
		{append(of(2, 2, 2), of(1, 7, 7)...), of(1, 1, 1, 1, 1), 0, OtherReporter},
		{of(2, 2, 2, 2, 2), of(1, 1, 1, 1, 1), 0, OtherReporter},
		{of(1, 4, 4, 4, 4), of(1, 5, 5, 5, 5), 250, Defined},
	} {
		if got, no := SnoringChange(x.before, x.after); got != x.want || no != x.no {
			t.Errorf("%v to %v: %d %q", x.before, x.after, got, no)
		}
	}
}

// 240 events in 8 h are 30.0 an hour, 75 in 6.25 h 12.0; 27 minutes of 450 are
// 6.0 % (definitions from memory).
func TestIndices(t *testing.T) {
	if n, _ := Events(240, 480); n != 300 {
		t.Error(n)
	}
	if n, _ := Events(75, 375); n != 120 {
		t.Error(n)
	}
	if _, no := Events(75, 0); no != NoSleep {
		t.Error(no)
	}
	if n, _ := chart.Share(27, 450); n != 60 {
		t.Error(n)
	}
	// 33/167 is 19.8 % (doi 10.1007/s11325-012-0695-1), 67/101 66.3 % (doi
	// 10.3389/fneur.2019.00757), 12/15 and 14/18 (doi 10.1183/09031936.06.00077804).
	for _, x := range [][3]int{{33, 167, 198}, {67, 101, 663}, {12, 15, 800}, {14, 18, 778}} {
		if n, _ := chart.Share(x[0], x[1]); n != x[2] {
			t.Errorf("%d of %d: %d", x[0], x[1], n)
		}
	}
}

// 6 to 4 is -33.3 % and under 37.9, 5 to 3 is -40.0 % and important (doi
// 10.11607/jofph.24.3.05); from 0 there is no percentage.
func TestPainThatMatters(t *testing.T) {
	for _, x := range []struct {
		before, after int
		less          bool
		no            Undefined
	}{{6, 4, false, Defined}, {5, 3, true, Defined}, {0, 0, false, FromZero}, {1000, 621, true, Defined},
		{1000, 622, false, Defined}} {
		if got, no := MeansLess(x.before, x.after); got != x.less || no != x.no {
			t.Errorf("%d to %d: %v %q", x.before, x.after, got, no)
		}
	}
}
