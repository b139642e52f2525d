package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/pacing"
)

// What was raised for missing answers, and what has come since.

// easedNights is how many nights a card shows: all of them told, nothing of it is news.
const easedNights = 7

// Eased reports whether something that only missing answers raised has been answered
// since: the count is sure again, or the last nights are all told and worn. Nobody has
// to call for that alone.
func (p *Patient) Eased(x *Escalation) bool {
	c := &p.Course
	switch x.Reason {
	case pacing.P05.ID():
		return !c.InDoubt && c.Advice.Action != chart.NoAction && !c.Advice.Fired.Has(pacing.P05)
	case pacing.P11.ID():
		return !p.Plan.Limits.WeeklyNeeded && c.AllTold(&p.Plan, &p.Appliance, &p.Baseline, easedNights)
	}
	return false
}

// Stays reports whether no list closes something: the table asks a person to call, and
// what it asks that for lasts.
func (p *Patient) Stays(x *Escalation) bool {
	rule, known := pacing.RuleNamed(x.Reason)
	return known && rule.Calls && !p.Eased(x)
}
