package replay

import (
	"strconv"

	"duskdawn/flows"
)

// Line is what the rules say of one night.
type Line struct {
	Night   string   `json:"night"`
	Action  string   `json:"action"` // leave_out, go_back, stay, forward
	Rule    string   `json:"rule"`   // the one shown
	Fired   []string `json:"fired"`  // every rule that spoke
	State   string   `json:"state"`
	From    int      `json:"from_steps"`
	To      int      `json:"to_steps"`
	MM      float64  `json:"mm"`      // of to_steps, from the habitual bite
	Percent float64  `json:"percent"` // of the protrusive range, its zero as the plan states
	Flags   []Raised `json:"flags"`   // open that evening
	Reason  string   `json:"reason"`  // to the patient, in words; a key of the catalogue until it is rendered
	Desk    []string `json:"-"`       // rules and flags that a person heard of with the advice
}

// Raised is an open flag.
type Raised struct {
	ID    string `json:"id"`
	Class string `json:"class"`
}

// Run is a diary being replayed.
type Run struct {
	Course flows.Course
	facts  flows.Facts
	plan   flows.Plan
	app    flows.Appliance
	base   flows.Baseline
	begun  bool
	next   flows.Date
}

// New begins a replay of an enrolment's plan. A plan file is not signed yet;
// it is replayed as if it were.
func New(e flows.Enrolment) *Run {
	r := &Run{plan: e.Plan, app: e.Appliance, base: e.Baseline}
	r.plan.Rev = max(r.plan.Rev, 1)
	r.facts = flows.Facts{Plan: &r.plan, Appliance: &r.app, Baseline: &r.base}
	return r
}

// Each replays the rows and hands on a line for every calendar night from the
// first row to the last; nights without a row are unknown. It ends at the first
// error of yield, or of a desk event that the rules refuse.
func (r *Run) Each(rows []Row, yield func(Line) error) error {
	for i := range rows {
		row := &rows[i]
		if !r.begun {
			r.begun, r.next = true, row.Night
			r.Course.Begin(r.facts, row.Night)
		}
		for ; r.next < row.Night; r.next++ {
			if err := yield(r.night(&Row{Night: r.next})); err != nil {
				return err
			}
		}
		if err := r.desk(row); err != nil {
			return err
		}
		if err := yield(r.night(row)); err != nil {
			return err
		}
		r.next++
	}
	return nil
}

// evening tells whether an answer belongs to the evening's questions, known
// before that night's advice; the rest is told the morning after.
func evening(f flows.Field) bool {
	switch f {
	case flows.Sleepiness, flows.Driving, flows.Pauses, flows.Headache, flows.Nose:
		return true
	}
	return false
}

func setting(f flows.Field) bool { return f == flows.SettingLeft || f == flows.SettingRight }

// night is one night: the evening's questions, the advice, the setting the
// patient confirmed in reply, and the morning after.
func (r *Run) night(row *Row) Line {
	for _, c := range row.Cells {
		if evening(c.Field) {
			r.Course.Answer(r.facts, row.Night, c.Field, c.Value, flows.Transcribed)
		}
	}
	a, raised := r.Course.Advise(r.facts, row.Night)
	line := r.line(&a, raised)
	r.confirm(row)
	for _, c := range row.Cells {
		if !evening(c.Field) && !setting(c.Field) {
			r.Course.Answer(r.facts, row.Night, c.Field, c.Value, flows.Transcribed)
		}
	}
	return line
}

// confirm takes the evening's setting. Where two sides are signed and one is
// written, the other is taken to stand as signed.
func (r *Run) confirm(row *Row) {
	var left, right flows.Value
	for _, c := range row.Cells {
		switch c.Field {
		case flows.SettingLeft:
			left = c.Value
		case flows.SettingRight:
			right = c.Value
		}
	}
	if !left.Known() {
		return
	}
	r2 := flows.Steps(left.N()) + r.app.Offset
	if right.Known() {
		r2 = flows.Steps(right.N())
	}
	r.Course.Confirm(r.facts, row.Night, flows.Steps(left.N()), r2)
}

func (r *Run) line(a *flows.Advice, raised []flows.Raised) Line {
	um := r.base.Start + flows.Micrometres(a.To)*r.app.Step
	l := Line{
		Night: a.Night.String(), Action: a.Action.String(), Rule: a.Rule.ID(), State: r.Course.State.String(),
		From: int(a.From), To: int(a.To),
		MM: float64((int(um)+5)/10) / 100, Percent: float64(flows.ShareOf(&r.base, um)) / 10,
		Reason: a.Reason, Flags: []Raised{},
	}
	for id := flows.Rule(1); id <= 18; id++ {
		if a.Fired.Has(id) {
			l.Fired = append(l.Fired, id.ID())
		}
	}
	for _, f := range r.Course.Flags {
		l.Flags = append(l.Flags, Raised{f.ID, string([]byte{byte(f.Class)})})
	}
	for _, x := range raised {
		l.Desk = append(l.Desk, x.ID)
	}
	return l
}

// desk does what the desk did before the evening's advice.
func (r *Run) desk(row *Row) error {
	c := &r.Course
	for _, e := range row.Events {
		var no flows.Refusal
		switch e.Op {
		case Visit:
			no = c.Visit(r.facts, row.Night, e.To)
		case Release:
			no = c.Release(r.facts, row.Night, "", e.To)
		case Grant:
			no = c.Grant(r.facts, row.Night, e.To, 0, "")
		case Order:
			no = c.Order(r.facts, row.Night, e.To)
		case PlanRevised:
			r.plan.Rev++
			c.Renew(r.facts, row.Night)
		case Pause:
			no = c.Pause()
		case Resume:
			no = c.Resume()
		case Test:
			no = c.Tested(row.Night, c.Left)
		}
		if no != flows.Done {
			said := eventWords[e.Op]
			if e.Op.takes() {
				said += " " + strconv.Itoa(int(e.To))
			}
			return &Refused{Line: row.Line, Said: said, Why: no}
		}
	}
	return nil
}

// Refused says that the rules do not allow what the desk is said to have done.
type Refused struct {
	Line int
	Said string
	Why  flows.Refusal // key of the text
}

func (r *Refused) Error() string {
	return "line " + strconv.Itoa(r.Line) + ", column desk_event: " + r.Said + ": " + string(r.Why)
}
