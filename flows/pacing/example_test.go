package pacing_test

import (
	"fmt"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
)

// Seven evenings of an invented patient who wears the appliance every night and
// still snores: three nights to settle, a step, and after a sore morning a step
// back and a rest.
func ExampleCourse_Advise() {
	const fitted = civil.Date(20514) // 2 March 2026
	f := pacing.Facts{
		Plan: &chart.Plan{Rev: 1, On: fitted, Fitted: fitted, Limits: chart.Limits{Ceiling: 10, Settle: 3, Interval: 3,
			RestMornings: 3, Target: 3, Loud: 7, WornMinutes: 240, Pace: 1000, ContactDays: 90}},
		Appliance: &chart.Appliance{Step: 250, Travel: 20},
		Baseline: &chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual, Start: 4000, Pain: chart.Num(0),
			Snoring: chart.Num(8), Reporter: chart.Num(chart.ReporterPartner)},
	}
	var c pacing.Course
	c.Begin(f, fitted)
	for night := fitted; night < fitted+7; night++ {
		a, _ := c.Advise(f, night)
		fmt.Println(night, a.Action, "to", a.To, "by", a.Rule.ID(), a.Reason)
		c.Confirm(f, night, a.To, a.To)
		pain := 0
		if night == fitted+4 {
			pain = 7
		}
		for _, answer := range []struct {
			field chart.Field
			n     int
		}{{chart.Worn, chart.WornAll}, {chart.Reporter, chart.ReporterPartner}, {chart.Snoring, 6}, {chart.Pain, pain},
			{chart.Bite, chart.BiteBoth}, {chart.BiteMinutes, 5}} {
			c.Answer(f, night, answer.field, chart.Num(answer.n), chart.FromPatient)
		}
	}
	// Output:
	// 2026-03-02 stay to 0 by P10 reason.p10
	// 2026-03-03 stay to 0 by P10 reason.p10
	// 2026-03-04 stay to 0 by P10 reason.p10
	// 2026-03-05 forward to 1 by P18 reason.p18
	// 2026-03-06 stay to 1 by P15 reason.p15
	// 2026-03-07 go_back to 0 by P07 reason.p07
	// 2026-03-08 stay to 0 by P09 reason.p09
}
