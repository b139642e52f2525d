package cohort

import (
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/civil"
	"duskdawn/flows/estimate"
)

// Virtual patients, whose truth is known: their curve is none of the estimate's
// own. Of those who live 24, 36 and 48 nights under a plan from a quarter of the
// range up, the fall over the next millimetre lies in the 80 % shown in four of
// five or more, and who is said to reach the target mostly does.
func TestEstimateOfVirtualPatients(t *testing.T) {
	plan := Usual()
	plan.Baseline.Start, plan.Plan.Limits.Ceiling = 2200, 15
	given, in, brier := 0, 0, 0.0
	refused := map[estimate.Withheld]int{}
	for _, nights := range []int{24, 36, 48} {
		tr := &Trial{Plan: plan, Nights: nights, Seed: 5}
		pl := tr.Player()
		for n := range 60 {
			pl.Live(n)
			f := pl.p.Facts(&pl.pr, &flows.Event{})
			rec := estimate.Of(&pl.p.Course, f, nil, monday+civil.Date(nights))
			e := rec.Respond()
			if e.No != "" {
				refused[e.No]++
				continue
			}
			given++
			at := func(um int32) float64 {
				return pl.who.snores(float64(pl.p.Baseline.Start)/1000 + float64(um)/1000)
			}
			here := int32(pl.p.Course.Left) * int32(pl.p.Appliance.Step)
			fall := at(here) - at(here+int32(e.Ahead))
			if float64(e.Fall.Low)-.5 <= 10*fall && 10*fall <= float64(e.Fall.High)+.5 {
				in++
			}
			did := 0.0
			if at(int32(e.ReachAt)) <= float64(e.Target) {
				did = 1
			}
			said := float64(e.Reach) / 1000
			brier += (said - did) * (said - did)
		}
	}
	t.Logf("%d given, %d within the interval, Brier %.3f; refused %v", given, in, brier/float64(max(given, 1)), refused)
	if given < 20 || 5*in < 4*given || brier > .25*float64(given) {
		t.Errorf("%d given, %d within the interval, Brier %.3f", given, in, brier/float64(max(given, 1)))
	}
}
