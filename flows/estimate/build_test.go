package estimate

import (
	"math"
	"math/rand/v2"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// day is an invented fitting day.
var day = civil.DateOf(2026, 3, 2)

// course builds a record of nights worn and scored by a partner: step 0.25 mm,
// a range of which 70 % is cap mm beyond the start, the ceiling there too.
func course(cap float64, settings []chart.Steps, scores []int) Record {
	um := chart.Micrometres(math.Round(1000 * cap))
	most := (um*10 + 6) / 7 * 2 // so that half of it is left before the start
	start := most*7/10 - um
	top := chart.Steps(math.Floor(cap * 4))
	r := Record{
		Plan: &chart.Plan{Fitted: day, Limits: chart.Limits{Ceiling: top, Target: 3, WornMinutes: 240, Settle: 3, Interval: 3,
			Pace: 1000}},
		Appliance: &chart.Appliance{Step: 250, Travel: 40},
		Baseline:  &chart.Baseline{Max: most, Zero: chart.ZeroHabitual, Start: start, Reporter: chart.Num(chart.ReporterPartner)},
		Began:     day, State: chart.Stepping,
	}
	for i, at := range settings {
		e := chart.Entry{Night: day + civil.Date(i), Low: at, High: at, Action: chart.Stay, To: at, Rule: 15}
		e.V[chart.SettingLeft] = chart.Num(int(at))
		e.V[chart.Worn] = chart.Num(chart.WornAll)
		e.V[chart.Snoring] = chart.Num(scores[i])
		e.V[chart.Reporter] = chart.Num(chart.ReporterPartner)
		if i > 0 && at > settings[i-1] {
			e.Action, e.Rule, r.Arrived = chart.Forward, 18, e.Night
		}
		r.Nights = append(r.Nights, e)
		r.At = at
	}
	r.Tonight = day + civil.Date(len(settings))
	return r
}

// walk is the settings of steps of a quarter of a millimetre, so many nights at
// each, up to spread.
func walk(spread float64, nights int) (at []chart.Steps) {
	for s := range chart.Steps(math.Round(spread*4)) + 1 {
		for range nights {
			at = append(at, s)
		}
	}
	return at
}

// score rounds a night's snoring to what a partner says.
func score(r *rand.Rand, mean, sd float64) int {
	return min(max(int(math.Round(mean+sd*r.NormFloat64())), 0), 10)
}
