package pacing

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/redflag"
)

// Staff acts on a course. Each is total: it is done, or refused with a reason
// and nothing is changed. Who may do what is checked before. Their night is
// the coming one (Plan.Coming): they are known to that evening's advice.

// Refusal is the key of the text that says why a staff act was not done; empty
// where it was.
type Refusal string

// The refusals.
const (
	Done         Refusal = ""
	RefuseLimits Refusal = "refuse.limits" // outside 0..ceiling and travel: that needs a new revision of the plan
	RefuseGood   Refusal = "refuse.good"   // above the last comfortable setting
	RefuseFlag   Refusal = "refuse.flag"   // a flag is open
	RefuseNone   Refusal = "refuse.none"   // there is nothing of the kind
	RefuseState  Refusal = "refuse.state"  // not in this state
	RefuseBack   Refusal = "refuse.back"   // a grant or an order to no further than it is
)

// Begin starts pacing at the fitting-day setting, state settling.
func (c *Course) Begin(f Facts, night civil.Date) {
	f.Whole()
	offset := f.offset()
	*c = Course{State: chart.Settling, Right: offset, SetOn: night - 1, SettleFrom: night, Seen: night, Began: night,
		Named: night, Flags: c.Flags}
	c.Reach(&f, night)
	c.restate()
}

// Visit records that the setting is now to; counts restart, the advice of
// tonight is void. It is a clinician contact.
func (c *Course) Visit(f Facts, night civil.Date, to chart.Steps) Refusal {
	f.Whole()
	if to < 0 || to > f.top() {
		return RefuseLimits
	}
	i := c.Reach(&f, night)
	if i < 0 {
		return RefuseNone
	}
	c.Left, c.Right, c.Low, c.High, c.SetOn, c.InDoubt, c.Advised = to, to+f.offset(), to, to, night, false, to
	e := &c.Nights[i]
	e.V[chart.SettingLeft] = chart.Num(int(to))
	if f.Appliance.TwoSided {
		e.V[chart.SettingRight] = chart.Num(int(c.Right))
	}
	e.Low, e.High = to, to
	c.arrive(night)
	if c.OnPath() == chart.Settling || c.RestTo == chart.Settling {
		c.unsettle(night)
	}
	if c.OnPath() == chart.Resting {
		c.RestFrom = night
	}
	c.Visited, c.Acted, c.StartHits, c.Freed, c.OrderTo = night, night, 0, 0, 0
	c.named(night)
	c.EveOn, c.Advice.Action = 0, chart.NoAction
	return Done
}

// named notes that a person has named the setting, and was in contact.
func (c *Course) named(night civil.Date) {
	c.Named, c.Lapsed = night, false
	c.Contact(night)
}

// Release releases a flag, or all of them where id is empty. Who was settling,
// stepping or resting rests at a setting not above the last comfortable one,
// with counts at zero and the interval doubled; others keep their state.
func (c *Course) Release(f Facts, night civil.Date, id string, to chart.Steps) Refusal {
	f.Whole()
	if to < 0 || to > f.top() {
		return RefuseLimits
	}
	if to > max(c.releasable(&f), 0) {
		return RefuseGood
	}
	return c.release(&f, night, id, to)
}

// ReleaseHere releases without naming a setting: where it stands, and at most
// at the last comfortable one.
func (c *Course) ReleaseHere(f Facts, night civil.Date, id string) Refusal {
	f.Whole()
	return c.release(&f, night, id, max(min(c.Low, c.releasable(&f), f.top()), 0))
}

func (c *Course) release(f *Facts, night civil.Date, id string, to chart.Steps) Refusal {
	kept := make([]redflag.Flag, 0, len(c.Flags))
	for _, flag := range c.Flags {
		if id != "" && flag.ID != id {
			kept = append(kept, flag)
		}
	}
	if len(kept) == len(c.Flags) {
		return RefuseNone
	}
	c.Reach(f, night)
	c.Flags = kept
	c.restate()
	c.Advised = min(to, c.High)
	if under := c.OnPath(); under <= chart.Resting {
		then := chart.Stepping
		if under == chart.Settling || under == chart.Resting && c.RestTo == chart.Settling {
			then = chart.Settling
		}
		c.rest(night, then, c.Advised)
		c.RestHits = 0
	}
	c.Acted, c.StartHits = night, 0
	c.named(night)
	return Done
}

// Grant lifts the comfort limit, the timetable's top, P13 and P17 up to a
// setting until a night (0: no end), never the signed ceiling or the travel.
// Who was holding steps on.
func (c *Course) Grant(f Facts, night civil.Date, to chart.Steps, until civil.Date, by string) Refusal {
	f.Whole()
	if to < 1 || to > f.top() {
		return RefuseLimits
	}
	if to <= c.Left || until != 0 && until < night {
		return RefuseBack
	}
	c.GrantTo, c.GrantUntil, c.GrantBy = to, until, by
	c.Reviewed = marks{}
	if c.OnPath() == chart.Holding {
		c.walk(chart.Stepping)
	}
	c.lift(night)
	return Done
}

// lift ends a stay that waits for a person.
func (c *Course) lift(night civil.Date) {
	c.Lapsed = false
	c.Named = night
	c.Contact(night)
}

// Order steps on to a setting, P13 off until it is reached: out of holding,
// testing, steady or recall.
func (c *Course) Order(f Facts, night civil.Date, to chart.Steps) Refusal {
	f.Whole()
	switch under := c.OnPath(); {
	case to < 1 || to > f.top():
		return RefuseLimits
	case under < chart.Holding && under != chart.Stepping:
		return RefuseState
	case to <= c.Left:
		return RefuseBack
	}
	c.OrderTo = to
	c.walk(chart.Stepping)
	c.lift(night)
	return Done
}

// Step releases the one step that waits for a person; it is advised on the
// next evening that nothing else holds.
func (c *Course) Step(f Facts, night civil.Date) Refusal {
	f.Whole()
	switch {
	case c.Open():
		return RefuseFlag
	case c.Left+1 > f.top():
		return RefuseLimits
	}
	c.Freed = c.Left + 1
	c.Contact(night)
	return Done
}

// Testing says that a sleep test with the appliance in place is arranged.
func (c *Course) Testing(night civil.Date) Refusal {
	if c.State == chart.Ended || c.State < chart.Settling {
		return RefuseState
	}
	c.walk(chart.Testing)
	c.Contact(night)
	return Done
}

// Tested records the setting worn at a test. The state stays testing until a
// person says what follows.
func (c *Course) Tested(night civil.Date, setting chart.Steps) Refusal {
	if c.State == chart.Ended || c.State < chart.Settling {
		return RefuseState
	}
	if under := c.OnPath(); under < chart.Testing {
		c.walk(chart.Testing)
	}
	c.TestAt, c.TestOn = setting, night
	c.Contact(night)
	return Done
}

// Steady says that the position is proved. It needs a recorded test.
func (c *Course) Steady(night civil.Date) Refusal {
	switch {
	case c.State == chart.Ended || c.State < chart.Settling:
		return RefuseState
	case c.TestOn == 0:
		return RefuseNone
	}
	c.walk(chart.Steady)
	c.Contact(night)
	return Done
}

// Recall moves on to yearly recall.
func (c *Course) Recall(night civil.Date) Refusal {
	if c.State == chart.Ended || c.OnPath() < chart.Steady {
		return RefuseState
	}
	c.walk(chart.Recall)
	c.Contact(night)
	return Done
}

// Pause stops pacing until Resume. An open E or S flag still shows as stopped.
func (c *Course) Pause() Refusal {
	if c.State < chart.Settling || c.State == chart.Ended {
		return RefuseState
	}
	c.Pausing = true
	c.restate()
	return Done
}

// Resume ends a pause.
func (c *Course) Resume() Refusal {
	if !c.Pausing && c.State != chart.Paused {
		return RefuseNone
	}
	c.Pausing = false
	c.restate()
	return Done
}

// End ends treatment.
func (c *Course) End() Refusal {
	if c.State == chart.Ended {
		return RefuseNone
	}
	if c.State >= chart.Settling {
		c.Path = c.OnPath()
	}
	c.State, c.Pausing = chart.Ended, false
	return Done
}

// Reopen brings an ended or paused course back to where it was on the path.
func (c *Course) Reopen(night civil.Date) Refusal {
	if c.State != chart.Ended {
		return c.Resume()
	}
	c.State = chart.Resting
	if c.Path >= chart.Settling && c.Path <= chart.Recall {
		c.State = c.Path
	}
	c.restate()
	c.Contact(night)
	return Done
}

// Renew takes note of a new revision of the plan: a review may be asked again
// at every setting. Signing is a clinician's act, and no contact by itself.
func (c *Course) Renew(f Facts, night civil.Date) {
	c.Reviewed = marks{}
	c.Freed = 0
}

// Contact records a clinician's contact with the patient.
func (c *Course) Contact(night civil.Date) { c.Seen = max(c.Seen, night) }
