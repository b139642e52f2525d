package flows

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
func (c *Course) Begin(f Facts, night Date) {
	f.whole()
	offset := f.offset()
	*c = Course{State: Settling, Right: offset, SetOn: night - 1, SettleFrom: night, Seen: night, Began: night, Named: night, Flags: c.Flags}
	c.reach(&f, night)
	c.show()
}

// Visit records that the setting is now to; counts restart, the advice of
// tonight is void. It is a clinician contact.
func (c *Course) Visit(f Facts, night Date, to Steps) Refusal {
	f.whole()
	if to < 0 || to > f.top() {
		return RefuseLimits
	}
	i := c.reach(&f, night)
	if i < 0 {
		return RefuseNone
	}
	c.Left, c.Right, c.Low, c.High, c.SetOn, c.InDoubt, c.Advised = to, to+f.offset(), to, to, night, false, to
	e := &c.Nights[i]
	e.V[SettingLeft] = Num(int(to))
	if f.Appliance.TwoSided {
		e.V[SettingRight] = Num(int(c.Right))
	}
	e.Low, e.High = to, to
	c.arrive(night)
	if c.Under() == Settling || c.RestTo == Settling {
		c.unsettle(night)
	}
	if c.Under() == Resting {
		c.RestFrom = night
	}
	c.Visited, c.Acted, c.StartHits, c.Freed, c.OrderTo = night, night, 0, 0, 0
	c.name(night)
	c.EveOn, c.Advice.Action = 0, NoAction
	return Done
}

// name notes that a person has named the setting, and was in contact.
func (c *Course) name(night Date) {
	c.Named, c.Lapsed = night, false
	c.Contact(night)
}

// Release releases a flag, or all of them where id is empty. Who was settling,
// stepping or resting rests at a setting not above the last comfortable one,
// with counts at zero and the interval doubled; others keep their state.
func (c *Course) Release(f Facts, night Date, id string, to Steps) Refusal {
	f.whole()
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
func (c *Course) ReleaseHere(f Facts, night Date, id string) Refusal {
	f.whole()
	return c.release(&f, night, id, max(min(c.Low, c.releasable(&f), f.top()), 0))
}

func (c *Course) release(f *Facts, night Date, id string, to Steps) Refusal {
	kept := make([]Flag, 0, len(c.Flags))
	for _, flag := range c.Flags {
		if id != "" && flag.ID != id {
			kept = append(kept, flag)
		}
	}
	if len(kept) == len(c.Flags) {
		return RefuseNone
	}
	c.reach(f, night)
	c.Flags = kept
	c.show()
	c.Advised = min(to, c.High)
	if under := c.Under(); under <= Resting {
		then := Stepping
		if under == Settling || under == Resting && c.RestTo == Settling {
			then = Settling
		}
		c.rest(night, then, c.Advised)
		c.RestHits = 0
	}
	c.Acted, c.StartHits = night, 0
	c.name(night)
	return Done
}

// Grant lifts the comfort limit, the timetable's top, P13 and P17 up to a
// setting until a night (0: no end), never the signed ceiling or the travel.
// Who was holding steps on.
func (c *Course) Grant(f Facts, night Date, to Steps, until Date, by string) Refusal {
	f.whole()
	if to < 1 || to > f.top() {
		return RefuseLimits
	}
	if to <= c.Left || until != 0 && until < night {
		return RefuseBack
	}
	c.GrantTo, c.GrantUntil, c.GrantBy = to, until, by
	c.Reviewed = marks{}
	if c.Under() == Holding {
		c.walk(Stepping)
	}
	c.lift(night)
	return Done
}

// lift ends a stay that waits for a person.
func (c *Course) lift(night Date) {
	c.Lapsed = false
	c.Named = night
	c.Contact(night)
}

// Order steps on to a setting, P13 off until it is reached: out of holding,
// testing, steady or recall.
func (c *Course) Order(f Facts, night Date, to Steps) Refusal {
	f.whole()
	switch under := c.Under(); {
	case to < 1 || to > f.top():
		return RefuseLimits
	case under < Holding && under != Stepping:
		return RefuseState
	case to <= c.Left:
		return RefuseBack
	}
	c.OrderTo = to
	c.walk(Stepping)
	c.lift(night)
	return Done
}

// Step releases the one step that waits for a person; it is advised on the
// next evening that nothing else holds.
func (c *Course) Step(f Facts, night Date) Refusal {
	f.whole()
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
func (c *Course) Testing(night Date) Refusal {
	if c.State == Ended || c.State < Settling {
		return RefuseState
	}
	c.walk(Testing)
	c.Contact(night)
	return Done
}

// Tested records the setting worn at a test. The state stays testing until a
// person says what follows.
func (c *Course) Tested(night Date, setting Steps) Refusal {
	if c.State == Ended || c.State < Settling {
		return RefuseState
	}
	if under := c.Under(); under < Testing {
		c.walk(Testing)
	}
	c.TestAt, c.TestOn = setting, night
	c.Contact(night)
	return Done
}

// Steady says that the position is proved. It needs a recorded test.
func (c *Course) Steady(night Date) Refusal {
	switch {
	case c.State == Ended || c.State < Settling:
		return RefuseState
	case c.TestOn == 0:
		return RefuseNone
	}
	c.walk(Steady)
	c.Contact(night)
	return Done
}

// Recall moves on to yearly recall.
func (c *Course) Recall(night Date) Refusal {
	if c.State == Ended || c.Under() < Steady {
		return RefuseState
	}
	c.walk(Recall)
	c.Contact(night)
	return Done
}

// Pause stops pacing until Resume. An open E or S flag still shows as stopped.
func (c *Course) Pause() Refusal {
	if c.State < Settling || c.State == Ended {
		return RefuseState
	}
	c.Pausing = true
	c.show()
	return Done
}

// Resume ends a pause.
func (c *Course) Resume() Refusal {
	if !c.Pausing && c.State != Paused {
		return RefuseNone
	}
	c.Pausing = false
	c.show()
	return Done
}

// End ends treatment.
func (c *Course) End() Refusal {
	if c.State == Ended {
		return RefuseNone
	}
	if c.State >= Settling {
		c.Path = c.Under()
	}
	c.State, c.Pausing = Ended, false
	return Done
}

// Reopen brings an ended or paused course back to where it was on the path.
func (c *Course) Reopen(night Date) Refusal {
	if c.State != Ended {
		return c.Resume()
	}
	c.State = Resting
	if c.Path >= Settling && c.Path <= Recall {
		c.State = c.Path
	}
	c.show()
	c.Contact(night)
	return Done
}

// Renew takes note of a new revision of the plan: a review may be asked again
// at every setting. Signing is a clinician's act, and no contact by itself.
func (c *Course) Renew(f Facts, night Date) {
	c.Reviewed = marks{}
	c.Freed = 0
}

// Contact records a clinician's contact with the patient.
func (c *Course) Contact(night Date) { c.Seen = max(c.Seen, night) }
