package pacing

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/evidence"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// result is what one row says of an evening; a zero Action is silence.
type result struct {
	do  chart.Action
	to  chart.Steps
	why string // key of the plain reason
}

// row is one row of the pacing table. The whole of it is a proposal that a
// clinician signs; what a row rests on are claims of evidence.
type row struct {
	ask  func(assessment) result                             // its predicate, and its result where that holds
	then func(assessment, []redflag.Raised) []redflag.Raised // what follows besides the advice, with what was raised so far

	after  uint8                 // evenings in a row after which the desk hears of it, and weekly after; 0: only as then says
	role   practice.Role         // who must look at it
	always bool                  // the desk hears of it in every state, not only while steps are worked towards
	known  func(assessment) bool // staff know already, and are not told again
	rings  func(assessment) bool // staff are to call, where the notice is given

	calls  bool  // a person is to call: no list closes it
	doubt  bool  // nobody knows where the appliance stands: a stay takes back nothing that was advised
	back   bool  // its reasons fit a way back, too
	review bool  // it waits for a person's review
	last   uint8 // it speaks only where no row of a lower number here did

	source  evidence.Basis
	fields  string // the blanks that set it; a row without one is fixed
	figures string // the fixed numbers in it
}

// The rules by their numbers, which are stored and for ever: a new one stands
// behind the others.
const (
	P01 chart.Rule = iota + 1
	P02
	P03
	P04
	P05
	P06
	P07
	P08
	P09
	P10
	P11
	P12
	P13
	P14
	P15
	P16
	P17
	P18
	P19
	numRules = iota + 1 // the length of the table: no rule has the number 0
)

// Each rule has its bit.
const _ = uint(chart.MostRules - numRules)

// table holds every rule in the place of its number. Each row is asked every
// evening, the most cautious result wins, among equals the lowest number.
var table = [numRules]row{
	P01: {ask: p01, after: 1, role: practice.Clinician, always: true, known: heldOnly, source: "contact-payer contact-guideline table-design", fields: "contact-days ends", figures: "contact-most"},
	P02: {ask: p02, role: practice.Clinician, source: "table-design"},
	P03: {ask: p03, then: held, role: practice.Assistant, source: "symptoms-hold chart-sum chart-patient table-design", fields: "target reporter", figures: "relapse-limit"},
	P04: {ask: p04, role: practice.Clinician, back: true, source: "pain-severe table-design", figures: "pain-mild pain-modest"},
	P05: {ask: p05, then: doubted, after: 2, role: practice.Assistant, always: true, calls: true, rings: disputed, doubt: true, source: "sides-same", fields: "two-sided offset"},
	P06: {ask: p06, then: tooFar, after: 3, role: practice.Clinician, always: true, source: "table-design", fields: "ceiling travel"},
	P07: {ask: p07, then: goBack, role: practice.Clinician, back: true, source: "pain-moderate slow-titration sore-sheets bite-hour", figures: "pain-mild pain-modest bite-away bite-midday"},
	P08: {ask: p08, then: bitten, role: practice.Clinician, back: true, source: "bite-hour", figures: "bite-away"},
	P09: {ask: p09, then: restLong, role: practice.Clinician, source: "rest-three table-design", fields: "rest-mornings rest-easy rest-factor", figures: "rest-long"},
	P10: {ask: p10, after: 10, role: practice.Assistant, calls: true, source: "settle-nights table-design", fields: "settle"},
	P11: {ask: p11, then: unsure, after: 3, role: practice.Assistant, known: leftOut, source: "silent-unknown table-design", fields: "worn-hours weekly-needed", figures: "gap-nights lapse-nights weekly-late still-nights"},
	P12: {ask: p12, after: 3, role: practice.Assistant, source: "bite-minutes", fields: "guide", figures: "pain-mild bite-late bite-away"},
	P13: {ask: p13, then: hold, role: practice.Assistant, source: "nights-four not-apnoea snoring-mild", fields: "target loud reporter", figures: "reports-pool reports-nights"},
	P14: {ask: p14, after: 10, role: practice.Assistant, source: "night-error table-design", fields: "target loud reporter timetable", figures: "reports-few reports-pool reports-nights reports-near"},
	P15: {ask: p15, role: practice.Assistant, source: "pace-fastest interval-three interval-seven", fields: "interval pace-mm", figures: "pace-most"},
	P16: {ask: p16, then: atLimit, role: practice.Clinician, review: true, source: "place-half place-level", fields: "ceiling travel timetable-top", figures: "share-half share-most"},
	P17: {ask: p17, then: flat, role: practice.Clinician, review: true, last: 1, source: "nights-four table-design", fields: "reporter timetable gain-share", figures: "gain-after gain-evenings reports-pool"},
	P18: {ask: p18, then: release, role: practice.Clinician, last: 2, source: "one-step", fields: "release-by-person"},
	P19: {ask: p19, role: practice.Assistant, source: "table-design"},
}

// judge asks the table for the evening's result. Every row that spoke is in
// fired, the one that is shown in rule and shown.
func (v *assessment) judge() (best result) {
	if v.f.Halted {
		return v.halted()
	}
	v.shown = &table[0] // until one speaks
	for last := range uint8(3) {
		if last > 0 && v.fired != 0 {
			break
		}
		for id := P01; id < numRules; id++ {
			row := &table[id]
			if row.last != last {
				continue
			}
			r := row.ask(*v)
			if r.do == chart.NoAction {
				continue
			}
			v.fired = v.fired.With(id)
			v.doubt = v.doubt || row.doubt
			if v.rule == 0 || r.safer(best) {
				best, v.rule, v.shown = r, id, row
			}
		}
	}
	return best
}

// halted is the result of every evening while the owner has halted the rules:
// change nothing. What an open flag leaves out stays out, since a person
// releases it and no rule.
func (v *assessment) halted() result {
	if r := p02(*v); r.do == chart.LeaveOut {
		v.rule, v.shown, v.fired = P02, &table[P02], v.fired.With(P02)
		return r
	}
	v.rule, v.shown, v.fired = P01, &table[P01], v.fired.With(P01)
	return v.stay("reason.p01.halted")
}

// safer reports whether r is more cautious than q.
func (r result) safer(q result) bool {
	return chart.Safer(r.do, r.to, q.do, q.to)
}

func (v *assessment) stay(why string) result { return result{chart.Stay, v.keep(), why} }

func (v *assessment) leaveOut(why string) result { return result{chart.LeaveOut, v.keep(), why} }

// back goes to a setting, or stays where it is not above it already.
func (v *assessment) back(to chart.Steps, why string) result {
	if v.s.High <= to {
		return v.stay(why)
	}
	return result{chart.GoBack, max(to, 0), why}
}

// P01: no valid signed plan; clock in doubt; setting not confirmed again after
// a restore; too long without a recorded clinician contact. A hold of staff
// speaks here too.
func p01(v assessment) result {
	switch {
	case !v.signed():
		return v.stay("reason.p01.plan")
	case v.f.Doubt:
		return v.stay("reason.p01.clock")
	case v.f.Restored:
		return v.stay(ReasonRestored)
	case v.overlooked():
		return v.stay("reason.p01.contact")
	case v.f.Held:
		return v.stay("reason.p01.held")
	}
	return result{}
}

// heldOnly reports what staff know already: that they hold it, and nothing
// else; or that yearly recall is not monthly.
func heldOnly(v assessment) bool {
	held := v.signed() && !v.f.Doubt && !v.f.Restored && !v.overlooked()
	return held || v.c.OnPath() >= chart.Steady
}

// signed reports whether a plan in force was signed and makes sense.
func (v *assessment) signed() bool {
	p := v.f.Plan
	return p.Rev > 0 && v.f.Appliance.Step > 0 && v.f.Appliance.Step <= chart.TopPace && p.Limits.Ceiling >= 0 &&
		(p.Ends == 0 || v.night <= p.Ends)
}

// overlooked reports whether no clinician contact was recorded for too long.
// Fitting day is one.
func (v *assessment) overlooked() bool {
	return v.night-max(v.c.Seen, v.f.Plan.Fitted) >= v.f.contactDays()
}

const MostContact = 90 // days without a clinician contact, whoever signs

func (f *Facts) contactDays() civil.Date {
	if d := f.Plan.Limits.ContactDays; d > 0 && d < MostContact {
		return civil.Date(d)
	}
	return MostContact
}

// P02: a flag of class E, S or N open before tonight: never forward; worn, set
// back or left out as the flag says, until released.
func p02(v assessment) (worst result) {
	for i := range v.c.Flags {
		f := &v.c.Flags[i]
		if f.From > v.night || !f.Class.Worse(redflag.ClassR) {
			continue
		}
		r := v.stay("reason.p02.keep")
		switch {
		case f.Wear == redflag.WearOut:
			r = v.leaveOut("reason.p02.out")
		case f.Wear == redflag.WearTonight && v.night <= max(f.Night, f.At.Date):
			r = v.leaveOut("reason.p02.tonight")
		case f.Wear == redflag.WearBack:
			r = v.back(f.Resume, "reason.p02.back")
		}
		if worst.do == chart.NoAction || r.safer(worst) {
			worst = r
		}
	}
	return worst
}

// P03: a state in which no step is worked towards.
func p03(v assessment) result {
	if v.underway() {
		return result{}
	}
	why := "reason.p03.other"
	switch v.state {
	case chart.Holding:
		why = "reason.p03.holding"
	case chart.Testing:
		why = "reason.p03.testing"
	case chart.Steady, chart.Recall:
		why = "reason.p03.steady"
	case chart.Paused:
		why = "reason.p03.paused"
	case chart.Stopped:
		why = "reason.p03.stopped"
	}
	return v.stay(why)
}

// P04: worst pain 8-10, or woken by pain of 5 or more: leave it out tonight, the
// setting kept. Woken by less: stay. The answer itself has raised the flag.
func p04(v assessment) result {
	switch {
	case v.last == nil:
	case v.last.Severe():
		return v.leaveOut("reason.p04")
	case v.last.Roused():
		return v.stay("reason.p04.woken")
	}
	return result{}
}

// P05: setting not confirmed; count outside last confirmed..advised; two sides
// that differ by other than the signed offset, matched to the lower.
func p05(v assessment) result {
	switch {
	case v.differ():
		return v.stay("reason.p05.sides")
	case v.s.InDoubt:
		return v.stay("reason.p05.count")
	case v.s.SetOn < v.night-1, v.s.Low != v.s.High: // the last word may have been given before a step was told
		return v.stay("reason.p05.unsaid")
	}
	return result{}
}

// P06: the highest setting it may stand at is above the advised one, the
// ceiling or the travel.
func p06(v assessment) result {
	switch {
	case v.s.High > v.top:
		return v.back(min(v.top, max(v.s.Advised, 0)), "reason.p06.above")
	case v.s.High > v.s.Advised:
		return v.back(v.s.Advised, "reason.p06")
	}
	return result{}
}

// P19: words of the patient that were neither understood, nor answered, nor read
// by a person: what stands in them may be what forbids a step.
func p19(v assessment) result {
	if !v.f.Unread {
		return result{}
	}
	return v.stay("reason.p19")
}

// ReasonRestored is P01's for a setting that was not confirmed since a restore.
const ReasonRestored = "reason.p01.restored"
