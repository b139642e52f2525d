package pacing

import (
	"duskdawn/flows/chart"
)

// The rows that say whether a step is due: settled, heard enough, time, room,
// and whether steps still help.

// The numbers of the reports, and of steps that help (P13, P14, P17).
const (
	ReportNights                   = 14   // nights whose reports count
	NoGain       chart.Micrometres = 3000 // the depth after which the newest reports must be lower than the first
	gainShare                      = 80   // per cent of the first reports that the newest may be at most, where the plan says none
	GainEvenings                   = 4
	LeastFall                      = 250 // of an outcome, tenths of a per cent: PMC8726364 table 3
)

// P13: snoring settled at this setting: hold. A grant or an order goes past it
// up to the setting it names; a self-score never settles.
func p13(v assessment) result {
	if v.under != chart.Settling && v.under != chart.Stepping || v.timetabled() || v.lifted() || !v.settledSnoring() {
		return result{}
	}
	return v.stay("reason.p13")
}

// settledSnoring: the newest four usable reports at this setting, of 14 nights,
// have a mean at or under target and none is loud, nor is one of the last week.
func (v *assessment) settledSnoring() bool {
	if v.f.Baseline.Reporter.Is(chart.ReporterSelf) {
		return false
	}
	var p pool
	for e := range v.nights {
		score, ok := v.report(e)
		if !ok || e.Low != v.s.Left {
			continue
		}
		if score >= v.loud() && (!p.full() || e.Night >= v.night-WeekNights) {
			return false
		}
		p.add(score)
	}
	return p.full() && p.sum <= PoolNights*int(v.lim.Target)
}

// report is the night's snoring score where the table may go by it.
func (v *assessment) report(e *chart.Entry) (int, bool) {
	return e.Usable(v.f.Baseline.Reporter, v.f.least())
}

// loud is the score of a loud night.
func (v *assessment) loud() int {
	if v.lim.Loud > 0 {
		return int(v.lim.Loud)
	}
	return 7
}

// nights yields the last 14 nights, the newest first.
func (v *assessment) nights(yield func(*chart.Entry) bool) {
	i := v.c.index(v.night)
	for n := i - 1; n >= 0 && n >= i-ReportNights; n-- {
		if !yield(&v.c.Nights[n]) {
			return
		}
	}
}

// elsewhere reports whether a night was surely not at this setting: either side
// was confirmed somewhere else, so that it came here after it.
func (v *assessment) elsewhere(e *chart.Entry) bool {
	left, right := e.V[chart.SettingLeft], e.V[chart.SettingRight]
	if v.f.Appliance.TwoSided && left.Known() && right.Known() && right.N()-left.N() != int(v.f.Appliance.Offset) {
		return true
	}
	return e.Low > v.s.Left || e.High < v.s.Left
}

// P14: too little heard at this setting, since it came here, to say that snoring
// persists: judged by the newest four nights that were heard, and by no others. One
// loud night of four neither buys a step nor hides three quiet ones.
func p14(v assessment) result {
	if v.timetabled() || v.lifted() {
		return result{}
	}
	var n, sum, louds, loudSum, loudest int
	for e := range v.nights {
		if n == PoolNights || v.elsewhere(e) || e.Night < v.c.Visited {
			break
		}
		score, ok := v.report(e)
		if !ok {
			continue
		}
		n++
		sum += score
		if score >= v.loud() {
			louds++
			loudSum += score
			loudest = max(loudest, score)
		}
	}
	target := int(v.lim.Target)
	quiet := sum <= n*target
	switch {
	case n < chart.FewReports:
		if v.persists() {
			return result{}
		}
		return v.stay("reason.p14.few")
	case n < PoolNights:
		quiet = quiet || louds < n && sum-loudSum <= (n-louds)*target
	case louds > 0:
		quiet = sum-loudest <= (n-1)*target
	}
	if quiet {
		return v.stay("reason.p14")
	}
	return result{}
}

// persists reports whether the newest three usable reports, here or at most 0.5 mm
// behind, are all above target.
func (v *assessment) persists() bool {
	step := v.f.Appliance.Step
	if step <= 0 {
		return false
	}
	from, n := v.s.Left-chart.Steps(chart.NearReports/step), 0
	for e := range v.nights {
		score, ok := v.report(e)
		if !ok || e.Low < from || e.Low > v.s.Left {
			continue
		}
		if score <= int(v.lim.Target) {
			return false
		}
		if n++; n == chart.FewReports {
			return true
		}
	}
	return false
}

// P15: too soon: worn nights at this setting since the last arrival, or the way
// of the last 7 nights with tonight's step. Fitting day is no arrival, until a
// gap begins the count anew.
func p15(v assessment) result {
	need := int(max(v.lim.Interval, 1))
	if v.doubled {
		need = v.slower(need)
	}
	switch {
	case (v.s.Arrived != 0 || v.gapped) && v.worn < need:
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

// P16: the next step passes the comfort limit, the timetable's top, the ordered
// setting, the signed ceiling or the travel.
func p16(v assessment) result {
	next := v.s.Left + 1
	granted := v.granted(next)
	switch {
	case next > v.top:
		return v.stay("reason.p16.ceiling")
	case v.ordered():
		return v.stay("reason.p16.order")
	case v.c.Limited && next > v.c.Limit && !granted:
		return v.stay("reason.p16.comfort")
	case v.lim.Timetable && next > v.lim.TimetableTop && !granted:
		return v.stay("reason.p16.timetable")
	}
	return result{}
}

// ordered reports whether it stands where an order leads: a limit until a grant,
// another order or a visit.
func (v *assessment) ordered() bool { return v.c.OrderTo > 0 && v.s.Left == v.c.OrderTo }

// P17: it cannot be said that steps help: at least 3.0 mm further than the lowest
// setting with four reports at or under it, the newest four are above 80 % of
// those, or no lower than they were 3.0 mm ago.
func p17(v assessment) result {
	step := v.f.Appliance.Step
	if step <= 0 || v.timetabled() || v.lifted() {
		return result{}
	}
	behind := v.s.Left - chart.Steps((NoGain+step-1)/step)
	var p pool
	lowest := chart.Steps(0)
	for ; lowest <= behind; lowest++ {
		if v.hear(&p, lowest); p.full() {
			break
		}
	}
	if lowest > behind {
		return result{} // too little was heard so far behind to compare with
	}
	first, then, now := v.downwards(lowest), v.downwards(behind), v.downwards(v.s.Left)
	if 100*now > v.gain()*first || now >= then {
		return v.stay("reason.p17")
	}
	return result{}
}

// gain is the share of the first reports that the newest may be at most, in per cent.
func (v *assessment) gain() int {
	if g := v.lim.GainShare; g.Known() {
		return min(max(g.N(), 70), 90)
	}
	return gainShare
}

// hear adds the newest reports at a setting to a pool.
func (v *assessment) hear(p *pool, at chart.Steps) {
	v.c.scores(p, at, v.f.Baseline.Reporter, v.night, v.f.least())
}

// downwards sums the newest four reports, pooled from a setting downwards.
func (v *assessment) downwards(at chart.Steps) int {
	var p pool
	for ; at >= 0 && !p.full(); at-- {
		v.hear(&p, at)
	}
	return p.sum
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
