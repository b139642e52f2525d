package desk

import (
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// maxDrafts is how many enrolments may wait for one clinician.
const maxDrafts = 8

// enrol opens the form. Everything may be pasted at once, at any time. Who cannot
// sign hears at once who can.
func (t *turn) enrol() {
	if !t.may(practice.Assistant, opEnrol) {
		return
	}
	if t.c.Busy() {
		t.busy(menuWant("enrol"))
		return
	}
	if !t.signable() {
		return
	}
	t.c.Form = Form{Op: opEnrol, Nonce: t.nonce(), Stage: Asking, New: flows.NewPatientID(t.e.Seed), Since: t.now()}
	t.say(message.Say("enrol.begin"))
	t.question()
}

// signable reports whether there is somebody who could sign what this person fills
// in; where not it has told so, before anything is typed.
func (t *turn) signable() bool {
	if t.who.Role >= practice.Clinician || len(t.signers()) > 0 {
		return true
	}
	t.sayKey("enrol.nosigner")
	return false
}

// signers are the clinicians who can be handed an enrolment.
func (t *turn) signers() (out []practice.Staff) {
	for _, s := range t.pr.Staff {
		if s.Role == practice.Clinician && s.Reachable() {
			out = append(out, s)
		}
	}
	return out
}

// asks reports whether the blank at place i is asked although it has a default or
// may stay empty: it was typed wrong, or the person wants to go through such blanks.
func (t *turn) asks(i int) bool { return slices.Contains(t.c.Form.Asks, int16(i)) }

// enrolQuestion asks for the first blank that is needed and has no default, or shows
// the summary.
func (t *turn) enrolQuestion() {
	f := &t.c.Form
	fields := enrol.FormFields()
	f.Field = 0
	asks := func(i int) bool { // of a language nobody has said, the form asks, where the practice has several
		return t.asks(i) || fields[i].Kind == enrol.FormLang && len(t.pr.Langs) > 1 && len(f.Trail) > 0
	}
	if ps := f.Filled.Take(fields, t.pr, t.e.Office.Date, asks); len(ps) > 0 {
		t.problems(ps)
	}
	for _, i := range enrol.Order(fields) {
		field := fields[i]
		if f.Filled.Has(i) || f.Filled.Waiting(i) || !field.Asked(&f.Filled.Enrolment) {
			continue
		}
		if !t.asks(i) && !field.Need && !(field.Key == templateKey && t.templateHelps()) {
			continue
		}
		f.Stage, f.Field = Asking, int16(i+1)
		var last []message.Button
		if !field.Need {
			last = append(last, t.tap("desk.b.skip", "skip"))
		}
		if t.restIsEasy(fields, i) {
			last = append(last, t.tap("desk.b.rest", "rest"))
		}
		if len(f.Trail) > 0 {
			last = append(last, t.tap("desk.b.back", "back"))
		}
		t.putField(field.Key, append(last, t.tap("desk.b.cancel", "x")))
		return
	}
	t.enrolSummary()
}

// templateHelps reports whether one of several templates would fill what is needed
// and still empty: a whole form that was pasted needs none.
func (t *turn) templateHelps() bool {
	f := &t.c.Form.Filled
	fields := enrol.FormFields()
	for i, field := range fields {
		if field.Need && field.Templated() && !f.Has(i) && !f.Waiting(i) && len(t.pr.Templates) > 1 {
			return true
		}
	}
	return false
}

// ahiKey is the blank of a number that stands only with its kind of test and rule.
const ahiKey = "ahi"

// templateKey is the blank that names a template of the practice.
const templateKey = "template"

// goThrough asks for the blanks that nobody was asked for: those that are empty, or
// the limits one by one.
func (t *turn) goThrough(limits bool) {
	f := &t.c.Form
	for i, field := range enrol.FormFields() {
		at := int16(i)
		usual := slices.Contains(f.Filled.Usual, at)
		if limits && usual && field.Habit() || !limits && !field.Need && !f.Filled.Has(i) && field.Key != templateKey {
			f.Asks = append(f.Asks[:len(f.Asks):len(f.Asks)], at)
			if usual {
				f.Filled.Open(i)
			}
		}
	}
	f.Filled.Usual = slices.DeleteFunc(slices.Clone(f.Filled.Usual), func(i int16) bool { return t.asks(int(i)) })
	t.question()
}

// enrolSaid takes typed words: pasted lines, or the answer to the open blank.
func (t *turn) enrolSaid(s flows.Said) {
	f := &t.c.Form
	fields := enrol.FormFields()
	pairs := pairsOf(s)
	known := slices.ContainsFunc(pairs, func(p enrol.Pair) bool { return enrol.FormIndex(fields, p.Key) >= 0 })
	switch word := s.Reading.Word; {
	case word == reading.WordBlank:
		t.blank()
	case known:
		t.paste(pairs, s)
	case word == reading.WordSkip:
		t.enrolTap("skip")
	case word == reading.WordDone:
		t.takeRest()
	case f.Stage == Summing && word == reading.WordYes:
		t.sign()
	case f.Stage == Summing && word == reading.WordNo:
		t.cancel()
	case f.Stage != Asking || f.Field < 1 || int(f.Field) > len(fields):
		t.question()
	case fields[f.Field-1].Kind == enrol.FormZone:
		t.zoneSaid(s)
	case s.Taken != "" && fields[f.Field-1].Key == labelKey:
		t.say(message.Say("enrol.taken", message.ArgS("label", s.Taken)))
	case s.NoPhone != "" && fields[f.Field-1].Kind == enrol.FormPhone:
		t.wrong(noPhone(s, 0))
	default:
		t.enrolValue(int(f.Field)-1, t.value(fields[f.Field-1], strings.TrimSpace(s.Text), s))
	}
}

// labelKey and phoneKey are blanks of which the intake finds out what the desk cannot
// know: whose a label is, and whether a number could be one.
const labelKey, phoneKey = "label", "phone"

// Given gives the label and the telephone that a text would put into this chat's
// form; empty where it gives none.
func (c *Chat) Given(s *flows.Said) (label, phone string) {
	fields := enrol.FormFields()
	if i := int(c.Form.Field) - 1; c.Form.Op == opEnrol && c.Form.Stage == Asking && i >= 0 && i < len(fields) {
		switch fields[i].Key {
		case labelKey:
			label = strings.TrimSpace(s.Text)
		case phoneKey:
			phone = strings.TrimSpace(s.Text)
		}
	}
	for _, p := range s.Pairs {
		switch p.Key {
		case labelKey:
			label = p.Value
		case phoneKey:
			phone = p.Value
		}
	}
	return label, phone
}

func noPhone(s flows.Said, line int16) enrol.Problem {
	return enrol.Problem{Field: phoneKey, Key: "enrol.bad.possible", Line: int(line),
		Args: []message.Arg{message.ArgS("said", cut(s.NoPhone, 40))}}
}

func (t *turn) enrolTap(arg string) {
	f := &t.c.Form
	fields := enrol.FormFields()
	switch {
	case arg == "sign" && f.Stage == Summing:
		t.sign()
		return
	case arg == wholeArg && f.Stage == Summing:
		t.question()
		return
	case (arg == "more" || arg == "limits") && f.Stage == Summing:
		t.goThrough(arg == "limits")
		return
	case strings.HasPrefix(arg, "to") && f.Stage == Summing:
		t.handOver(arg[2:])
		return
	case f.Stage != Asking || f.Field < 1 || int(f.Field) > len(fields):
		t.sayKey("desk.form.gone")
		return
	}
	i := int(f.Field) - 1
	switch {
	case arg == "skip" && fields[i].Need:
		t.question()
	case arg == "skip":
		if at := enrol.FormIndex(fields, ahiKey); (fields[i].Key == testFields[1] || fields[i].Key == testFields[2]) && f.Filled.Enrolment.Baseline.Test.AHI10.Known() {
			f.Filled.Enrolment.Baseline.Test = chart.SleepTest{} // a number without them says nothing
			f.Filled.Skip(at)
			t.sayKey("enrol.ahi.out")
		}
		f.Filled.Skip(i)
		f.Trail = append(f.Trail[:len(f.Trail):len(f.Trail)], f.Field)
		t.question()
	case arg == "rest":
		t.takeRest()
	case arg == edgeArg && fields[i].Key == startKey:
		t.edgeToEdge(i)
	case arg == "d":
		t.enrolValue(i, fields[i].DefaultFor(t.pr, &f.Filled.Enrolment, t.e.Office.Date))
	case strings.HasPrefix(arg, "z") && fields[i].Kind == enrol.FormZone:
		if n, err := strconv.Atoi(arg[1:]); err == nil && n >= 0 && n < len(f.Zones) {
			t.enrolValue(i, f.Zones[n])
			return
		}
		t.question()
	case fields[i].Key == templateKey && strings.HasPrefix(arg, "t"):
		if n, err := strconv.Atoi(arg[1:]); err == nil && n >= 0 && n < len(t.pr.Templates) {
			t.enrolValue(i, t.pr.Templates[n].Name)
			return
		}
		t.question()
	default:
		if c, ok := choiceArg(fields[i], arg); ok {
			arg = c
		}
		t.enrolValue(i, arg)
	}
}

// enrolValue puts one answer in its place and asks on.
func (t *turn) enrolValue(i int, text string) {
	f := &t.c.Form
	fields := enrol.FormFields()
	if p := t.unknown(fields[i].Key, text); p != nil {
		t.wrong(*p)
		return
	}
	if ps := t.put(&f.Filled, i, text); len(ps) > 0 {
		t.problems(ps)
		if fields[i].Key == "adult" && text == "no" {
			t.c.Form = Form{}
			t.sayKey("enrol.minor")
		}
		return
	}
	f.Asks = slices.DeleteFunc(slices.Clone(f.Asks), func(at int16) bool { return int(at) == i })
	f.Trail = append(f.Trail[:len(f.Trail):len(f.Trail)], int16(i+1))
	if ps := f.Filled.Follow(fields); len(ps) > 0 {
		t.problems(ps)
	}
	if at := enrol.FormIndex(fields, startKey); fields[i].Key == overjetKey && !f.Filled.Has(at) && !f.Filled.Waiting(at) { // asked for its sake
		t.enrolValue(at, text)
		return
	}
	t.question()
}

// put reads a text into a blank, and refuses at once what the whole would be refused
// for with it.
func (t *turn) put(to *enrol.Filled, i int, text string) []enrol.Problem {
	field, was := enrol.FormFields()[i], *to
	if ps := to.Put(enrol.FormFields(), i, text); len(ps) > 0 || !to.Has(i) {
		return ps
	}
	ps := slices.DeleteFunc(enrol.CheckOn(to.Enrolment, t.e.Office.Date), func(p enrol.Problem) bool {
		return p.Soft || p.Field != field.Key || p.Key == "enrol.bad.missing" || field.Kind == enrol.FormMarks
	})
	if len(ps) > 0 {
		*to = was
	}
	return ps
}

// unknown is what is wrong with a language or a template that the practice has not.
func (t *turn) unknown(key, text string) *enrol.Problem {
	said := message.ArgS("said", cut(text, 40))
	switch {
	case key == "language" && len(t.pr.Langs) > 0 && !slices.Contains(t.pr.Langs, strings.ToLower(text)):
		return &enrol.Problem{Field: key, Key: "enrol.bad.lang", Args: []message.Arg{said}}
	case key == templateKey:
		if _, known := t.pr.TemplateOf(text); !known {
			return &enrol.Problem{Field: key, Key: "enrol.bad.template", Args: []message.Arg{said,
				message.ArgS("known", templateNames(t.pr))}}
		}
	}
	return nil
}

func templateNames(pr *practice.Practice) string {
	names := make([]string, len(pr.Templates))
	for i := range names {
		names[i] = pr.Templates[i].Name
	}
	return strings.Join(names, ", ")
}

// The start can be given as edge to edge: that is the overjet, from the habitual bite.
const startKey, overjetKey, edgeArg = "start", "overjet-mm", "edge"

// edgeToEdge starts where the front teeth meet; the overjet is asked first where it
// is not known.
func (t *turn) edgeToEdge(start int) {
	f := &t.c.Form
	fields := enrol.FormFields()
	at := enrol.FormIndex(fields, overjetKey)
	if f.Filled.Has(at) && f.Filled.Enrolment.Baseline.Overjet.Known() {
		t.enrolValue(start, fields[at].Text(&f.Filled.Enrolment))
		return
	}
	f.Field = int16(at + 1)
	t.putField(overjetKey, []message.Button{t.tap("desk.b.cancel", "x")})
}

// zoneSaid takes a zone that the text names; several are offered, none asks
// for the time that a clock there shows now.
func (t *turn) zoneSaid(s flows.Said) {
	f := &t.c.Form
	switch len(s.Zones) {
	case 0:
		t.sayKey("enrol.zone.none")
	case 1:
		t.enrolValue(int(f.Field)-1, s.Zones[0])
	default:
		t.offerZones(s.Zones)
	}
}

// offerZones lets the person choose among several.
func (t *turn) offerZones(zones []string) {
	t.c.Form.Zones = zones
	m := message.Message{Lines: []message.Line{message.Say("enrol.zone.which")}}
	for n, z := range zones {
		m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say("desk.b.zone", message.ArgS("zone", z)), "z"+
			strconv.Itoa(n))})
	}
	m.Inline = append(m.Inline, []message.Button{t.tap("desk.b.cancel", "x")})
	t.send(m)
}

// enrolBack opens the last blank that was answered by itself.
func (t *turn) enrolBack() {
	f := &t.c.Form
	if n := len(f.Trail); n > 0 {
		f.Filled.Open(int(f.Trail[n-1]) - 1)
		f.Asks = append(f.Asks[:len(f.Asks):len(f.Asks)], f.Trail[n-1]-1) // it may have a default
		f.Trail = f.Trail[: n-1 : n-1]
	}
	t.question()
}

func cut(s string, n int) string {
	for i := range s {
		if n == 0 {
			return s[:i]
		}
		n--
	}
	return s
}
