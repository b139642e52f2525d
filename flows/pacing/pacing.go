package pacing

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// Advise commits the night's advice. Called again for the same night, only a
// more cautious one replaces it, with the next number; what was raised, rested
// or held before stays so.
func (c *Course) Advise(f Facts, night civil.Date) (chart.Advice, []redflag.Raised) {
	f.Whole()
	if c.Reach(&f, night) < 0 || c.Advices > 0 && night < c.Advice.Night {
		return c.Advice, nil // a night long gone: nothing is advised of it
	}
	again := c.Advice.Night == night && c.EveOn == night && c.Advice.Action != chart.NoAction
	if !again {
		c.Eve, c.EveOn = c.position(), night
	}
	v := c.assess(f, night)
	a := v.advise()
	if again && !a.SaferThan(&c.Advice) {
		return c.Advice, nil
	}
	if again && c.High > a.To && (a.Action == chart.Stay || a.Action == chart.GoBack) {
		a.From = c.High // what was told already may have been done: the way back counts from there
		if a.Action == chart.Stay && !v.shown.back {
			a.Reason = "reason.setback"
		}
		a.Action = chart.GoBack
	}
	if again && a.Action == chart.LeaveOut && c.SetOn == night && !c.InDoubt && c.Low == c.High && c.Low <= v.top {
		a.From, a.To = c.Low, c.Low // left out where it was said to stand by now
	}
	c.Advices++
	a.Number = c.Advices
	v.again, v.did = again, a.Action
	out := c.effects(&v, &a, again)
	c.follow(&v, &a)
	c.Advice = a
	e := &c.Nights[c.index(night)]
	e.Action, e.To, e.Rule = a.Action, a.To, a.Rule
	e.Low, e.High = c.Low, c.High
	if !again {
		e.Asked |= uint16(f.under())
	}
	return a, out
}

// Preview is what Advise would say; nothing is kept.
func (c *Course) Preview(f Facts, night civil.Date) chart.Advice {
	f.Whole()
	if c.Advice.Night == night && c.Advice.Action != chart.NoAction {
		return c.Advice
	}
	d := *c
	if d.Reach(&f, night) < 0 {
		return c.Advice
	}
	v := d.assess(f, night)
	return v.advise()
}

// advise runs the table and the guard.
func (v *assessment) advise() chart.Advice {
	r := v.judge()
	a := chart.Advice{Night: v.night, Action: r.do, From: v.s.Left, To: r.to, Rule: v.rule, Fired: v.fired,
		Plan: v.f.Plan.Rev, Reason: r.why, Ready: v.rule == P18 && r.do == chart.Stay}
	if r.do == chart.GoBack {
		a.From = v.s.High
	}
	if a.Action == chart.LeaveOut || a.Action == chart.Stay {
		a.From = a.To
	}
	if !v.guard(&a) {
		a.Action, a.From, a.To, a.Reason, a.Ready, a.Breach = chart.Stay, v.s.Left, v.s.Left, "reason.breach", false, true
	}
	return a
}

// follow moves what is known of the position on: an advice widens where it may
// stand, only a confirmation moves it.
func (c *Course) follow(v *assessment, a *chart.Advice) {
	c.Low, c.High = min(c.Low, a.To), max(c.High, a.To)
	switch a.Action {
	case chart.Forward, chart.GoBack:
		c.Advised = a.To
	case chart.LeaveOut:
		if v.s.SetOn >= v.night-1 && !v.again { // an earlier advice of this evening may have been followed
			c.SetOn = max(c.SetOn, v.night) // nothing can be turned tonight, nothing is asked
		}
	case chart.Stay:
		if !v.doubt && !a.Breach {
			c.Advised = a.To
		}
	}
}

// effects applies what the rows that spoke do besides the advice, and says what
// a person must look at.
func (c *Course) effects(v *assessment, a *chart.Advice, again bool) (out []redflag.Raised) {
	if was := c.OnPath(); v.under != was && (v.onPath() || c.State == chart.Paused || c.State == chart.Stopped) {
		c.walk(v.under) // a rest, or the settling, is complete
		if was == chart.Resting {
			c.Rested = v.night
		}
	}
	c.Doubled, c.Unsettled = v.doubled, c.Unsettled && !v.settle()
	if a.Breach {
		c.Breaches++
		out = append(out, redflag.Notice("guard", practice.Clinician))
	}
	if !again {
		c.Unsure <<= 1
	}
	for id := P01; id < numRules; id++ {
		row := &table[id]
		if !v.fired.Has(id) {
			if !again {
				c.Runs[id] = 0
			}
			continue
		}
		if !again || c.Runs[id] == 0 {
			c.Runs[id] = min(c.Runs[id], 250) + 1
		}
		if row.then != nil {
			out = row.then(*v, out)
		}
		if !again && row.after > 0 && (row.always || v.underway()) && due(c.Runs[id], row.after) &&
			(row.known == nil || !row.known(*v)) {
			said := notice(id, row.role)
			said.Rings = row.rings != nil && row.rings(*v)
			out = append(out, said)
		}
	}
	if !again {
		out = c.still(v, out)
	}
	return out
}

// StillNights is how many evenings may pass without a move, a notice or an act of
// the desk: rows that count evenings in a row never come to their count where
// two kinds of night take turns.
const StillNights = 14

// still tells the desk of so many evenings, whatever the rows were, and weekly
// after that.
func (c *Course) still(v *assessment, out []redflag.Raised) []redflag.Raised {
	if !v.underway() || len(out) > 0 {
		c.Idle = 0
		return out
	}
	if c.Idle = min(c.Idle, 250) + 1; due(c.Idle, StillNights) {
		out = append(out, redflag.Notice("still", practice.Assistant))
	}
	return out
}

// due reports whether a run of evenings is to be told: at its bound and every
// week after, so that no stay repeats without a person.
func due(run, after uint8) bool { return run >= after && (run-after)%WeekNights == 0 }

// notice tells the desk of a rule, without a flag.
func notice(id chart.Rule, role practice.Role) redflag.Raised { return redflag.Notice(id.ID(), role) }
