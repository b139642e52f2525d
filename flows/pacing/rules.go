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

// ruleRow is one row of the pacing table. The whole of it is a proposal that a
// clinician signs; what a row rests on are claims of claim.go.
type ruleRow struct {
	ID      chart.Rule
	after   uint8         // evenings in a row after which the desk hears of it, and weekly after; 0: only as the row itself says
	role    practice.Role // who must look at it
	always  bool          // the desk hears of it in every state, not only while steps are worked towards
	source  evidence.Basis
	fields  string // the blanks that set it; a row without one is fixed
	figures string // the fixed numbers in it
}

// pacing is the table: every row is evaluated every evening, the most cautious
// result wins, among equals the lowest id. P18 speaks when nothing else did.
var Table = [...]ruleRow{
	{ID: 1, after: 1, role: practice.Clinician, always: true, source: "contact-payer contact-guideline table-design", fields: "contact-days ends", figures: "contact-most"},
	{ID: 2, role: practice.Clinician, source: "table-design"},
	{ID: 3, role: practice.Assistant, source: "symptoms-hold table-design", fields: "target reporter"},
	{ID: 4, role: practice.Clinician, source: "pain-severe table-design", figures: "pain-modest"},
	{ID: 5, after: 2, role: practice.Assistant, source: "sides-same", fields: "two-sided offset"},
	{ID: 6, after: 3, role: practice.Clinician, always: true, source: "table-design", fields: "ceiling travel"},
	{ID: 7, role: practice.Clinician, source: "pain-moderate slow-titration sore-sheets bite-hour", figures: "pain-mild pain-modest bite-away bite-midday"},
	{ID: 8, role: practice.Clinician, source: "bite-hour", figures: "bite-away"},
	{ID: 9, after: 10, role: practice.Clinician, source: "rest-three table-design", fields: "rest-mornings"},
	{ID: 10, after: 10, role: practice.Assistant, source: "settle-nights table-design", fields: "settle"},
	{ID: 11, after: 3, role: practice.Assistant, source: "silent-unknown table-design", fields: "worn-hours weekly-needed", figures: "gap-nights lapse-nights weekly-late"},
	{ID: 12, after: 3, role: practice.Assistant, source: "bite-minutes", fields: "guide", figures: "pain-mild bite-late bite-away"},
	{ID: 13, role: practice.Assistant, source: "nights-four not-apnoea snoring-mild", fields: "target loud reporter", figures: "reports-pool"},
	{ID: 14, after: 10, role: practice.Assistant, source: "night-error table-design", fields: "target loud reporter timetable", figures: "reports-few reports-pool"},
	{ID: 15, role: practice.Assistant, source: "pace-fastest interval-three interval-seven", fields: "interval pace-mm", figures: "pace-most"},
	{ID: 16, role: practice.Clinician, source: "place-half place-level", fields: "ceiling travel timetable-top", figures: "share-half share-most"},
	{ID: 17, role: practice.Clinician, source: "fall-quarter nights-four table-design", fields: "reporter timetable", figures: "gain-after gain-fall reports-pool"},
	{ID: 18, role: practice.Clinician, source: "one-step", fields: "release-by-person"},
}

// judge runs the table and returns the winner. Every row that spoke is in fired.
func (v *assessment) judge() (best result, rule chart.Rule) {
	for i := range Table {
		row := &Table[i]
		if row.ID == 18 && v.fired != 0 {
			break
		}
		r := v.ask(row.ID)
		if r.do == chart.NoAction {
			continue
		}
		v.fired |= 1 << row.ID
		if rule == 0 || r.safer(best) {
			best, rule = r, row.ID
		}
	}
	return best, rule
}

// ask evaluates one row. It calls each by name, so that a night's advice needs
// no memory of its own.
func (v *assessment) ask(id chart.Rule) result {
	switch id {
	case 1:
		return p01(v)
	case 2:
		return p02(v)
	case 3:
		return p03(v)
	case 4:
		return p04(v)
	case 5:
		return p05(v)
	case 6:
		return p06(v)
	case 7:
		return p07(v)
	case 8:
		return p08(v)
	case 9:
		return p09(v)
	case 10:
		return p10(v)
	case 11:
		return p11(v)
	case 12:
		return p12(v)
	case 13:
		return p13(v)
	case 14:
		return p14(v)
	case 15:
		return p15(v)
	case 16:
		return p16(v)
	case 17:
		return p17(v)
	}
	return p18(v)
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
func p01(v *assessment) result {
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
func p02(v *assessment) (worst result) {
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
func p03(v *assessment) result {
	if v.pacing() {
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

// P04: worst pain 8-10, or pain that woke the patient: leave it out tonight,
// the setting kept. The answer itself has raised the S flag.
func p04(v *assessment) result {
	if v.last == nil || !v.last.Severe() {
		return result{}
	}
	return v.leaveOut("reason.p04")
}

// P05: setting not confirmed; count outside last confirmed..advised; two sides
// that differ by other than the signed offset, matched to the lower.
func p05(v *assessment) result {
	switch {
	case v.differ():
		return v.stay("reason.p05.sides")
	case v.s.InDoubt:
		return v.stay("reason.p05.count")
	case v.s.SetOn < v.night-1:
		return v.stay("reason.p05.unsaid")
	}
	return result{}
}

// P06: the highest setting it may stand at is above the advised one, the
// ceiling or the travel.
func p06(v *assessment) result {
	switch {
	case v.s.High > v.top:
		return v.back(min(v.top, max(v.s.Advised, 0)), "reason.p06.above")
	case v.s.High > v.s.Advised:
		return v.back(v.s.Advised, "reason.p06")
	}
	return result{}
}

// ReasonRestored is P01's for a setting that was not confirmed since a restore.
const ReasonRestored = "reason.p01.restored"
