package enrol

import (
	"fmt"
	"testing"
	"time"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// The arithmetic of a schedule, worked by hand from the protocol: night 1 is
// the fitting night, the first step is worn on night settle+1, the k-th on
// settle+1+(k-1) x interval. The row of six half-millimetre steps a week apart
// is a practice's own activation sheet (common practice, no source); 0.5 mm
// twice a week at most: Fleury 2004, doi 10.1378/chest.125.5.1761.
func TestScheduleArithmetic(t *testing.T) {
	for _, c := range []struct {
		start, target    string
		step             string
		settle, interval int
		steps            chart.Steps
		night            int
		final            chart.Micrometres
	}{
		{"4", "6", "0.25", 7, 3, 8, 29, 6000},
		{"4", "6", "0.25", 3, 3, 8, 25, 6000},
		{"4", "6", "0.25", 2, 2, 8, 18, 6000}, // three reports come first
		{"4", "6", "0.5", 7, 7, 4, 29, 6000},
		{"4", "6", "1", 7, 7, 2, 15, 6000},
		{"4.4", "6.2", "0.25", 7, 3, 7, 26, 6150},
		{"4", "7", "0.5", 7, 7, 6, 43, 7000},
		{"4", "5.6", "0.25", 7, 3, 6, 23, 5500}, // the ceiling of 70 % of 8 mm
	} {
		f, ps := filled(t, with("start: "+c.start, "ceiling: "+c.target+" mm", "step-mm: "+c.step,
			fmt.Sprint("settle: ", c.settle), fmt.Sprint("interval: ", c.interval), "ends: 2026-06-01"))
		if Refused(ps) {
			t.Fatalf("%+v: %+v", c, ps)
		}
		s := Summarise(f.Enrolment)
		if s.Steps != c.steps || s.Night != c.night || s.Ceiling != c.final ||
			s.On != civil.DateOf(2026, time.March, 1)+civil.Date(c.night) {
			t.Errorf("%+v: %+v", c, s)
		}
	}
}

// Shares of the protrusive range, with the zero stated: habitual bite as 0 %
// (Bamagoos 2019), most retruded as 0 % (Mayoral 2019, doi 10.1186/s12903-019-0783-8).
func TestShares(t *testing.T) {
	for _, c := range []struct {
		b     chart.Baseline
		place chart.Micrometres
		share int
	}{
		{chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual}, 4000, 500},
		{chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual}, 6000, 750},
		{chart.Baseline{Max: 9000, Zero: chart.ZeroHabitual}, 5500, 611},
		{chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual}, 3000, 375}, // edge to edge, overjet 3
		{chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual}, 5500, 688},
		{chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual}, 5750, 719},
		{chart.Baseline{Max: 10000, Zero: chart.ZeroRetruded, Retruded: -2000}, 3000, 500},
		{chart.Baseline{Max: 10000, Zero: chart.ZeroRetruded, Retruded: -2000}, -2000, 0},
	} {
		if got := chart.ShareOf(&c.b, c.place); got != c.share {
			t.Errorf("%+v at %d: %d", c.b, c.place, got)
		}
	}
	for _, c := range []struct {
		b      chart.Baseline
		tenths int
		place  chart.Micrometres
	}{
		{chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual}, 500, 4000},
		{chart.Baseline{Max: 10000, Zero: chart.ZeroRetruded, Retruded: -2000}, 500, 3000},
		{chart.Baseline{Max: 8800, Zero: chart.ZeroHabitual}, 700, 6160},
		{chart.Baseline{Max: 8800, Zero: chart.ZeroHabitual}, 500, 4400},
		{chart.Baseline{Max: 10300, Zero: chart.ZeroHabitual}, 750, 7725},
	} {
		if got := chart.PlaceOf(&c.b, c.tenths); got != c.place {
			t.Errorf("%+v at %d: %d", c.b, c.tenths, got)
		}
	}
}

// A pace under what the interval would allow is kept: 0.5 mm in 7 nights with
// 0.25 mm every third night puts the steps on nights 4, 7, 11, 14.
func TestPaceHoldsBack(t *testing.T) {
	if got := earliest(3, 3, 4, 2); got != 14 {
		t.Errorf("night %d", got)
	}
}
