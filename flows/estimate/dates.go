package estimate

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// Why no date can be given.
const (
	NoPacing   Withheld = "estimate.no.pacing"   // nothing is being advanced
	NoEvenings Withheld = "estimate.no.evenings" // fewer than fourteen evenings to go by
	NoSteps    Withheld = "estimate.no.steps"    // no step in fourteen evenings
	NoRoom     Withheld = "estimate.no.room"     // at the signed ceiling
	NoReach    Withheld = "estimate.no.reach"    // the target is more likely missed than met before the ceiling or the cap
)

// rateNights are the evenings that the rate of stays is taken from.
const rateNights = 14

// Due is when a setting is likely to be reached, if it goes on like the last 14
// evenings, beside the earliest that the plan's limits allow.
type Due struct {
	No               Withheld
	To               chart.Steps
	Likely, Earliest civil.Date
}

// Dates gives both dates: at the ceiling, and where the mean of the snoring is
// more likely than not at the target, by the response estimate.
func (r *Record) Dates() (ceiling, target Due) {
	done, no := r.rate()
	if no == "" && r.At >= r.top() {
		no = NoRoom
	}
	if no != "" {
		return Due{No: no}, Due{No: no}
	}
	ceiling = r.due(r.top(), done)
	to, no := r.targetAt()
	if no != "" {
		return ceiling, Due{No: no}
	}
	return ceiling, r.due(to, done)
}

// rate is how many of the last fourteen evenings were steps forward.
func (r *Record) rate() (steps int, no Withheld) {
	if r.State < chart.Settling || r.State > chart.Resting {
		return 0, NoPacing
	}
	evenings := 0
	for _, e := range r.newest(rateNights) {
		if e.Action != chart.NoAction {
			evenings++
		}
		if e.Action == chart.Forward {
			steps++
		}
	}
	switch {
	case evenings < rateNights:
		return 0, NoEvenings
	case steps == 0:
		return 0, NoSteps
	}
	return steps, ""
}

// due works out the two dates of a setting.
func (r *Record) due(to chart.Steps, done int) Due {
	k := int(to - r.At)
	likely := (k*rateNights + done - 1) / done // evenings, rounded up; the last of them is the step's own
	first, each := r.soonest()
	earliest := first + (k-1)*each
	return Due{To: to, Likely: r.Tonight + civil.Date(max(likely-1, earliest)), Earliest: r.Tonight + civil.Date(earliest)}
}

// soonest is how many nights the next step must still wait, and each after it.
func (r *Record) soonest() (first, each int) {
	l := &r.Plan.Limits
	pace := int(l.Pace)
	if pace <= 0 || pace > int(chart.TopPace) {
		pace = int(chart.TopPace)
	}
	each = max(int(l.Interval), newestNights*int(r.Appliance.Step)/pace, 1)
	need := int(l.Interval)
	if r.Arrived == 0 {
		need = int(l.Settle)
	}
	return max(need-r.wornHere(), 0), each
}

// wornHere is how many nights were worn at this setting since it came there.
func (r *Record) wornHere() (n int) {
	for i := range r.Nights {
		e := &r.Nights[i]
		if worn, _ := e.Worn(r.least()); worn && e.Night >= r.Arrived && e.Low == r.At && e.High == r.At {
			n++
		}
	}
	return n
}

// targetAt is the first setting at which the mean is more likely than not at the
// target.
func (r *Record) targetAt() (chart.Steps, Withheld) {
	c, cap, _, no := r.likely()
	if no != "" {
		return 0, no
	}
	for to := r.At + 1; to <= r.top() && r.mm(to) <= cap; to++ {
		if c.reaches(r.mm(to), cap, float64(r.Plan.Limits.Target)) > .5 {
			return to, ""
		}
	}
	return 0, NoReach
}
