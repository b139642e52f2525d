package relapse

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// The sums by hand: twelve scores alternating 2 and 3 have mean 2.5 and mean
// moving range 1, so s = max(1.2, 0.887); a 5 adds (5-2.5)/1.2 - 0.5.
func TestChartByHand(t *testing.T) {
	var c Chart
	for i := range 11 {
		c.Refer(2 + i%2)
		if c.Ready() || c.Add(9) || c.Sum != 0 {
			t.Fatalf("%d scores make a chart: %+v", i+1, c)
		}
	}
	c.Refer(3)
	if c.Known() != 12 || c.Mean() != 2500 || c.SD() != 1200 {
		t.Fatalf("%d scores, mean %d, sd %d", c.Known(), c.Mean(), c.SD())
	}
	for i, want := range []int32{1583, 3166, 4749, 6332} {
		if risen := c.Add(5); c.Sum != want || risen != (want > Limit) {
			t.Errorf("after %d: sum %d, risen %v, want %d", i+1, c.Sum, risen, want)
		}
	}
	for range 4 {
		c.Add(0)
	}
	if c.Sum != 0 || c.Risen() { // 6332 - 4 x 2583 is below nothing
		t.Errorf("it does not come down: %d", c.Sum)
	}
	wide := Chart{}
	for i := range 20 {
		wide.Refer(i % 2 * 6)
	}
	if wide.Known() != Most || wide.Mean() != 3000 || wide.SD() != 5319 { // 6 / 1.128
		t.Errorf("%d scores, mean %d, sd %d", wide.Known(), wide.Mean(), wide.SD())
	}
	wide.Sum = 1000
	was := wide
	for _, x := range []int{-1, 11, 99} {
		wide.Refer(x)
		wide.Add(x)
	}
	if wide != was {
		t.Error("a score outside the scale counts")
	}
}

// A reference of no score, of one, and of the loudest; the limit itself is not past it.
func TestChartBounds(t *testing.T) {
	var c Chart
	if c.Mean() != 0 || c.SD() != LeastSD {
		t.Errorf("of nothing: mean %d, sd %d", c.Mean(), c.SD())
	}
	if c.Refer(10); c.Mean() != 10_000 || c.SD() != LeastSD {
		t.Errorf("of a 10: mean %d, sd %d", c.Mean(), c.SD())
	}
	for range Least {
		c.Refer(0)
	}
	if c.Add(10); c.Sum == 0 {
		t.Error("a 10 adds nothing")
	}
	if (Chart{Sum: Limit}).Risen() || !(Chart{Sum: Limit + 1}).Risen() {
		t.Error("it speaks beyond its limit")
	}
}

func TestSlipping(t *testing.T) {
	full := [Weeks]int{7, 7, 7, 7}
	for _, x := range []struct {
		worn, known [Weeks]int
		want        bool
	}{
		{[Weeks]int{7, 4, 7, 4}, full, true},
		{[Weeks]int{7, 4, 7, 5}, full, false},
		{[Weeks]int{0, 0, 0, 0}, [Weeks]int{}, false}, // silence is not "not worn"
		{[Weeks]int{4, 4, 7, 7}, [Weeks]int{6, 6, 7, 7}, false},
		{[Weeks]int{0, 0, 0, 0}, full, true},
	} {
		if got := Slipping(x.worn, x.known); got != x.want {
			t.Errorf("%v of %v: %v", x.worn, x.known, got)
		}
	}
}

// run is how many of weekly reports pass until the chart speaks, the first
// being 1; past most it is most+1.
func run(r *rand.Rand, c Chart, mean float64, most int) int {
	for i := 1; i <= most; i++ {
		if c.Add(heard(r, mean)) {
			return i
		}
	}
	return most + 1
}

func heard(r *rand.Rand, mean float64) int {
	return min(max(int(math.Round(mean+1.2*r.NormFloat64())), 0), 10)
}

func reference(r *rand.Rand, mean float64) (c Chart) {
	for range Most {
		c.Refer(heard(r, mean))
	}
	return c
}

// Weekly scores with a night SD of 1.2, the chart's own simulation: stable at 2.0
// a false alarm comes within 52 reports in about 12 % (at 2.5 in about 11 %);
// a rise from 2 to 4 is found in a median of 5 reports, 2 to 3.5 in 8.
func TestChartSimulated(t *testing.T) {
	const n = 20_000
	r := rand.New(rand.NewPCG(7, 52))
	for _, x := range []struct{ mean, low, top float64 }{{2, .09, .15}, {2.5, .08, .14}} {
		alarms := 0
		for range n {
			if run(r, reference(r, x.mean), x.mean, 52) <= 52 {
				alarms++
			}
		}
		share := float64(alarms) / n
		t.Logf("stable at %.1f: %.3f within 52 reports", x.mean, share)
		if share < x.low || share > x.top {
			t.Errorf("stable at %.1f: %.3f within 52 reports, want %.2f to %.2f", x.mean, share, x.low, x.top)
		}
	}
	for _, x := range []struct {
		to        float64
		low, most int
	}{{4, 4, 5}, {3.5, 6, 8}} {
		var runs []int
		for range n {
			runs = append(runs, run(r, reference(r, 2), x.to, 520))
		}
		slices.Sort(runs)
		t.Logf("2 to %.1f: median %d reports", x.to, runs[n/2])
		if m := runs[n/2]; m < x.low || m > x.most {
			t.Errorf("2 to %.1f: median %d reports, want %d to %d", x.to, m, x.low, x.most)
		}
	}
}
