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

// tooLoud is P03 beyond its advice: snoring that had settled is back.
func tooLoud(v assessment, out []redflag.Raised) []redflag.Raised {
	if v.state < chart.Steady || v.state > chart.Recall || !v.returned() {
		return out
	}
	v.c.SnoreOn = v.night
	return append(out, notice(P03, practice.Clinician))
}

// tooFar is P06 beyond its advice: above the ceiling or the travel is a flag.
func tooFar(v assessment, out []redflag.Raised) []redflag.Raised {
	if v.s.High <= v.top {
		return out
	}
	return v.c.raiseRuled(&v.f, out, "setting.above", v.night, v.night+1)
}

// hold is P13 beyond its advice: nothing more is stepped towards, and the test
// is to be arranged. A sore morning of the same evening comes first.
func hold(v assessment, out []redflag.Raised) []redflag.Raised {
	if v.fired.Has(P07) {
		return out
	}
	v.c.walk(chart.Holding)
	role := practice.Assistant // arrange the test
	if v.noBetter() {
		role = practice.Clinician
	}
	return append(out, notice(P13, role))
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
	c, hit := v.c, v.soreNight()
	again, known := v.soreAgain(hit), c.LastHit == hit
	under := c.OnPath()
	kept := under >= chart.Holding && under <= chart.Recall
	start := v.atStart()
	c.LastHit = hit
	if !known {
		if start {
			c.StartHits = min(c.StartHits, 250) + 1
		}
		if under == chart.Resting {
			c.RestHits = min(c.RestHits, 250) + 1
		} else {
			c.RestHits = 1
		}
	}
	bite := v.last != nil && v.last.NotBack()
	switch {
	case again:
		return c.raiseRuled(&v.f, out, "sore.again", v.night, v.night+1)
	case start:
		out = c.raiseRuled(&v.f, out, "sore.start", v.night, v.night+1)
	case bite:
		out = c.raiseRuled(&v.f, out, "bite.notback", v.night, v.night+1)
	}
	if kept {
		out = append(out, notice(P07, practice.Clinician))
	} else {
		to := chart.Stepping
		if start || under == chart.Settling || under == chart.Resting && c.RestTo == chart.Settling {
			to = chart.Settling
		}
		c.rest(v.night, to, v.backTo())
	}
	c.Acted = v.night
	if start || known {
		return out
	}
	if from := v.s.High; c.Backed.has(from) {
		limit := from - 1
		if v.hasGood {
			limit = min(limit, v.good)
		}
		limit = max(limit, 0)
		if !c.Limited || limit < c.Limit || c.GrantTo > 0 {
			c.Limited, c.Limit = true, limit
		}
		c.GrantTo, c.GrantUntil, c.GrantBy = 0, 0, ""
		out = append(out, notice(P07, practice.Clinician))
	} else {
		c.Backed.add(from)
	}
	return out
}

// rest begins a rest: the interval is doubled until a comfortable night one
// step further than where it rests, its worn nights counted from now.
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
	c.Unsure |= 1
	if v.underway() && bits.OnesCount16(v.unsure&(1<<LapseNights-1)) >= 7 && v.night-c.UnsureOn >= LapseNights {
		c.UnsureOn = v.night
		out = append(out, notice(P11, practice.Clinician))
	}
	return out
}

// noBetter reports whether the last weekly answers say that symptoms persist
// although snoring has settled: sleepiness no lower than at the start, pauses,
// morning headache.
func (v *assessment) noBetter() bool {
	for i := v.c.index(v.night); i >= 0; i-- {
		e := &v.c.Nights[i]
		if e.V[chart.Sleepiness] == chart.Unknown && e.V[chart.Pauses] == chart.Unknown &&
			e.V[chart.Headache] == chart.Unknown {
			continue
		}
		base := v.f.Baseline.Sleepy
		return e.V[chart.Pauses].Is(chart.Yes) || e.V[chart.Headache].Is(chart.Yes) || base.AtLeast(1) &&
			e.V[chart.Sleepiness].AtLeast(base.N())
	}
	return false
}

// returned reports whether snoring that had settled is back: the newest four
// reports of the plan's reporter are over target. Told once in 28 nights.
func (v *assessment) returned() bool {
	if v.c.SnoreOn != 0 && v.night-v.c.SnoreOn < civil.Date(len(v.c.Nights)) {
		return false
	}
	var p pool
	for i := v.c.index(v.night) - 1; i >= 0 && !p.full(); i-- {
		if n, ok := v.c.Nights[i].Snored(v.f.Baseline.Reporter); ok {
			p.add(n)
		}
	}
	return p.full() && p.sum > PoolNights*int(v.lim.Target)
}
