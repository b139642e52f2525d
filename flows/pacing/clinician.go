package pacing

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/redflag"
	"duskdawn/flows/relapse"
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
	RefuseLimit  Refusal = "refuse.limit"  // an order beyond a limit that only a grant lifts
)

// Begin starts pacing at the fitting-day setting, state settling.
func (c *Course) Begin(f Facts, night civil.Date) {
	f.Whole()
	offset := f.offset()
	*c = Course{State: chart.Settling, Right: offset, SetOn: night - 1, SettleFrom: night, Seen: night, Began: night,
		Named: night, Unsettled: true, Flags: c.Flags}
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
	moves, back := to != c.Left, to < c.Left
	c.Left, c.Right, c.Low, c.High, c.SetOn, c.InDoubt, c.Advised = to, to+f.offset(), to, to, night, false, to
	e := &c.Nights[i]
	e.V[chart.SettingLeft] = chart.Num(int(to))
	if f.Appliance.TwoSided {
		e.V[chart.SettingRight] = chart.Num(int(c.Right))
	}
	e.Low, e.High = to, to
	c.arrive(night)
	under := c.OnPath()
	if c.Unsettled || under == chart.Settling || under == chart.Resting && c.RestTo == chart.Settling {
		c.unsettle(night)
	}
	if under == chart.Holding && moves { // out of holding, to go on from here
		c.walk(chart.Stepping)
	}
	if back { // what was granted was granted of what stood then
		c.ungrant()
	}
	if c.OnPath() == chart.Resting {
		c.RestFrom, c.DoubledTo = night, to+1
	}
	c.Visited, c.Acted, c.StartHits, c.RestHits, c.Freed, c.OrderTo = night, night, 0, 0, 0, 0
	c.named(night)
	c.EveOn, c.Advice.Action = 0, chart.NoAction
	return Done
}

// named notes that a person has named the setting, and was in contact.
func (c *Course) named(night civil.Date) {
	c.Named, c.Lapsed = night, false
	c.Contact(night)
}

// Release releases a flag, or all of them where id is empty, at a setting that
// never raises the advised one. After a flag of the jaw (redflag.Row.OfTheJaw) that
// is at most the last comfortable one, and who was settling or stepping rests, with
// counts at zero and a longer interval, unless a rest was complete since; any other
// leaves state and counts as they were.
func (c *Course) Release(f Facts, night civil.Date, id string, to chart.Steps) Refusal {
	f.Whole()
	if to < 0 || to > f.top() {
		return RefuseLimits
	}
	if _, jaw := c.releasing(id); jaw && to > max(c.releasable(&f), 0) {
		return RefuseGood
	}
	return c.release(&f, night, id, to)
}

// ReleaseHere releases without naming a setting: the advised one; after a flag of
// the jaw where it stands, and at most at the last comfortable one.
func (c *Course) ReleaseHere(f Facts, night civil.Date, id string) Refusal {
	f.Whole()
	to := c.Advised
	if _, jaw := c.releasing(id); jaw {
		to = min(c.Low, c.releasable(&f), f.top())
	}
	return c.release(&f, night, id, max(to, 0))
}

// releasing is what a release means: the newest night of the flags it releases that
// are of the jaw, and whether there is one.
func (c *Course) releasing(id string) (night civil.Date, jaw bool) {
	for i := range c.Flags {
		flag := &c.Flags[i]
		if row := redflag.Find(flag.ID); (id == "" || flag.ID == id) && row != nil && row.OfTheJaw() {
			night, jaw = max(night, flag.Night), true
		}
	}
	return night, jaw
}

func (c *Course) release(f *Facts, night civil.Date, id string, to chart.Steps) Refusal {
	since, jaw := c.releasing(id)
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
	c.atMost(night, to)
	if under := c.OnPath(); jaw && (under == chart.Settling || under == chart.Stepping) && c.Rested <= since {
		c.rest(night, under, c.Advised)
		c.RestHits = 0
	}
	c.named(night)
	return Done
}

// atMost lowers what is advised, for the evening of this night as well where it has begun.
func (c *Course) atMost(night civil.Date, to chart.Steps) {
	if c.Advised = min(c.Advised, to); c.EveOn == night {
		c.Eve.Advised = min(c.Eve.Advised, to)
	}
}

// Grant lifts the comfort limit, the timetable's top, P13, P14 and P17 up to a
// setting until a night (0: no end), never the signed ceiling or the travel.
// Who was holding steps on. From the test on it could do nothing: an order does.
func (c *Course) Grant(f Facts, night civil.Date, to chart.Steps, until civil.Date, by string) Refusal {
	f.Whole()
	switch {
	case to < 1 || to > f.top():
		return RefuseLimits
	case !c.running() || c.OnPath() > chart.Holding:
		return RefuseState
	case to <= c.Left || until != 0 && until < night:
		return RefuseBack
	}
	c.GrantTo, c.GrantUntil, c.GrantBy = to, until, by
	c.Reviewed = marks{}
	if to > c.OrderTo {
		c.OrderTo = 0
	}
	if c.OnPath() == chart.Holding {
		c.walk(chart.Stepping)
	}
	c.lift(night)
	return Done
}

// ungrant ends what a review granted.
func (c *Course) ungrant() { c.GrantTo, c.GrantUntil, c.GrantBy = 0, 0, "" }

// running reports whether a course has begun and not ended.
func (c *Course) running() bool { return c.State >= chart.Settling && c.State != chart.Ended }

// lift ends a stay that waits for a person.
func (c *Course) lift(night civil.Date) {
	c.Lapsed = false
	c.Named = night
	c.Contact(night)
}

// Order steps on to a setting, out of stepping, holding, testing, steady or recall:
// P13, P14 and P17 are off below it, a comfort limit and settle nights are not.
// Reached, it is a limit. To a lower setting it is a way back this evening.
func (c *Course) Order(f Facts, night civil.Date, to chart.Steps) Refusal {
	f.Whole()
	under := c.OnPath()
	switch {
	case to < 1 || to > f.top():
		return RefuseLimits
	case !c.running():
		return RefuseState
	case to == c.Left:
		return RefuseBack
	case to > c.Left && (under == chart.Settling || under == chart.Resting):
		return RefuseState
	case to > c.Left && c.barred(&f, night):
		return RefuseLimit
	}
	c.OrderTo = to
	if to < c.Left { // a grant of before would lift what now waits
		c.atMost(night, to)
		c.ungrant()
	}
	if under >= chart.Holding {
		c.walk(chart.Stepping)
	}
	c.lift(night)
	return Done
}

// barred reports whether a limit that a grant alone lifts forbids the next step.
func (c *Course) barred(f *Facts, night civil.Date) bool {
	next, lim := c.Left+1, &f.Plan.Limits
	v := assessment{c: c, night: night}
	return !v.granted(next) && (c.Limited && next > c.Limit || lim.Timetable && next > lim.TimetableTop)
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
	if !c.running() {
		return RefuseState
	}
	c.walk(chart.Testing)
	c.Contact(night)
	return Done
}

// Tested records the setting worn at a test. The state stays testing until a
// person says what follows.
func (c *Course) Tested(night civil.Date, setting chart.Steps) Refusal {
	if !c.running() {
		return RefuseState
	}
	c.walk(max(c.OnPath(), chart.Testing))
	if c.TestOn != 0 || c.TestAt != setting { // a first test keeps what was heard here before it was known
		c.Snore, c.Sleepy = relapse.Chart{}, relapse.Chart{}
	}
	c.TestAt, c.TestOn, c.Rose = setting, night, 0
	c.Contact(night)
	return Done
}

// Steady says that the position is proved. It needs a recorded test.
func (c *Course) Steady(night civil.Date) Refusal {
	switch {
	case !c.running():
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
	if !c.running() || c.OnPath() < chart.Steady {
		return RefuseState
	}
	c.walk(chart.Recall)
	c.Contact(night)
	return Done
}

// Pause stops pacing until Resume. An open E or S flag still shows as stopped.
func (c *Course) Pause() Refusal {
	if !c.running() {
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
	c.Path, c.State, c.Pausing = c.OnPath(), chart.Ended, false
	return Done
}

// Reopen brings an ended or paused course back to where it was on the path.
func (c *Course) Reopen(night civil.Date) Refusal {
	if c.State != chart.Ended {
		return c.Resume()
	}
	c.State = c.OnPath()
	c.restate()
	c.Contact(night)
	return Done
}

// Renew takes note of a new revision of the plan: a review may be asked again
// at every setting. Signing is a clinician's act, and no contact by itself.
func (c *Course) Renew(f Facts, night civil.Date) {
	c.Reviewed = marks{}
	c.Freed, c.Idle = 0, 0
}

// Contact records a clinician's contact with the patient.
func (c *Course) Contact(night civil.Date) { c.Seen, c.Idle = max(c.Seen, night), 0 }
