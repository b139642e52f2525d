package desk

import (
	"slices"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// What is usual in new plans can be changed from the chat by a clinician. It stands
// before the practice's file, and behind a template; no plan that is signed changes.

const opUsual = "usual" // the form of it

// usually is a plan with nothing but what is usual now.
func (t *turn) usually() enrol.Filled {
	var f enrol.Filled
	var none chart.Enrolment
	fields := enrol.FormFields()
	for i, field := range fields {
		if field.Habit() {
			f.Put(fields, i, field.DefaultFor(t.pr, &none, t.e.Office.Date))
		}
	}
	return f
}

func (t *turn) askUsual() {
	if !t.may(practice.Clinician, opUsual) {
		return
	}
	t.c.Form = Form{Op: opUsual, Nonce: t.nonce(), Stage: Asking, Since: t.now(), Filled: t.usually()}
	t.question()
}

// usualQuestion lists what is usual, and what of it was changed.
func (t *turn) usualQuestion() {
	f := &t.c.Form
	was := t.usually()
	changed := planChanges(&was.Enrolment, &f.Filled.Enrolment)
	cancel := t.tap("desk.b.cancel", "x")
	if f.Stage == Summing {
		t.send(message.Message{Lines: append(append([]message.Line{message.Say("desk.usual.sum")}, changed...), message.Say("desk.sum.sure")),
			Inline: [][]message.Button{{t.tap("desk.b.yes", "yes"), t.tap("desk.b.back", "back"), cancel}}})
		return
	}
	lines := []message.Line{message.Say("desk.usual.head")}
	for _, field := range enrol.FormFields() {
		if field.Habit() {
			lines = append(lines, message.Say("desk.usual.line", message.ArgS("key", field.Key), message.ArgK("field", "enrol.f."+field.Key),
				field.Shown(&f.Filled.Enrolment, "now")))
		}
	}
	t.send(message.Message{Lines: append(lines, changed...), Inline: [][]message.Button{{t.tap("desk.b.done", "done"), cancel}}})
}

// usualSaid takes `key: value` lines.
func (t *turn) usualSaid(s flows.Said) {
	f := &t.c.Form
	fields := enrol.FormFields()
	next := f.Filled
	pairs := pairsOf(s)
	for _, p := range pairs {
		i := enrol.FormIndex(fields, p.Key)
		if i < 0 || !fields[i].Habit() {
			t.wrong(enrol.Problem{Key: "desk.bad.limit", Args: []message.Arg{message.ArgS("key", cut(p.Key, 40))}})
			return
		}
	}
	if ps := next.Fill(fields, pairs); len(ps) > 0 {
		t.problems(ps)
		return
	}
	if l := &next.Enrolment.Plan.Limits; l.Loud <= l.Target {
		t.wrong(enrol.Problem{Field: "loud", Key: "enrol.bad.loud", Args: []message.Arg{message.ArgN("said", int(l.Loud)),
			message.ArgN("target", int(l.Target))}})
		return
	}
	f.Filled, f.Stage = next, Asking
	t.question()
}

func (t *turn) usualTap(arg string) {
	f := &t.c.Form
	switch {
	case arg == "done" && f.Stage == Asking:
		was := t.usually()
		if len(planChanges(&was.Enrolment, &f.Filled.Enrolment)) == 0 {
			t.c.Form = Form{}
			t.sayKey("desk.nochange")
			return
		}
		f.Stage = Summing
		t.question()
	case arg == "yes" && f.Stage == Summing:
		t.usualDone()
	default:
		t.sayKey("desk.form.gone")
	}
}

func (t *turn) usualDone() {
	f := t.c.Form
	t.c.Form = Form{}
	if !t.may(practice.Clinician, opUsual) {
		return
	}
	was := t.usually()
	var out []practice.Blank
	for _, field := range enrol.FormFields() {
		if now := field.Text(&f.Filled.Enrolment); field.Habit() && now != field.Text(&was.Enrolment) {
			out = append(out, practice.Blank{Key: field.Key, Value: now})
		}
	}
	t.tell(flows.Target{Practice: true}, flows.Manage{Op: flows.ManageUsual, Actor: t.actor(), Blanks: out})
}

// usual keeps what is usual from now on, and tells everybody.
func (o *office) usual(b flows.Manage) {
	actor, known := o.pr.ByID(b.Actor.ID)
	if !known || actor.Removed || actor.Role != practice.Clinician {
		return
	}
	fields := enrol.FormFields()
	lines := []message.Line{message.Say("desk.usual.set", message.ArgS("who", actor.Label))}
	own := slices.Clone(o.pr.Own)
	for _, x := range b.Blanks {
		i := enrol.FormIndex(fields, x.Key)
		if i < 0 || !fields[i].Habit() {
			continue
		}
		if _, p := fields[i].Read(x.Value); p != nil {
			continue
		}
		own = append(slices.DeleteFunc(own, func(y practice.Blank) bool { return y.Key == x.Key }), x)
		lines = append(lines, message.Say("enrol.sum.limit", message.ArgK("field", "enrol.f."+x.Key), shownText(fields[i], x.Value, "now")))
		o.log("desk.usual.set", message.ArgS("by", actor.ID), message.ArgS("key", x.Key), message.ArgS("value", x.Value))
	}
	o.pr.Own = own
	o.everyone(lines...)
}
