package pacing

import (
	"math/bits"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// What follows when a row speaks, besides its advice: each function is told of
// by its row, and adds to what was raised.

// held is P03 beyond its advice: what had settled is back; where it holds, the test
// is asked for again each week from the fourteenth evening on.
func held(v assessment, out []redflag.Raised) []redflag.Raised {
	c := v.c
	switch {
	case v.state == chart.Holding && !v.again:
		if c.HoldFrom == 0 {
			c.HoldFrom = v.night
		}
		if n := v.night - c.HoldFrom - (StillNights - 1); n >= 0 && n%WeekNights == 0 {
			out = append(out, v.arrange())
		}
	case v.state >= chart.Steady && v.state <= chart.Recall:
		out = v.relapsed(out)
	}
	return out
}

// arrange asks the desk to arrange the test, a clinician where symptoms are no better.
func (v *assessment) arrange() redflag.Raised {
	if v.noBetter() {
		return notice(P13, practice.Clinician)
	}
	return notice(P13, practice.Assistant)
}

// doubted is P05 beyond its advice: where no step is worked towards nobody is asked
// each evening where it stands, so that only a doubt counts, or two sides that differ.
func doubted(v assessment, out []redflag.Raised) []redflag.Raised {
	if !v.underway() && !disputed(v) {
		v.c.Runs[P05] = 0
	}
	return out
}

// disputed reports whether it was said where it stands, and it cannot be so: on the second such evening the desk calls.
// Where nothing was said, the count is asked for again, and the digest has it.
func disputed(v assessment) bool { return v.s.InDoubt || v.differ() }

// tooFar is P06 beyond its advice: above the ceiling or the travel is a flag.
func tooFar(v assessment, out []redflag.Raised) []redflag.Raised {
	if v.s.High <= v.top {
		return out
	}
	return v.c.raiseRuled(&v.f, out, "setting.above", v.night, v.night+1)
}

// hold is P13 beyond its advice: nothing more is stepped towards, and the test
// is to be arranged; only where the advice is a stay. A sore morning of the same
// evening comes first.
func hold(v assessment, out []redflag.Raised) []redflag.Raised {
	if v.did != chart.Stay || v.fired.Has(P07) || v.c.OnPath() == chart.Holding {
		return out
	}
	v.c.walk(chart.Holding)
	v.c.HoldFrom = v.night
	return append(out, v.arrange())
}

// atLimit is P16 beyond its advice: where an order leads it holds; any other limit
// a clinician reviews, once a setting.
func atLimit(v assessment, out []redflag.Raised) []redflag.Raised {
	c := v.c
	switch {
	case v.ordered():
		if v.under != chart.Settling && v.under != chart.Stepping {
			return out
		}
		return hold(v, out)
	case !v.underway() || c.Reviewed.has(v.s.Left):
		return out
	}
	c.Reviewed.add(v.s.Left)
	return append(out, notice(P16, practice.Clinician))
}

// flat is P17 beyond its advice: the fourth such evening at a setting, and each
// seventh after it, a clinician looks.
func flat(v assessment, out []redflag.Raised) []redflag.Raised {
	c := v.c
	if v.again || !v.underway() {
		return out
	}
	if c.Flat = min(c.Flat, 250) + 1; due(c.Flat, GainEvenings) {
		out = append(out, notice(P17, practice.Clinician))
	}
	return out
}

// restLong is P09 beyond its advice: ten nights after the rest last began.
func restLong(v assessment, out []redflag.Raised) []redflag.Raised {
	if n := v.night - v.c.RestFrom - RestLong; !v.again && n >= 0 && n%WeekNights == 0 {
		out = append(out, notice(P09, practice.Clinician))
	}
	return out
}

// release is P18 beyond its advice: a step is ready for a person's release.
func release(v assessment, out []redflag.Raised) []redflag.Raised {
	if v.waits() && due(v.c.Runs[P18], 1) {
		out = append(out, notice(P18, practice.Clinician))
	}
	return out
}

// goBack is P07 beyond its advice: rest, count, flags, comfort limit.
func goBack(v assessment, out []redflag.Raised) []redflag.Raised {
	c, s := v.c, &v.sore
	c.LastHit = s.hit
	if s.known {
		return out
	}
	c.judged(s.hit, chart.WasSore)
	under, bite := c.OnPath(), v.last != nil && v.last.NotBack()
	if !s.kept {
		c.RestHits = uint8(min(s.nth, 250))
	}
	if s.start {
		c.StartHits = min(c.StartHits, 250) + 1
	}
	switch {
	case s.nth >= lastSore:
		out = c.raiseRuled(&v.f, out, "sore.again", v.night, v.night+1)
	case s.start:
		out = c.raiseRuled(&v.f, out, "sore.start", v.night, v.night+1)
	case s.nth > 1:
		out = c.raiseRuled(&v.f, out, "sore.twice", v.night, v.night+1)
	}
	if bite {
		out = c.raiseRuled(&v.f, out, "bite.notback", v.night, v.night+1)
	}
	if v.last != nil && (v.last.V[chart.Where].Is(chart.SiteTooth) || v.last.V[chart.Where].Is(chart.SiteGum)) {
		out = append(out, redflag.Notice("fit", practice.Clinician)) // not the jaw: how it fits
	}
	c.Acted = v.night // a leaving out, too: who releases it has judged the mornings so far
	switch {
	case s.nth >= lastSore:
		if s.start && !s.kept { // once it is worn again, it settles anew
			if c.RestTo = chart.Settling; under == chart.Stepping {
				c.walk(chart.Settling)
			}
			c.unsettle(v.night)
		}
		return out
	case s.kept:
		out = append(out, notice(P07, practice.Clinician))
	default:
		to := chart.Stepping
		if s.start || under == chart.Settling || under == chart.Resting && c.RestTo == chart.Settling {
			to = chart.Settling
		}
		c.rest(v.night, to, s.to)
	}
	if s.start {
		return out
	}
	return v.limit(out)
}

// bitten is P08 beyond its advice: the morning counts among those of seven, whatever is
// said of it later.
func bitten(v assessment, out []redflag.Raised) []redflag.Raised {
	v.c.judged(v.night-1, chart.WasAway)
	return out
}

// judged notes what an evening made of a morning.
func (c *Course) judged(night civil.Date, as uint16) {
	if i := c.index(night); i >= 0 {
		c.Nights[i].Asked |= as
	}
}

// limit notes every setting that a go-back may have left. Left a second time, one
// makes the comfort limit, under it and at most the last comfortable one.
func (v *assessment) limit(out []redflag.Raised) []redflag.Raised {
	c, twice, limit := v.c, false, v.s.High
	for at := max(v.s.Low, 1); at <= v.s.High; at++ {
		if c.Backed.has(at) {
			limit, twice = min(limit, at-1), true
		}
		c.Backed.add(at)
	}
	if !twice {
		return out
	}
	if v.hasGood {
		limit = min(limit, v.good)
	}
	limit = max(limit, 0)
	if !c.Limited || limit < c.Limit || c.GrantTo > 0 {
		c.Limited, c.Limit = true, limit
	}
	c.ungrant()
	return append(out, notice(P07, practice.Clinician))
}

// rest begins a rest: the interval is longer until a comfortable night one step
// further than where it rests, its worn nights counted from now.
func (c *Course) rest(night civil.Date, then chart.State, at chart.Steps) {
	if c.OnPath() != chart.Resting {
		c.walk(chart.Resting)
	}
	c.RestFrom, c.RestTo = night, then
	c.Doubled, c.DoubledTo = true, at+1
	c.arrive(night)
	if then == chart.Settling {
		c.unsettle(night)
	}
}

// unsure is P11 beyond its advice.
func unsure(v assessment, out []redflag.Raised) []redflag.Raised {
	c := v.c
	if v.lapsed() && !c.Lapsed {
		c.Lapsed = true
		out = append(out, notice(P11, practice.Clinician))
	}
	if leftOut(v) {
		return out
	}
	c.Unsure |= 1
	if v.underway() && bits.OnesCount16(v.unsure&(1<<LapseNights-1)) >= 7 && v.night-c.UnsureOn >= LapseNights {
		c.UnsureOn = v.night
		out = append(out, notice(P11, practice.Clinician))
	}
	return out
}

// noBetter reports whether symptoms persist although snoring has settled: the
// newest weekly sleepiness is not below what it was at the start, or none was told;
// or the newest weekly answers tell of pauses or of headaches.
func (v *assessment) noBetter() bool {
	weekly := false
	for i := v.c.index(v.night); i >= 0; i-- {
		e := &v.c.Nights[i]
		if !weekly && (e.V[chart.Pauses].Known() || e.V[chart.Headache].Known() || e.V[chart.Sleepiness].Known()) {
			if weekly = true; e.V[chart.Pauses].Is(chart.Yes) || e.V[chart.Headache].Is(chart.Yes) {
				return true
			}
		}
		if now := e.V[chart.Sleepiness]; now.Known() {
			before := v.f.Baseline.Sleepy
			return !before.Known() || now.AtLeast(before.N())
		}
	}
	return true
}

// returned reports whether the newest four reports of the plan's reporter are over
// target.
func (v *assessment) returned() bool {
	var p pool
	for i := v.c.index(v.night) - 1; i >= 0 && !p.full(); i-- {
		if n, ok := v.c.Nights[i].Snored(v.f.Baseline.Reporter); ok && !v.c.Nights[i].Aside() {
			p.add(n)
		}
	}
	return p.full() && p.sum > PoolNights*int(v.lim.Target)
}
