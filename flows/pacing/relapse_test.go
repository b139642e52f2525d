package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
	"duskdawn/flows/relapse"
)

// proved is a patient whose position was proved after scores that were heard night by
// night at it, the last of them the test's.
func proved(t *testing.T, scores ...int) *bench {
	k := trial(t)
	for _, s := range scores {
		k.c.State = chart.Holding
		k.night(fine(told{chart.Snoring: s, chart.Sleepiness: 3}))
	}
	if k.c.Tested(k.d-1, k.c.Left) != Done || k.c.Steady(k.d-1) != Done {
		t.Fatal("not steady")
	}
	return k
}

// weekly is a week of steady use with one score at its end, and how often a person
// heard of P03 in it.
func (k *bench) weekly(m told) (n int) {
	for d := range 7 {
		x := told{chart.Worn: chart.WornAll}
		if d == 6 {
			x = m
		}
		k.evening()
		if _, ok := hears(k.r, "P03"); ok {
			n++
		}
		k.confirm(k.c.Left)
		k.tell(x)
	}
	return n
}

var twos = []int{2, 1, 3, 2, 2, 1, 3, 2, 2, 1, 3, 2, 2, 1, 3, 2} // mean 2, night to night 1.2

// The plan's last night ends no watch: a relapse long after it is told, and no step is.
func TestRelapseAfterThePlansEnd(t *testing.T) {
	loud := fine(told{chart.Snoring: 5})
	k := proved(t, twos...)
	k.f.Plan.Ends = k.d - 1
	for week := range 3 {
		if k.weekly(loud) != 0 {
			t.Fatalf("week %d: told", week)
		}
	}
	heard := 0
	for range 6 {
		if k.evening(); k.a.Action != chart.Stay {
			t.Errorf("%+v", k.a)
		}
		if r, ok := hears(k.r, "P03"); ok && r.Role == practice.Clinician {
			heard++
		}
		k.confirm(k.c.Left)
		k.tell(loud)
	}
	if heard != 1 {
		t.Errorf("told %d times", heard)
	}
}

// Snoring that has risen from 2 to 5 is found by the third weekly score (each adds two
// to the sum, 5 is its limit); four scores are asked for, and a clinician hears then.
func TestRelapseByTheChart(t *testing.T) {
	loud := fine(told{chart.Snoring: 5})
	k := proved(t, twos...)
	for week := range 3 {
		if k.weekly(loud) != 0 || k.c.Rose != 0 {
			t.Fatalf("week %d: told, or risen on %v", week, k.c.Rose)
		}
	}
	k.evening()
	if k.silent("P03"); k.c.Rose != k.d {
		t.Fatalf("three scores of 5: %v", k.c.Rose)
	}
	for n := range 4 {
		k.confirm(0)
		k.tell(loud)
		if k.evening(); n < 3 {
			k.silent("P03")
		}
	}
	if r := k.desk("P03"); r.Role != practice.Clinician || k.c.Rose != 0 || k.c.SnoreOn != k.d {
		t.Errorf("%+v", r)
	}
}

// Where the scores that are asked for do not come, a clinician hears after a week.
func TestRelapseThatNobodyScores(t *testing.T) {
	k := proved(t, twos...)
	for range 3 {
		k.weekly(fine(told{chart.Snoring: 5}))
	}
	for n := range 8 {
		if k.evening(); n < 7 {
			k.silent("P03")
		} else {
			k.desk("P03")
		}
		k.confirm(0)
		k.tell(told{chart.Worn: chart.WornAll})
	}
}

// Stable scores just over the target alarm a threshold and no chart, whose reference
// outlives the nights that are remembered; a new test begins it anew.
func TestStableScoresAreNoRelapse(t *testing.T) {
	k := proved(t, 3, 4, 3, 3, 4, 3, 3, 4, 3, 3, 4, 3, 3, 4, 3, 3)
	for week := range 52 {
		s := 3 + week%2
		if k.weekly(fine(told{chart.Snoring: s})) != 0 {
			t.Fatalf("told in week %d", week)
		}
	}
	if k.c.Snore.Known() != 16 || k.c.Snore.Mean() > 3500 {
		t.Errorf("%d scores, mean %d", k.c.Snore.Known(), k.c.Snore.Mean())
	}
	before := k.c.Snore
	if k.c.Tested(k.d, k.c.Left); k.c.Snore.Known() != 0 || k.c.Rose != 0 || before.Known() == 0 {
		t.Errorf("after a new test: %+v", k.c.Snore)
	}
}

// Fewer than twelve scores at the proved setting are no reference: the newest four
// over target speak, as they did before there was a chart; of those twelve are made.
func TestRelapseWithoutAReference(t *testing.T) {
	k := proved(t, 2, 2, 2, 2)
	heard := 0
	for week := 0; week < 4 && heard == 0; week++ {
		heard = k.weekly(fine(told{chart.Snoring: 6}))
	}
	if heard == 0 {
		k.evening()
		k.desk("P03")
	}
	k = proved(t, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2)
	if k.weekly(quietly(2)); k.c.Snore.Ready() {
		t.Error("eleven are a reference")
	}
	k.c.Reach(&k.f, k.d)
	if s, _ := k.c.Charts(k.f, k.d); !s.Ready() {
		t.Errorf("the twelfth: %d", s.Known())
	}
}

// A result that is recorded five weeks after its test finds the scores from before it:
// the chart that is acted on has its reference at once. Scores of another setting are none.
func TestTestToldLate(t *testing.T) {
	for at, ready := range map[chart.Steps]bool{0: true, 1: false} {
		k := trial(t)
		for range 50 { // nothing settles, nothing is stepped: it stays where it is
			k.night(fine(told{chart.Snoring: 4, chart.Bite: gone, chart.BiteMinutes: gone}))
		}
		if k.c.Left != 0 || k.c.N != 28 {
			t.Fatalf("at %d, %d nights", k.c.Left, k.c.N)
		}
		if s, _ := k.c.Charts(k.f, k.d); s != (relapse.Chart{}) {
			t.Errorf("nothing is proved, and there is a chart of %d", s.Known())
		}
		if no := k.c.Tested(day0+12, at); no != Done {
			t.Fatal(no)
		}
		s, _ := k.c.Charts(k.f, k.d)
		if s.Ready() != ready || ready && s.Since != 28 {
			t.Errorf("tested at %d: %d scores to go by, %d since", at, s.Known(), s.Since)
		}
	}
}

// Sleepiness that rises by the same chart, and two of four weeks with fewer than five
// worn nights, are told at once.
func TestSleepierAndWornLess(t *testing.T) {
	k := proved(t, twos...)
	heard := 0
	for range 4 {
		heard += k.weekly(fine(told{chart.Snoring: 2, chart.Sleepiness: 6})) // not yet two above the plan's 5
	}
	if heard != 1 || k.c.Rose != 0 {
		t.Errorf("sleepier: told %d times", heard)
	}
	for short, want := range map[int]bool{1: false, 2: true} {
		k := proved(t, twos...)
		heard := 0
		for week := range 4 {
			for d := range 7 {
				m := fine(told{chart.Snoring: 2})
				if week < short && d < 3 {
					m = told{chart.Worn: chart.WornNo}
				}
				k.night(m)
				if _, ok := hears(k.r, "P03"); ok {
					heard++
				}
			}
		}
		if (heard == 1) != want {
			t.Errorf("%d short weeks: told %d times", short, heard)
		}
	}
}

// The charts before a night take every night remembered before it, be they all of them,
// and nothing of that night itself.
func TestChartsBeforeANight(t *testing.T) {
	k := proved(t, twos...)
	for range 12 {
		k.night(fine(told{chart.Snoring: 4}))
	}
	if k.c.N != 28 {
		t.Fatalf("%d nights", k.c.N)
	}
	all, _ := k.c.Charts(k.f, k.d)
	less, _ := k.c.Charts(k.f, k.d-1)
	if all.Since != 12 || less.Since != 11 {
		t.Errorf("%d scores since, and %d a night earlier", all.Since, less.Since)
	}
}

// The weeks of wear end last night: two of them with four worn nights are short, be the
// others at their beginning or at their end.
func TestWeeksOfWearEndLastNight(t *testing.T) {
	for name, off := range map[string][2]int{"at the beginning": {4, 6}, "at the end": {0, 2}} {
		k := proved(t, twos...)
		for n := 27; n >= 0; n-- { // the newest night is 0
			m := fine(told{chart.Snoring: 2})
			if week, day := n/7, n%7; week%2 == 0 && day >= off[0] && day <= off[1] {
				m = told{chart.Worn: chart.WornNo}
			}
			k.night(m)
		}
		if !k.c.Slipping(k.f, k.d) {
			t.Errorf("%s: not short", name)
		}
	}
}
