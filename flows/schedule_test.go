package flows

import (
	"slices"
	"testing"
)

// The integration example of the default protocol, derived from its rows
// (settle, interval, ceiling of 70 %: doi 10.5664/jcsm.8556; three pain-free
// days at a lesser setting and a longer interval after it: a practice sheet,
// common practice, no source): start 4.0 mm, range 8.0, step 0.25, settle 7,
// interval 3, night 1 being fitting night.
func TestScheduleOfTheDefaultProtocol(t *testing.T) {
	k := trial(t, func(p *Plan, a *Appliance, b *Baseline) {
		p.Limits.Settle, p.Limits.Ceiling = 7, Steps((5600-4000)/250)
	})
	var steps []int
	for n := 1; n <= 23; n++ {
		m := fine()
		if n == 23 {
			m = fine(told{Pain: 6, Gone: GoneMidday})
		}
		if a := k.night(m); a.Action == Forward {
			steps = append(steps, n)
		}
	}
	if want := []int{8, 11, 14, 17, 20, 23}; !slices.Equal(steps, want) {
		t.Fatalf("advances on nights %v, want %v", steps, want)
	}
	if k.c.Left != 6 || ShareOf(k.f.Baseline, 4000+6*250) != 688 {
		t.Errorf("last setting %d", k.c.Left)
	}
	k.night(fine()) // night 24
	k.want(GoBack, 5, 7)
	if k.c.State != Resting {
		t.Errorf("state %v", k.c.State)
	}
	k.night(fine())
	k.night(fine())
	k.want(Stay, 5, 9)
	k.night(fine()) // 27: three easy mornings
	if k.c.State != Stepping {
		t.Errorf("night 27: state %v, want stepping again", k.c.State)
	}
	for n := 28; n <= 29; n++ {
		k.night(fine())
		k.want(Stay, 5, 15)
	}
	k.night(fine()) // 30
	k.want(Forward, 6, 18)
}
