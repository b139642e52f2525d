package desk

import (
	"slices"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// enrolSummary checks the whole and shows what will be signed. What is refused
// is asked again; soft problems are shown above the signature.
func (t *turn) enrolSummary() {
	f := &t.c.Form
	fields := enrol.FormFields()
	e := &f.Filled.Enrolment
	ps := append(enrol.CheckOn(*e, t.e.Office.Date), f.Filled.Unused(fields)...)
	if enrol.Refused(ps) {
		t.problems(ps)
		reopened := false
		for _, p := range ps {
			if i := enrol.FormIndex(fields, p.Field); i >= 0 && !p.Soft && !reopened {
				f.Filled.Open(i)
				f.Asks = append(f.Asks[:len(f.Asks):len(f.Asks)], int16(i)) // it never falls back to its default unsaid
				reopened = true
			}
		}
		if reopened && t.n < 8 { // each round opens a blank and asks for it: it cannot come back here
			t.n++
			t.enrolQuestion()
		}
		return
	}
	was, seen := f.Seen, *e
	f.Stage, f.Field, f.Seen = Summing, 0, &seen
	if f.Partly = was != nil && len(changes(was, e)) > 0; f.Partly {
		t.changedSummary(was, ps)
		return
	}
	person, limits := enrol.Sheet(e, t.pr, t.e.Office.Date)
	t.say(append([]message.Line{message.Say("enrol.sum", message.ArgS("label", e.Label))}, person...)...)
	lines := []message.Line{message.Say("enrol.sum.limits", message.ArgS("label", e.Label))}
	for _, p := range ps {
		lines = append(lines, p.Say())
	}
	now := *e
	now.Plan.On = t.e.Office.Date
	t.signing(append(append(append(lines, enrol.Summarise(now).Say(e)...), limits...), message.Say("enrol.change")))
}

// wholeArg shows all of it again.
const wholeArg = "whole"

// signing sends the sum, or what was changed of it, with the ways on.
func (t *turn) signing(lines []message.Line) {
	m := message.Message{Lines: lines}
	switch f := &t.c.Form; {
	case t.who.Role < practice.Clinician:
		m.Lines = append(m.Lines, message.Say("enrol.handover"))
		for _, s := range t.signers() {
			m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say("desk.b.to", message.ArgS("who", s.Label)), "to"+
				cut(s.ID, 14))})
		}
	case !f.Partly:
		m.Lines = append(m.Lines, message.Say("enrol.sign"))
		m.Inline = [][]message.Button{{t.tap("desk.b.sign", "sign")}}
	}
	if t.c.Form.Partly {
		m.Inline = append(m.Inline, []message.Button{t.tap("desk.b.whole", wholeArg)})
	}
	m.Inline = append(m.Inline, []message.Button{t.tap("desk.b.details", "more"), t.tap("desk.b.limits", "limits")},
		[]message.Button{t.tap("desk.b.back", "back"), t.tap("desk.b.cancel", "x")})
	t.send(m)
}

// changedSummary shows what was changed since the sum was shown last, and what follows from
// it. The whole is a tap away, and is shown in any case before it is signed.
func (t *turn) changedSummary(was *chart.Enrolment, ps []enrol.Problem) {
	now, then := t.c.Form.Filled.Enrolment, *was
	lines := append([]message.Line{message.Say("enrol.sum.changed", message.ArgS("label", now.Label))}, changes(was, &now)...)
	now.Plan.On, then.Plan.On = t.e.Office.Date, t.e.Office.Date
	old := enrol.Summarise(then).Say(&then)
	for _, p := range enrol.CheckOn(then, t.e.Office.Date) {
		old = append(old, p.Say())
	}
	follows := enrol.Summarise(now).Say(&now)
	for _, p := range ps {
		follows = append(follows, p.Say())
	}
	for _, l := range follows {
		if !slices.ContainsFunc(old, func(x message.Line) bool { return x.Key == l.Key && slices.Equal(x.Args, l.Args) }) {
			lines = append(lines, l)
		}
	}
	key := "enrol.sum.rest"
	if t.who.Role >= practice.Clinician {
		key = "enrol.sum.rest.sign"
	}
	t.signing(append(lines, message.Say(key)))
}

// limitLines lists the limits, so that nothing is signed unseen.
func limitLines(e *chart.Enrolment) []message.Line {
	var out []message.Line
	for _, f := range enrol.FormFields() {
		if (f.Part == enrol.PartLimits || f.Part == enrol.PartPlan) && f.Asked(e) && f.Key != "ceiling" {
			out = append(out, message.Say("enrol.sum.limit", message.ArgK("field", "enrol.f."+f.Key), valueArg(f, e, "now")))
		}
	}
	return out
}

// sign asks who signs for the PIN.
func (t *turn) sign() {
	f := &t.c.Form
	if !t.may(practice.Clinician, "sign") {
		return
	}
	if f.Partly { // nothing is signed that was not shown as a whole
		t.question()
		return
	}
	if enrol.Refused(enrol.CheckOn(f.Filled.Enrolment, t.e.Office.Date)) || f.New == "" {
		t.enrolSummary()
		return
	}
	t.prove()
}

// signed makes the patient: the clinician's word is the signature.
func (t *turn) signed() {
	f := &t.c.Form
	if !t.may(practice.Clinician, "sign") {
		return
	}
	e := f.Filled.Enrolment
	e.Plan.Rev, e.Plan.By, e.Plan.ByName, e.Plan.On = 1, t.who.ID, t.who.Label, t.e.Office.Date
	code := flows.NewCode(string(f.New[:2]), t.e.Seed)
	f.Stage = Sent
	t.log("desk.signed", message.ArgS("patient", string(f.New)))
	t.tell(flows.Target{Patient: f.New}, flows.Enrol{Enrolment: e, Actor: t.actor(), Code: code, Chat: t.c.ID,
		Link: t.chatOf(f.From)})
}

// labelTaken reopens a signed form whose label another patient has: nothing
// that was filled in is lost.
func (t *turn) labelTaken(b flows.LabelTaken) {
	f := &t.c.Form
	if f.Op != opEnrol || f.Stage != Sent || f.Filled.Enrolment.Label != b.Label {
		t.say(message.Say("enrol.taken", message.ArgS("label", b.Label)))
		return
	}
	who, _ := t.pr.ByChat(t.c.ID)
	t.who = who
	f.Stage, f.Since, f.New, f.Seen = Asking, t.now(), flows.NewPatientID(t.e.Seed), nil
	f.Filled.Open(enrol.FormIndex(enrol.FormFields(), "label"))
	t.say(message.Say("enrol.taken", message.ArgS("label", b.Label)))
	t.question()
}

// handOver sends an assistant's form to a clinician.
func (t *turn) handOver(id string) {
	f := &t.c.Form
	s, known := t.pr.ByID(id)
	if !known || s.Removed || s.Role != practice.Clinician || s.Chat == 0 {
		t.question()
		return
	}
	t.tell(flows.Target{Chat: s.Chat}, flows.Draft{Filled: f.Filled, Actor: t.actor()})
	t.log("desk.handed", message.ArgS("who", s.ID))
	t.c.Form = Form{}
	t.say(message.Say("enrol.handed", message.ArgS("who", s.Label)))
}
