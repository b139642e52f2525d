package desk

import (
	"slices"
	"strings"

	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
)

// restIsEasy reports whether what is left of this blank's part can be taken as it
// is: defaults where there are any, nothing where nothing is needed.
func (t *turn) restIsEasy(fields []enrol.FormField, from int) bool {
	f := &t.c.Form
	n := 0
	for i, field := range fields {
		if field.Part != fields[from].Part || f.Filled.Has(i) || !field.Asked(&f.Filled.Enrolment) {
			continue
		}
		if field.Need && (field.Offered() || field.DefaultFor(t.pr, &f.Filled.Enrolment, t.e.Office.Date) == "") {
			return false
		}
		n++
	}
	return n > 1
}

// takeRest takes what is left of the part, where that is easy.
func (t *turn) takeRest() {
	f := &t.c.Form
	fields := enrol.FormFields()
	if f.Field < 1 || int(f.Field) > len(fields) || !t.restIsEasy(fields, int(f.Field)-1) {
		t.question()
		return
	}
	part := fields[f.Field-1].Part
	for i, field := range fields {
		if field.Part != part || f.Filled.Has(i) || !field.Asked(&f.Filled.Enrolment) {
			continue
		}
		if text := field.DefaultFor(t.pr, &f.Filled.Enrolment, t.e.Office.Date); text != "" {
			if ps := f.Filled.Put(fields, i, text); len(ps) > 0 {
				t.problems(ps)
				t.question()
				return
			}
		} else {
			f.Filled.Skip(i)
		}
		f.Trail = append(f.Trail[:len(f.Trail):len(f.Trail)], int16(i+1))
	}
	t.question()
}

// paste takes `key: value` lines, says line by line what is wrong, and keeps
// what is right. zones are those that the zone line names.
func (t *turn) paste(pairs []enrol.Pair, zones []string) {
	f := &t.c.Form
	fields := enrol.FormFields()
	pairs = slices.Clone(pairs)
	var ps []enrol.Problem
	for i := range pairs {
		p := &pairs[i]
		switch {
		case p.Key == "zone" && p.Value != "" && len(zones) == 1:
			p.Value = zones[0]
		case p.Key == "zone" && p.Value != "" && !slices.Contains(zones, p.Value):
			ps = append(ps, enrol.Problem{Field: "zone", Key: "enrol.bad.zone",
				Args: []message.Arg{message.ArgS("said", cut(p.Value, 40))}, Line: int(p.Line)})
			p.Value = ""
		case p.Key == "language" && p.Value != "" && len(t.pr.Langs) > 0 &&
			!slices.Contains(t.pr.Langs, strings.ToLower(p.Value)):
			ps = append(ps, enrol.Problem{Field: "language", Key: "enrol.bad.lang",
				Args: []message.Arg{message.ArgS("said", cut(p.Value, 20))}, Line: int(p.Line)})
			p.Value = ""
		}
	}
	pairs = slices.DeleteFunc(pairs, func(p enrol.Pair) bool {
		return p.Value == "" &&
			enrol.FormIndex(fields, p.Key) >= 0
	})
	ps = append(ps, f.Filled.Fill(fields, pairs)...)
	if len(ps) > 0 {
		slices.SortStableFunc(ps, func(a, b enrol.Problem) int { return a.Line - b.Line })
		t.problems(ps)
	}
	if len(pairs) > 3 {
		t.takeEasy(ps)
	}
	t.question()
}

// takeEasy follows a whole form that was pasted: what it leaves open is taken
// as its default or left out, and only what is needed is asked. A blank whose
// line was wrong is asked again; it never falls back to its default unsaid.
func (t *turn) takeEasy(wrong []enrol.Problem) {
	f := &t.c.Form
	fields := enrol.FormFields()
	for i, field := range fields {
		if f.Filled.Has(i) || !field.Asked(&f.Filled.Enrolment) ||
			slices.ContainsFunc(wrong, func(p enrol.Problem) bool { return p.Field == field.Key }) {
			continue
		}
		text := field.DefaultFor(t.pr, &f.Filled.Enrolment, t.e.Office.Date)
		switch {
		case text != "" && !field.Offered():
			f.Filled.Put(fields, i, text) // one that does not fit is asked
		case !field.Need:
			f.Filled.Skip(i)
		}
	}
}

// blank gives the form to copy: every key, with what is filled in or usual.
func (t *turn) blank() {
	f := &t.c.Form
	fields := enrol.FormFields()
	m := message.Message{}
	for _, i := range order(fields) {
		value := ""
		if t.c.Open() && f.Filled.Has(i) {
			value = fields[i].Text(&f.Filled.Enrolment)
		} else if !fields[i].Offered() {
			value = fields[i].DefaultFor(t.pr, &f.Filled.Enrolment, t.e.Office.Date)
		}
		m.Lines = append(m.Lines, message.Say("enrol.blank", message.ArgS("key", fields[i].Key),
			message.ArgS("value", value)))
	}
	t.say(message.Say("enrol.blank.how"))
	t.send(m)
}
