package desk

import (
	"strconv"

	"duskdawn/flows"
)

// The blanks that a plan change offers by button; every other limit can be
// typed as `key: value`.
var limitButtons = [...]string{"ceiling", "interval", "settle", "target", "rest-mornings", "pace-mm", "release-by-person", "ends", "evening", "morning"}

// mayChange tells whether a blank belongs to the plan: the rest of an
// enrolment is what was found on fitting day.
func mayChange(f flows.FormField) bool {
	return f.Part == flows.PartLimits || f.Part == flows.PartPlan && f.Key != "fitted" && f.Key != "checklist"
}

// putLimits offers the limits, or asks for the one that was chosen.
func (t *turn) putLimits() {
	f := &t.c.Form
	fields := flows.FormFields()
	if f.Field > 0 && int(f.Field) <= len(fields) {
		t.putField(fields[f.Field-1].Key, []flows.Button{t.tap("desk.b.back", "back"), t.tap("desk.b.cancel", "x")})
		return
	}
	e := &f.Filled.Enrolment
	m := flows.Message{Lines: append([]flows.Line{flows.Say("desk.ask.limits", flows.ArgS("label", e.Label))}, planChanges(&f.Brief.Enrolment, e)...)}
	var row []flows.Button
	for _, key := range limitButtons {
		i := flows.FormIndex(fields, key)
		row = append(row, t.tapLine(flows.Say("desk.b.limit", flows.ArgK("field", "enrol.f."+key), valueArg(fields[i], e, "now")), "l"+strconv.Itoa(i)))
		if len(row) == 1 {
			m.Inline = append(m.Inline, row)
			row = nil
		}
	}
	m.Inline = append(m.Inline, []flows.Button{t.tap("desk.b.done", "done"), t.tap("desk.b.cancel", "x")})
	t.send(m)
}

func (t *turn) limitTap(arg string) {
	f := &t.c.Form
	fields := flows.FormFields()
	switch {
	case arg == "done":
		t.limitsDone()
	case f.Field > 0:
		t.limitValue(fields[f.Field-1], arg)
	case len(arg) > 1 && arg[0] == 'l':
		i, err := strconv.Atoi(arg[1:])
		if err != nil || i < 0 || i >= len(fields) || !mayChange(fields[i]) {
			t.sayKey("desk.form.gone")
			return
		}
		f.Field = int16(i + 1)
		t.question()
	default:
		t.sayKey("desk.form.gone")
	}
}

func (t *turn) limitsDone() {
	f := &t.c.Form
	if len(planChanges(&f.Brief.Enrolment, &f.Filled.Enrolment)) == 0 {
		t.c.Form = Form{}
		t.sayKey("desk.nochange")
		return
	}
	if ps := flows.Check(f.Filled.Enrolment); flows.Refused(ps) {
		t.problems(ps) // e.g. a plan that has ended: its last night must be changed too
		return
	}
	f.At, f.Field = f.At+1, 0
	t.question()
}

// limitSaid takes `key: value` lines, or the value of the limit that is open.
func (t *turn) limitSaid(text string, s flows.Said) {
	f := &t.c.Form
	fields := flows.FormFields()
	pairs := pairsOf(s)
	known := false
	for _, p := range pairs {
		known = known || flows.FormIndex(fields, p.Key) >= 0
	}
	switch {
	case s.Reading.Word == flows.WordDone:
		t.limitsDone()
	case known:
		for _, p := range pairs {
			i := flows.FormIndex(fields, p.Key)
			if i < 0 || !mayChange(fields[i]) {
				t.wrong(flows.Problem{Key: "desk.bad.limit", Args: []flows.Arg{flows.ArgS("key", p.Key)}})
				return
			}
		}
		next := f.Filled
		if ps := next.Fill(fields, pairs); len(ps) > 0 {
			t.problems(ps)
			return
		}
		t.limitTaken(next)
	case f.Field > 0 && int(f.Field) <= len(fields):
		t.limitValue(fields[f.Field-1], t.value(fields[f.Field-1], text, s))
	default:
		t.question()
	}
}

func (t *turn) limitValue(field flows.FormField, text string) {
	fields := flows.FormFields()
	next := t.c.Form.Filled
	if arg, ok := choiceArg(field, text); ok {
		text = arg
	}
	if ps := next.Put(fields, flows.FormIndex(fields, field.Key), text); len(ps) > 0 {
		t.problems(ps)
		return
	}
	t.limitTaken(next)
}

// limitTaken keeps a change that leaves the whole plan within its bounds.
func (t *turn) limitTaken(next flows.Filled) {
	f := &t.c.Form
	ps := flows.Check(next.Enrolment)
	old := flows.Check(f.Filled.Enrolment)
	fresh := ps[:0:0]
	for _, p := range ps {
		if !hasProblem(old, p) {
			fresh = append(fresh, p)
		}
	}
	if len(fresh) > 0 {
		t.problems(fresh)
	}
	if flows.Refused(fresh) {
		return // nothing is changed
	}
	f.Filled, f.Field = next, 0
	t.question()
}

func hasProblem(ps []flows.Problem, p flows.Problem) bool {
	for _, q := range ps {
		if q.Field == p.Field && q.Key == p.Key {
			return true
		}
	}
	return false
}

// problems says what is wrong, a line each, with the line it stands on where
// it comes from a pasted text.
func (t *turn) problems(ps []flows.Problem) {
	const most = 20
	var lines []flows.Line
	for _, p := range ps[:min(len(ps), most)] {
		if p.Line > 0 {
			lines = append(lines, flows.Say("enrol.line", flows.ArgN("line", p.Line)))
		}
		lines = append(lines, p.Say())
	}
	if len(ps) > most {
		lines = append(lines, flows.Say("enrol.more", flows.ArgN("count", len(ps)-most)))
	}
	t.say(lines...)
}
