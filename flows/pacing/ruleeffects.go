package pacing

import (
	"math/bits"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// effect applies what one row does besides its advice.
func (c *Course) effect(v *assessment, a *chart.Advice, row *ruleRow, out []redflag.Raised) []redflag.Raised {
	switch row.ID {
	case 3:
		if v.state >= chart.Steady && v.state <= chart.Recall && v.returned() {
			c.SnoreOn = v.night
			out = append(out, notice("P03", practice.Clinician))
		}
	case 6:
		if v.s.High > v.top {
			out = c.own(v, "setting.above", v.night+1, out)
		}
	case 7:
		out = c.goBack(v, out)
	case 11:
		out = c.unsure(v, out)
	case 13:
		if !v.fired.Has(7) {
			c.walk(chart.Holding)
			role := practice.Assistant // arrange the test
			if v.noBetter() {
				role = practice.Clinician
			}
			out = append(out, notice("P13", role))
		}
	case 16, 17:
		if a.Rule >= 16 && v.pacing() && !c.Reviewed.has(v.s.Left) {
			if row.ID == 17 || !v.fired.Has(17) {
				c.Reviewed.add(v.s.Left)
			}
			out = append(out, notice(row.ID.ID(), practice.Clinician))
		}
	case 18:
		if a.Ready && due(c.Runs[18], 1) {
			out = append(out, notice("P18", practice.Clinician))
		}
	}
	return out
}

// goBack is P07 beyond its advice: rest, count, flags, comfort limit.
func (c *Course) goBack(v *assessment, out []redflag.Raised) []redflag.Raised {
	hit := v.hit()
	again, known := v.again(hit), c.LastHit == hit
	under := c.Under()
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
		return c.own(v, "sore.again", v.night+1, out)
	case start:
		out = c.own(v, "sore.start", v.night+1, out)
	case bite:
		out = c.own(v, "bite.notback", v.night+1, out)
	}
	if kept {
		out = append(out, notice("P07", practice.Clinician))
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
		out = append(out, notice("P07", practice.Clinician))
	} else {
		c.Backed.add(from)
	}
	return out
}

// rest begins a rest: the interval is doubled until a comfortable night one
// step further than where it rests, its worn nights counted from now.
func (c *Course) rest(night civil.Date, then chart.State, at chart.Steps) {
	if c.Under() != chart.Resting {
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
func (c *Course) unsure(v *assessment, out []redflag.Raised) []redflag.Raised {
	if v.lapsed() && !c.Lapsed {
		c.Lapsed = true
		out = append(out, notice("P11", practice.Clinician))
	}
	nights := (c.Unsure<<1 | 1) & (1<<14 - 1)
	if v.pacing() && bits.OnesCount16(nights) >= 7 && v.night-c.UnsureOn >= LapseNights {
		c.UnsureOn = v.night
		out = append(out, notice("P11", practice.Clinician))
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
