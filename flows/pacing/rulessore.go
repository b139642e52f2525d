package pacing

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// The rows of a sore jaw: go back, rest, wait until mornings are easy.

// The numbers of a rest that no plan changes.
const (
	easyPain   = 2  // worst pain of an easy morning, gone the same morning, where the plan says none
	restFactor = 20 // tenths: by how much the interval is longer after a rest, where the plan says none
	RestLong   = 10 // nights of one rest after which a clinician looks
)

// easy is the worst pain of an easy morning.
func (v *assessment) easy() int {
	if p := v.lim.EasyPain; p.Known() {
		return min(p.N(), chart.MildPain)
	}
	return easyPain
}

// slower is an interval after a rest, rounded up; never shorter than it was.
func (v *assessment) slower(interval int) int {
	f := restFactor
	if n := v.lim.RestFactor; n.Known() {
		f = min(max(n.N(), 10), restFactor)
	}
	return (interval*f + 9) / 10
}

// sore is what the morning of P07 asks for, judged once an evening: what the row
// says and all that follows from it read the same verdict.
type sore struct {
	hit   civil.Date  // the night of that morning; 0 for none
	known bool        // it was judged earlier this evening
	nth   int         // of this rest, or of the start; where the state is kept, of seven nights
	start bool        // there is nothing to go back to
	kept  bool        // in holding or later: the state stays
	to    chart.Steps // where the way back leads
}

// lastSore is the sore morning of one rest, or of the start, that leaves it out.
const lastSore = 3

// soreness judges the morning. The morning that began a rest is its first.
func (v *assessment) soreness() (s sore) {
	if s.hit = v.soreNight(); s.hit == 0 {
		return s
	}
	c, under := v.c, v.c.OnPath()
	s.known, s.start, s.to = c.LastHit == s.hit, v.s.High <= 0, v.backTo()
	s.kept = under >= chart.Holding && under <= chart.Recall
	one := 1
	if s.known {
		one = 0
	}
	if s.nth = 1; s.kept {
		s.nth += v.soreBefore(s.hit)
		return s
	}
	if under == chart.Resting {
		s.nth = int(c.RestHits) + one
		if s.nth > 1 { // one step under where it rested, whatever was made of that
			s.to = max(min(s.to, c.DoubledTo-1-chart.Steps(one)), 0)
		}
	}
	if s.start {
		s.nth = max(s.nth, int(c.StartHits)+one)
	}
	return s
}

// soreBefore counts the sore mornings of the six nights before one, since the
// last visit.
func (v *assessment) soreBefore(hit civil.Date) (n int) {
	for i := v.c.index(hit) - 1; i >= 0 && v.c.Nights[i].Night > hit-WeekNights; i-- {
		if e := &v.c.Nights[i]; e.Night >= v.c.Visited && (e.Asked&chart.WasSore != 0 || e.Sore(v.f.Baseline)) {
			n++
		}
	}
	return n
}

// P07: a sore morning: go back to the last comfortable setting since the last
// visit, at least one step under the lowest it may be at. At the start there is
// nothing to go back to: rest. A third one in one rest, or at the start: leave out.
func p07(v assessment) result {
	switch s := &v.sore; {
	case s.hit == 0:
		return result{}
	case s.nth >= lastSore:
		return v.leaveOut("reason.p07.again")
	case s.start:
		return v.stay("reason.p07.start")
	default:
		return v.back(s.to, "reason.p07")
	}
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

// P09: resting, fewer easy mornings in a row than the plan's (Entry.Easy).
func p09(v assessment) result {
	if v.state != chart.Resting {
		return result{}
	}
	return v.stay("reason.p09")
}

// P10: settle nights not all worn, in any state and under any order.
func p10(v assessment) result {
	if v.settle() || !v.c.Unsettled && v.under != chart.Settling {
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

// leftOut reports that last night was left out by advice: staff know, and it
// counts for nothing.
func leftOut(v assessment) bool { return v.last != nil && v.last.LeftOut() }

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
