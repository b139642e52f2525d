package estimate

import (
	"math"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/redflag"
	"duskdawn/flows/relapse"
)

// Record is what is known of one patient when an estimate is asked for.
type Record struct {
	Plan      *chart.Plan
	Appliance *chart.Appliance
	Baseline  *chart.Baseline

	Nights  []chart.Entry // one a calendar night, oldest first, all before Tonight
	Older   []pacing.Kept // scores of the plan's reporter from before Nights, without a date
	Began   civil.Date    // the first night
	Tonight civil.Date    // the night whose evening comes next
	State   chart.State   // on the path, also while it is hidden by a pause or a flag
	At      chart.Steps   // the last confirmed setting
	Arrived civil.Date    // since when it is there; 0 while it never moved from fitting day
	InDoubt bool          // the count is in doubt
	Urgent  bool          // a flag of class E or S is open
	TestAt  chart.Steps   // the setting worn at the last test ...
	TestOn  civil.Date    // ... and its night; 0 for none

	Snoring, Sleepy relapse.Chart // since the test, as P03 goes by them
	Slipping        bool          // two of the last four weeks were short of five worn nights, as P03 counts them

	Ended []Ended // the practice's own ended courses, where they are known
}

// Of gathers a record from a course, for the night after its newest or tonight.
// Nights are those to read; nil is the ones that the course itself remembers.
func Of(c *pacing.Course, f pacing.Facts, nights []chart.Entry, tonight civil.Date) Record {
	f.Whole()
	r := Record{Plan: f.Plan, Appliance: f.Appliance, Baseline: f.Baseline, Began: c.Began, Tonight: tonight,
		State: c.OnPath(), At: c.Left, Arrived: c.Arrived, InDoubt: c.InDoubt, TestAt: c.TestAt, TestOn: c.TestOn}
	r.Snoring, r.Sleepy = c.Charts(f, tonight)
	r.Slipping = c.Slipping(f, tonight)
	if nights == nil {
		nights = c.Nights[:min(int(c.N), len(c.Nights))]
		r.Older = c.HeardBy(f.Baseline.Reporter)
	}
	for i := range nights {
		if nights[i].Night < tonight {
			r.Nights = nights[:i+1]
		}
	}
	for _, f := range c.Flags {
		r.Urgent = r.Urgent || f.Class.Worse(redflag.ClassN)
	}
	return r
}

// Tonight is the night to estimate for: the one after the newest that is
// remembered, or that one while its morning has yet to come.
func Tonight(c *pacing.Course) civil.Date {
	n := min(int(c.N), len(c.Nights))
	if n == 0 {
		return 0
	}
	e := &c.Nights[n-1]
	if e.V[chart.Worn] == chart.Unknown && e.V[chart.Snoring] == chart.Unknown && e.V[chart.Pain] == chart.Unknown {
		return e.Night
	}
	return e.Night + 1
}

// Withheld is why an estimate cannot be given: the key of a text; empty where it can.
type Withheld string

// least is how many minutes make a worn night under the plan.
func (r *Record) least() int16 {
	if m := r.Plan.Limits.WornMinutes; m > 0 {
		return m
	}
	return chart.PayerMinutes
}

// newest are the nights of the last n before tonight.
func (r *Record) newest(n civil.Date) []chart.Entry {
	for i := range r.Nights {
		if r.Nights[i].Night >= r.Tonight-n {
			return r.Nights[i:]
		}
	}
	return nil
}

// mm is how far forward of fitting day a setting is.
func (r *Record) mm(at chart.Steps) float64 { return float64(at) * float64(r.Appliance.Step) / 1000 }

// top is the highest setting that the signed ceiling and the mechanism allow.
func (r *Record) top() chart.Steps {
	travel := r.Appliance.Travel
	if r.Appliance.TwoSided {
		travel -= max(r.Appliance.Offset, 0)
	}
	return max(min(r.Plan.Limits.Ceiling, travel), 0)
}

// usable reports whether a night is a row of the estimate: known worn, the count
// certain, scored by the plan's reporter, not set aside as unusual.
func (r *Record) usable(e *chart.Entry) (score int, ok bool) {
	return e.Usable(r.Baseline.Reporter, r.least())
}

// whole rounds to the nearest whole number. What lies on the edge between two
// goes up, whatever the last bits of a machine's arithmetic say.
func whole(v float64) int { return int(math.Floor(v + .5 + 1e-9)) }

// tenths and percent bring a value to what is shown: tenths of a point, and
// whole per cents in tenths of one.
func tenths(v float64) int  { return whole(10 * v) }
func percent(v float64) int { return 10 * whole(100*v) }

func argTenths(name string, n int) message.Arg {
	return message.Arg{Name: name, Kind: message.ArgTenths, N: int64(n)}
}

// refused is an estimate that is not given, in words.
func refused(what string, why Withheld) message.Line {
	return message.Say("estimate.refused", message.ArgK("what", "estimate."+what+".name"), message.ArgK("why", string(why)))
}
