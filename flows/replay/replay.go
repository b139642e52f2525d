package replay

import (
	"strconv"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
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
}

// Raised is an open flag.
type Raised struct {
	ID    string `json:"id"`
	Class string `json:"class"`
}

// Run is a diary being replayed.
type Run struct {
	Course  pacing.Course
	facts   pacing.Facts
	plan    chart.Plan
	later   []chart.Plan // the revisions that follow
	app     chart.Appliance
	base    chart.Baseline
	begun   bool
	next    civil.Date
	waiting []pending
	lasts   civil.Date // nights that a revision signs for, where the diary names no other
}

// New begins a replay of an enrolment's plan, and of the revisions of it that
// the diary's plan events put in force. A plan file is not signed yet; it is
// replayed as if it were.
func New(e chart.Enrolment, later ...chart.Plan) *Run {
	r := &Run{plan: e.Plan, later: later, app: e.Appliance, base: e.Baseline}
	r.plan.Rev = max(r.plan.Rev, 1)
	r.lasts = r.plan.Ends - r.plan.Fitted
	r.facts = pacing.Facts{Plan: &r.plan, Appliance: &r.app, Baseline: &r.base}
	return r
}

// Facts is what the rules know besides the course, the plan in force among it.
func (r *Run) Facts() pacing.Facts { return r.facts }

// Each replays the rows and hands on a line for every calendar night from the
// first row to the last; nights without a row are unknown. It ends at the first
// error of yield, of a row that does not fit the plan, or of a desk event that
// the rules refuse.
func (r *Run) Each(rows []Row, yield func(Line) error) error {
	for i := range rows {
		row := &rows[i]
		if !r.begun {
			r.begun, r.next = true, row.Night
			r.Course.Begin(r.facts, row.Night)
		}
		for ; r.next <= row.Night; r.next++ {
			one := row
			if r.next < row.Night {
				one = &Row{Line: row.Line, Night: r.next}
			}
			line, err := r.night(one)
			if err != nil {
				return err
			}
			if err := yield(line); err != nil {
				return err
			}
		}
	}
	return nil
}

// night is one night: what was told late, what the desk did, the evening's
// questions, the advice, the setting the patient confirmed in reply, and the
// morning after.
func (r *Run) night(row *Row) (Line, error) {
	if err := r.fits(row); err != nil {
		return Line{}, err
	}
	cells, events := r.postpone(row)
	if _, err := r.arrive(row.Night, false); err != nil {
		return Line{}, err
	}
	for _, e := range events {
		if no := r.act(row.Night, e); no != pacing.Done {
			return Line{}, &Refused{Line: row.Line, Said: e.String(), Why: no}
		}
	}
	for _, c := range cells {
		if c.Field.Row().About == chart.Tonight {
			r.Course.Answer(r.facts, row.Night, c.Field, c.Value, chart.Transcribed)
		}
	}
	facts := r.facts.With(row.Under)
	var a chart.Advice
	if row.Silent {
		a = r.Course.Preview(facts, row.Night)
	} else {
		a, _ = r.Course.Advise(facts, row.Night)
	}
	came, err := r.arrive(row.Night, true)
	if err != nil {
		return Line{}, err
	}
	if came && !row.Silent && r.Course.Advice.Action != chart.NoAction {
		a, _ = r.Course.Advise(r.facts.With(row.Under&^chart.UnderUnheard), row.Night)
	}
	line := lineOf(&r.Course, &a, &r.app, &r.base)
	r.confirm(row, cells)
	for _, c := range cells {
		if c.Field.Row().About == chart.LastNight {
			r.Course.Answer(r.facts, row.Night, c.Field, c.Value, chart.Transcribed)
		}
	}
	return line, nil
}

// fits refuses a second side where the plan's appliance has one.
func (r *Run) fits(row *Row) error {
	for _, c := range row.Cells {
		if c.Field == chart.SettingRight && c.Value.Known() && !r.app.TwoSided {
			return &BadCell{Line: row.Line, Column: "setting_right", Said: strconv.Itoa(c.Value.N()),
				Want: "nothing: the plan's appliance has one side"}
		}
	}
	return nil
}

// confirm takes the evening's setting. Where two sides are signed and one is
// written, the other is not known; in the column setting one number stands for
// both as signed.
func (r *Run) confirm(row *Row, cells []Cell) {
	var left, right chart.Answer
	for _, c := range cells {
		switch c.Field {
		case chart.SettingLeft:
			left = c.Value
		case chart.SettingRight:
			right = c.Value
		}
	}
	if left.Known() && (row.Both || !r.app.TwoSided) {
		right = chart.Num(left.N() + int(r.app.Offset))
	}
	if left.Known() && right.Known() {
		r.Course.Confirm(r.facts, row.Night, chart.Steps(left.N()), chart.Steps(right.N()))
		return
	}
	if left != chart.Unknown { // one of them at most
		r.Course.Answer(r.facts, row.Night, chart.SettingLeft, left, chart.Transcribed)
	}
	if right != chart.Unknown {
		r.Course.Answer(r.facts, row.Night, chart.SettingRight, right, chart.Transcribed)
	}
}

// lineOf is what an advice says of its night, beside the course it left.
func lineOf(c *pacing.Course, a *chart.Advice, app *chart.Appliance, base *chart.Baseline) Line {
	um := base.Start + chart.Micrometres(a.To)*app.Step
	l := Line{
		Night: a.Night.String(), Action: a.Action.String(), Rule: a.Rule.ID(), State: c.State.String(),
		From: int(a.From), To: int(a.To),
		MM: float64(um) / 1000, Percent: float64(chart.ShareOf(base, um)) / 10,
		Reason: a.Reason, Fired: []string{}, Flags: []Raised{},
	}
	for id := range a.Fired.All() {
		l.Fired = append(l.Fired, id.ID())
	}
	for _, f := range c.Flags {
		l.Flags = append(l.Flags, Raised{f.ID, string([]byte{byte(f.Class)})})
	}
	return l
}
