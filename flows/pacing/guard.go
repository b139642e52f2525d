package pacing

import (
	"duskdawn/flows/chart"
)

// guard is the last check of every advice, whatever produced it. It knows
// nothing of the rules: inside 0 to the ceiling and the travel, at most one
// step forward a night, at most 1.0 mm in any 7 nights with no override, under
// the plan's current revision. A breach is a bug.
func (v *assessment) guard(a *chart.Advice) bool {
	f := v.f
	if f.Plan.Rev != a.Plan || a.Night != v.night {
		return false
	}
	switch a.Action {
	case chart.LeaveOut, chart.Stay:
		return true // it names what is, or what is lower
	case chart.GoBack:
		return a.To >= 0 && a.To <= v.top && a.To < a.From
	case chart.Forward:
		return a.To == v.s.Left+1 && v.s.Low == v.s.Left && v.s.High == v.s.Left && a.To >= 1 && a.To <= v.top &&
			v.signed() && v.moved()+f.Appliance.Step <= chart.TopPace
	}
	return false
}
