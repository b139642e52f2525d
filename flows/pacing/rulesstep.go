package pacing

import (
	"duskdawn/flows/chart"
)

// The rows that say whether a step is due: settled, heard enough, time, room,
// and whether steps still help.

// FewReports is how many usable reports a step needs (P14), noGain the depth of
// advancement after which snoring must have fallen by leastFall (P17).
const (
	FewReports                   = 2
	NoGain     chart.Micrometres = 2000
	LeastFall                    = 250 // tenths of a per cent: PMC8726364 table 3
)

// P13: snoring settled at this setting: hold. A grant or an order goes past it
// up to the setting it names; a self-score never settles.
func p13(v assessment) result {
	if v.state != chart.Settling && v.state != chart.Stepping || v.timetabled() || v.granted(v.s.Left+1) ||
		v.s.Left < v.c.OrderTo || !v.settledSnoring() {
		return result{}
	}
	return v.stay("reason.p13")
}

// settledSnoring: of the last 7 nights at this setting, 4 or more reports of
// the plan's reporter, their mean at or under target, no loud night.
func (v *assessment) settledSnoring() bool {
	by := v.f.Baseline.Reporter
	if by.Is(chart.ReporterSelf) {
		return false
	}
	var n, sum int
	for e := range v.week {
		if e.Low != v.s.Left || e.High != v.s.Left {
			continue
		}
		score, ok := e.Snored(by)
		if worn, _ := e.Worn(v.f.least()); !ok || !worn {
			continue
		}
		if score >= v.loud() {
			return false
		}
		n++
		sum += score
	}
	return n >= PoolNights && sum <= n*int(v.lim.Target)
}

// loud is the score of a loud night.
func (v *assessment) loud() int {
	if v.lim.Loud > 0 {
		return int(v.lim.Loud)
	}
	return 7
}

// week yields the last 7 nights, the newest first.
func (v *assessment) week(yield func(*chart.Entry) bool) {
	i := v.c.index(v.night)
	for n := i - 1; n >= 0 && n >= i-WeekNights; n-- {
		if !yield(&v.c.Nights[n]) {
			return
		}
	}
}

// P14: too little heard at this setting to say that snoring persists: fewer
// than two usable reports, or a mean, each night without a report counted as
// 0, at or under target.
func p14(v assessment) result {
	if v.timetabled() {
		return result{}
	}
	var nights, n, sum int
	loud := false
	for e := range v.week {
		if e.Low > v.s.Left || e.High < v.s.Left {
			continue
		}
		if worn, known := e.Worn(v.f.least()); known && !worn {
			continue
		}
		nights++
		if score, ok := e.Snored(v.f.Baseline.Reporter); ok {
			n++
			sum += score
			loud = loud || score >= v.loud()
		}
	}
	switch {
	case n < FewReports:
		return v.stay("reason.p14")
	case sum <= nights*int(v.lim.Target) && !(n >= PoolNights && loud):
		return v.stay("reason.p14")
	}
	return result{}
}

// P15: too soon: worn nights since the last arrival, or the way of the last 7
// nights with tonight's step.
func p15(v assessment) result {
	need := int(max(v.lim.Interval, 1))
	if v.doubled {
		need *= 2
	}
	switch {
	case v.s.Arrived != 0 && v.worn < need:
		return v.stay("reason.p15")
	case v.moved()+v.f.Appliance.Step > v.f.pace():
		return v.stay("reason.p15.pace")
	}
	return result{}
}

// pace is the most forward movement in 7 nights: the plan's, never over 1.0 mm.
func (f *Facts) pace() chart.Micrometres {
	if p := f.Plan.Limits.Pace; p > 0 && p < chart.TopPace {
		return p
	}
	return chart.TopPace
}

// P16: the next step passes the comfort limit, the timetable's top, the signed
// ceiling or the travel.
func p16(v assessment) result {
	next := v.s.Left + 1
	lifted := v.granted(next)
	switch {
	case next > v.top:
		return v.stay("reason.p16.ceiling")
	case v.c.Limited && next > v.c.Limit && !lifted:
		return v.stay("reason.p16.comfort")
	case v.lim.Timetable && next > v.lim.TimetableTop && !lifted:
		return v.stay("reason.p16.timetable")
	}
	return result{}
}

// P17: after at least 2.0 mm, no fall of 25 % between four reports from well
// behind and the newest four; unknown counts as no fall.
func p17(v assessment) result {
	step := v.f.Appliance.Step
	if step <= 0 || v.timetabled() || v.granted(v.s.Left+1) {
		return result{}
	}
	behind := v.s.Left - chart.Steps((NoGain+step-1)/step)
	if behind < 0 {
		return result{}
	}
	var then, now pool
	by, least := v.f.Baseline.Reporter, v.f.least()
	for at := behind; at >= 0 && !then.full(); at-- {
		v.c.scores(&then, at, by, v.night, least)
	}
	for at := behind + 1; at < v.s.Left-1 && !then.full(); at++ {
		v.c.scores(&then, at, by, v.night, least)
	}
	for at := v.s.Left; at >= 0 && !now.full(); at-- {
		v.c.scores(&now, at, by, v.night, least)
	}
	if then.full() && now.full() && then.sum > 0 && chart.TenthsPercent*now.sum <= (chart.TenthsPercent-LeastFall)*then.sum {
		return result{}
	}
	return v.stay("reason.p17")
}

// P18: nothing above: one step forward, or ready for a person's release.
func p18(v assessment) result {
	if v.waits() {
		return v.stay("reason.p18.ready")
	}
	return result{chart.Forward, v.s.Left + 1, "reason.p18"}
}

// waits reports whether the next step is one that a person releases, and has not.
func (v *assessment) waits() bool { return v.lim.ReleaseByHand && v.c.Freed != v.s.Left+1 }
