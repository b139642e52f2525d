package cohort

import (
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/redflag"
)

// The staff's day.
const (
	staffAt    = 10 * 60
	wordsAt    = 16 * 60 // when words are read that came since
	typesFrom  = 8 * 60  // when patients type besides their answers
	typesTo    = 20 * 60
	easedAt    = 3.0 // soreness at which a flag is released
	holdNights = 7   // of holding before the test: design of the rules, P13
	grantSteps = 4   // what a review grants
	lostAfter  = 21  // nights after which staff end a course that its patient left
)

// staff is what the practice does in a day: what is urgent each day, the rest on
// working days.
func (pl *Player) staff() {
	pl.types(typesFrom, staffAt)
	pl.until(at(civil.Wall{Date: pl.night, Clock: staffAt}))
	pl.attend()
	pl.types(staffAt, wordsAt)
	pl.reads()
	pl.types(wordsAt, typesTo)
}

// reads is staff reading, late on a working day, what patients typed.
func (pl *Player) reads() {
	if day := pl.night.Weekday(); pl.trial.Says == nil || day < 1 || day > 5 {
		return
	}
	pl.until(at(civil.Wall{Date: pl.night, Clock: wordsAt}))
	for i := len(pl.p.Escalations) - 1; i >= 0; i-- { // what is perhaps a danger has a tap of its own; not more than one waits
		if x := &pl.p.Escalations[i]; x.Quiet && x.Unsure {
			pl.order(flows.Order{Op: flows.OrderHarmless, Esc: x.N})
			break
		}
	}
	pl.order(flows.Order{Op: flows.OrderSweep, Flag: flows.ListOf(flows.WhyMessage), At: int64(pl.now) * 60})
}

// attend is what staff do with what is open.
func (pl *Player) attend() {
	day := pl.night.Weekday()
	work := day >= 1 && day <= 5
	c := &pl.p.Course
	if work && pl.quit && pl.p.Talk.Silent >= lostAfter {
		pl.order(flows.Order{Op: flows.OrderEnd, Text: "left"})
		return
	}
	var reasons [16]flows.Escalation
	n := copy(reasons[:], pl.p.Escalations)
	for i := range reasons[:n] {
		x := &reasons[i]
		if !work && !x.Class.Worse(redflag.ClassN) {
			continue
		}
		pl.attendTo(x)
	}
	if work {
		pl.test(c)
	}
}

// types is a sentence that somebody types once a week, at some minute of the day.
func (pl *Player) types(from, to civil.Clock) {
	if pl.trial.Says == nil || (pl.night-pl.trial.fitted())%7 != civil.Date(pl.msg%7) {
		return
	}
	clock := typesFrom + civil.Clock((pl.msg*7919+int64(pl.night)*104729)%int64(typesTo-typesFrom))
	if clock < from || clock >= to {
		return
	}
	pl.until(at(civil.Wall{Date: pl.night, Clock: clock}))
	x := pl.trial.Says(int(pl.r.Uint32()>>1), &Lived{pl})
	pl.msg++
	pl.on(flows.Said{Chat: chat, Gen: pl.p.Gen, Text: x.Text, Reading: x.Reading, Wall: pl.now.wall(), Message: pl.msg})
}

// attendTo deals with one escalation. A flag is released when the jaw has eased; it
// resolves what it fed.
func (pl *Player) attendTo(x *flows.Escalation) {
	c := &pl.p.Course
	for i := range c.Flags {
		if f := &c.Flags[i]; f.Esc == x.N || f.ID == x.Reason {
			if pl.ache < easedAt {
				pl.order(flows.Order{Op: flows.OrderRelease, Flag: f.ID, Text: "eased"})
			} else if x.AckBy == "" { // they have it, and wait with the patient
				pl.order(flows.Order{Op: flows.OrderAck, Esc: x.N})
			}
			return
		}
	}
	top := min(pl.p.Plan.Limits.Ceiling, pl.p.Appliance.Travel)
	switch x.Reason {
	case pacing.P05.ID(), pacing.P06.ID(): // read off at the chair
		if c.State != chart.Ended {
			pl.stands = chart.Steps(clampInt(int(pl.stands), 0, int(top)))
			pl.order(flows.Order{Op: flows.OrderVisit, To: pl.stands, Has: true, Text: "counted"})
		}
	case pacing.P11.ID(), flows.WhySilence:
		if c.Lapsed || x.Reason == pacing.P11.ID() && !pl.quit && x.Times > 1 {
			pl.stands = chart.Steps(clampInt(int(min(pl.stands, c.Left)), 0, int(top)))
			pl.order(flows.Order{Op: flows.OrderVisit, To: pl.stands, Has: true, Text: "named"})
		}
	case flows.WhyMile, flows.WhyReview, flows.WhyPlanEnd:
		pl.order(flows.Order{Op: flows.OrderContact})
	case pacing.P16.ID(), pacing.P17.ID(): // a limit, or steps that seem not to help: half of the clinicians go on
		if to := min(c.Left+grantSteps, top); to > c.Left && pl.ache < easedAt && pl.r.Float64() < grants {
			pl.order(flows.Order{Op: flows.OrderGrant, To: to, Has: true, Text: "on"})
		}
	case pacing.P18.ID():
		pl.order(flows.Order{Op: flows.OrderStep})
	}
	for i := range pl.p.Escalations {
		if pl.p.Escalations[i].N == x.N {
			pl.order(flows.Order{Op: flows.OrderResolve, Esc: x.N, Text: "seen"})
			return
		}
	}
}

// test arranges the sleep test of a position that has held, and orders what
// follows: steady where desaturations were halved, else two steps on, once.
func (pl *Player) test(c *pacing.Course) {
	if c.State != chart.Holding || pl.out.Reached == 0 || pl.night-pl.watch.holding < holdNights {
		return
	}
	left := pl.who.desaturations(pl.mm())
	pl.order(flows.Order{Op: flows.OrderTest, Test: &chart.SleepTest{On: pl.night, Kind: "oximetry",
		ODI10: chart.Num(int(300 * left)), ODIDrop: 3, By: "Dr F", Setting: c.Left, InPlace: true}})
	next := min(c.Left+2, pl.p.Plan.Limits.Ceiling, pl.p.Appliance.Travel)
	if left > 0.5 && pl.sought == 0 && next > c.Left {
		pl.sought = c.Left + 1
		pl.order(flows.Order{Op: flows.OrderSetting, To: next, Has: true})
		return
	}
	pl.order(flows.Order{Op: flows.OrderSteady})
}
