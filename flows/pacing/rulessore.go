package pacing

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// The rows of a sore jaw: go back, rest, wait until mornings are easy.

// P07: a sore morning: go back to the last comfortable setting since the last
// visit, at least one step under the lowest it may be at. At the start there is
// nothing to go back to: rest. A second one there, or in one rest: leave out.
func p07(v assessment) result {
	hit := v.soreNight()
	if hit == 0 {
		return result{}
	}
	if v.soreAgain(hit) {
		return v.leaveOut("reason.p07.again")
	}
	if v.atStart() {
		return v.back(0, "reason.p07.start")
	}
	return v.back(v.backTo(), "reason.p07")
}

// backTo is where a go-back leads: the last comfortable setting since the last
// visit, and at least one step under the lowest it may be at.
func (v *assessment) backTo() chart.Steps {
	to := v.s.Low - 1
	if v.hasGood {
		to = min(to, v.good)
	}
	return max(to, 0)
}

// soreNight is the night whose morning asks for a way back; 0 for none. A morning
// told only after its evening's advice still counts.
func (v *assessment) soreNight() civil.Date {
	switch {
	case v.last != nil && (v.last.Sore(v.f.Baseline) || v.away >= 2):
		return v.night - 1
	case v.late != 0 && v.late != v.c.LastHit:
		return v.late
	}
	return 0
}

func (v *assessment) atStart() bool { return v.s.Low <= 0 }

// soreAgain reports whether a sore morning follows another one at the start, or in
// the same rest.
func (v *assessment) soreAgain(hit civil.Date) bool {
	before := v.c.StartHits
	if !v.atStart() {
		if v.c.OnPath() != chart.Resting {
			return false
		}
		before = v.c.RestHits
	}
	if v.c.LastHit == hit && before > 0 {
		before-- // this very morning, counted when the advice was first given
	}
	return before > 0
}

// P08: bite away over 60 minutes once. The answer itself has raised the N flag.
func p08(v assessment) result {
	if v.last == nil {
		return result{}
	}
	if m, _ := v.last.Bite(); m > chart.AwayBite {
		return v.stay("reason.p08")
	}
	return result{}
}

// P09: resting, fewer easy mornings in a row than the plan's.
func p09(v assessment) result {
	if v.state != chart.Resting {
		return result{}
	}
	return v.stay("reason.p09")
}

// P10: settle nights not all worn.
func p10(v assessment) result {
	if v.state != chart.Settling {
		return result{}
	}
	return v.stay("reason.p10")
}

// P11: last night not known worn, or something of the morning missing; a
// needed weekly item ten days overdue; fourteen nights not known worn.
func p11(v assessment) result {
	switch {
	case v.lapsed():
		return v.stay("reason.p11.lapsed")
	case v.f.Unheard:
		return v.stay("reason.p11.evening")
	case v.wrong():
		return v.stay("reason.p11.wrong")
	case v.last == nil:
		return result{}
	case v.gap >= 3:
		return v.stay("reason.p11.unworn")
	}
	if worn, known := v.last.Worn(v.f.least()); known && !worn {
		return v.stay("reason.p11.notworn")
	}
	if !v.last.Answered(v.f.least(), v.f.Appliance, v.f.Baseline) || v.lim.WeeklyNeeded && v.overdue() {
		return v.stay("reason.p11")
	}
	return result{}
}

// wrong reports whether the patient said this evening that something is wrong.
func (v *assessment) wrong() bool {
	i := v.c.index(v.night)
	return i >= 0 && v.c.Nights[i].V[chart.Wrong].Is(chart.Yes)
}

// lapsed reports whether a clinician has to name the setting. Where check-ins are
// weekly, silent nights are usual.
func (v *assessment) lapsed() bool { return v.c.Lapsed || v.underway() && v.gap >= LapseNights }

// overdue reports whether the last weekly answers are ten days overdue.
func (v *assessment) overdue() bool {
	since := v.c.Began
	for i := v.c.index(v.night); i >= 0; i-- {
		if v.c.Nights[i].V[chart.Sleepiness] != chart.Unknown {
			since = v.c.Nights[i].Night
			break
		}
	}
	return v.night-since > weeklyEvery+WeeklyLate
}

// P12: pain 1-4 not gone the same morning; guide not used; bite back only
// after 45 to 60 minutes.
func p12(v assessment) result {
	if v.last == nil {
		return result{}
	}
	pain, _ := v.last.Pain(v.f.Baseline)
	used, guideKnown := v.last.Guided()
	m, _ := v.last.Bite()
	switch {
	case pain >= 1 && pain <= chart.MildPain && v.last.V[chart.Gone].AtLeast(chart.GoneMidday):
		return v.stay("reason.p12.pain")
	case v.f.Appliance.Guide && guideKnown && !used:
		return v.stay("reason.p12.guide")
	case m > chart.LateBite && m <= chart.AwayBite:
		return v.stay("reason.p12.bite")
	}
	return result{}
}
