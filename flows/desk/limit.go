package desk

import (
	"strconv"

	"duskdawn/flows"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// The blanks that a plan change offers by button; every other limit can be
// typed as `key: value`.
var limitButtons = [...]string{"ceiling", "interval", "settle", "target", "rest-mornings", "pace-mm",
	"release-by-person", "ends", "evening", "morning"}

// mayChange reports whether a blank belongs to the plan: the rest of an
// enrolment is what was found on fitting day.
func mayChange(f enrol.FormField) bool {
	return f.Part == enrol.PartLimits || f.Part == enrol.PartPlan && f.Key != "fitted" && f.Key != "checklist"
}

// putLimits offers the limits, or asks for the one that was chosen.
func (t *turn) putLimits() {
	f := &t.c.Form
	fields := enrol.FormFields()
	if f.Field > 0 && int(f.Field) <= len(fields) {
		t.putField(fields[f.Field-1].Key, []message.Button{t.tap("desk.b.back", "back"), t.tap("desk.b.cancel", "x")})
		return
	}
	e := &f.Filled.Enrolment
	m := message.Message{Lines: append([]message.Line{message.Say("desk.ask.limits", message.ArgS("label", e.Label))},
		planChanges(&f.Brief.Enrolment, e)...)}
	var row []message.Button
	for _, key := range limitButtons {
		i := enrol.FormIndex(fields, key)
		row = append(row, t.tapLine(message.Say("desk.b.limit", message.ArgK("field", "enrol.f."+key),
			valueArg(fields[i], e, "now")), "l"+strconv.Itoa(i)))
		if len(row) == 1 {
			m.Inline = append(m.Inline, row)
			row = nil
		}
	}
	for n := range min(len(t.pr.Templates), 4) {
		m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say("desk.b.as", message.ArgS("name", t.pr.Templates[n].Name)),
			"t"+strconv.Itoa(n))})
	}
	m.Inline = append(m.Inline, []message.Button{t.tap("desk.b.done", "done"), t.tap("desk.b.cancel", "x")})
	t.send(m)
}

func (t *turn) limitTap(arg string) {
	f := &t.c.Form
	fields := enrol.FormFields()
	switch {
	case arg == "done":
		t.limitsDone()
	case f.Field > 0:
		t.limitValue(fields[f.Field-1], arg)
	case len(arg) > 1 && arg[0] == 't':
		n, err := strconv.Atoi(arg[1:])
		if err != nil || n < 0 || n >= len(t.pr.Templates) {
			t.sayKey("desk.form.gone")
			return
		}
		t.limitTemplate(t.pr.Templates[n])
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

// limitTemplate takes what a template says of the limits and hours of a plan.
func (t *turn) limitTemplate(as practice.Template) {
	fields := enrol.FormFields()
	next := t.c.Form.Filled
	for _, b := range as.Blanks {
		if i := enrol.FormIndex(fields, b.Key); i >= 0 && fields[i].Habit() {
			if ps := next.Put(fields, i, b.Value); len(ps) > 0 {
				t.problems(ps)
				return
			}
		}
	}
	t.limitTaken(next)
}

func (t *turn) limitsDone() {
	f := &t.c.Form
	if len(planChanges(&f.Brief.Enrolment, &f.Filled.Enrolment)) == 0 {
		t.c.Form = Form{}
		t.sayKey("desk.nochange")
		return
	}
	if ps := enrol.Check(f.Filled.Enrolment); enrol.Refused(ps) {
		t.problems(ps) // e.g. a plan that has ended: its last night must be changed too
		return
	}
	f.At, f.Field, f.Nonce, f.Stage = f.At+1, 0, t.nonce(), Waiting
	t.preview()
}

// limitSaid takes lines of a name and a value, or the value of the limit that is open.
func (t *turn) limitSaid(text string, s flows.Said) {
	f := &t.c.Form
	fields := enrol.FormFields()
	pairs := pairsOf(s)
	known := false
	for _, p := range pairs {
		known = known || enrol.FormIndex(fields, p.Key) >= 0
	}
	switch {
	case s.Reading.Word == reading.WordDone:
		t.limitsDone()
	case known:
		for _, p := range pairs {
			i := enrol.FormIndex(fields, p.Key)
			if i < 0 || !mayChange(fields[i]) {
				t.wrong(enrol.Problem{Key: "desk.bad.limit", Args: []message.Arg{message.ArgS("key", p.Key)}})
				return
			}
		}
		next := f.Filled
		if ps := next.Fill(fields, pairs); len(ps) > 0 {
			t.problems(ps)
			if len(pairs) > 1 {
				t.sayKey("desk.nochange") // not of the other lines either
			}
			return
		}
		t.limitTaken(next)
	case f.Field > 0 && int(f.Field) <= len(fields):
		t.limitValue(fields[f.Field-1], t.value(fields[f.Field-1], text, s))
	default:
		t.sayKey("desk.limit.how")
		t.question()
	}
}

func (t *turn) limitValue(field enrol.FormField, text string) {
	fields := enrol.FormFields()
	next := t.c.Form.Filled
	if arg, ok := choiceArg(field, text); ok {
		text = arg
	}
	if ps := next.Put(fields, enrol.FormIndex(fields, field.Key), text); len(ps) > 0 {
		t.problems(ps)
		return
	}
	t.limitTaken(next)
}

// limitTaken keeps a change that leaves the whole plan within its bounds.
func (t *turn) limitTaken(next enrol.Filled) {
	f := &t.c.Form
	ps := enrol.Check(next.Enrolment)
	old := enrol.Check(f.Filled.Enrolment)
	fresh := ps[:0:0]
	for _, p := range ps {
		if !hasProblem(old, p) {
			fresh = append(fresh, p)
		}
	}
	if len(fresh) > 0 {
		t.problems(fresh)
	}
	if enrol.Refused(fresh) {
		return // nothing is changed
	}
	f.Filled, f.Field = next, 0
	t.question()
}

func hasProblem(ps []enrol.Problem, p enrol.Problem) bool {
	for _, q := range ps {
		if q.Field == p.Field && q.Key == p.Key {
			return true
		}
	}
	return false
}

// problems says what is wrong, a line each, with the line it stands on where
// it comes from a pasted text.
func (t *turn) problems(ps []enrol.Problem) {
	const most = 20
	var lines []message.Line
	for _, p := range ps[:min(len(ps), most)] {
		if p.Line > 0 {
			lines = append(lines, message.Say("enrol.line", message.ArgN("line", p.Line)))
		}
		lines = append(lines, p.Say())
	}
	if len(ps) > most {
		lines = append(lines, message.Say("enrol.more", message.ArgN("count", len(ps)-most)))
	}
	t.say(lines...)
}
