package desk

import (
	"slices"

	"duskdawn/flows"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
)

// restIsEasy reports whether what is left of this blank's part can be taken as it
// is: defaults where there are any, nothing where nothing is needed.
func (t *turn) restIsEasy(fields []enrol.FormField, from int) bool {
	f := &t.c.Form
	n := 0
	for i, field := range fields {
		if field.Part != fields[from].Part || f.Filled.Has(i) || !t.asks(i) && !field.Need ||
			!field.Asked(&f.Filled.Enrolment) {
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
		if field.Part != part || f.Filled.Has(i) || !t.asks(i) || !field.Asked(&f.Filled.Enrolment) {
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
// what is right.
func (t *turn) paste(pairs []enrol.Pair, s flows.Said) {
	f := &t.c.Form
	fields := enrol.FormFields()
	var ps []enrol.Problem
	kept := make([]enrol.Pair, 0, len(pairs))
	for _, p := range pairs {
		bad := t.unknown(p.Key, p.Value)
		switch {
		case p.Value == "" && enrol.FormIndex(fields, p.Key) >= 0:
			continue // a line of the blank form left open
		case p.Key == "zone" && len(s.Zones) == 1:
			p.Value = s.Zones[0]
		case p.Key == "zone" && !slices.Contains(s.Zones, p.Value):
			bad = &enrol.Problem{Field: "zone", Key: "enrol.bad.zone", Args: []message.Arg{message.ArgS("said", cut(p.Value, 40))}}
		case p.Key == labelKey && s.Taken != "":
			bad = &enrol.Problem{Field: labelKey, Key: "enrol.taken", Args: []message.Arg{message.ArgS("label", s.Taken)}}
		case p.Key == phoneKey && s.NoPhone != "":
			one := noPhone(s, p.Line)
			bad = &one
		}
		if bad != nil {
			bad.Line = int(p.Line)
			ps = append(ps, *bad)
			continue
		}
		kept = append(kept, p)
	}
	was := f.Filled
	ps = append(ps, f.Filled.Fill(fields, kept)...)
	for i := range fields {
		if p := fields[i].Ahead(&f.Filled.Enrolment, t.e.Office.Date); p != nil && f.Filled.Has(i) {
			p.Line = lineIn(kept, fields[i].Key)
			ps = append(ps, *p)
			f.Filled.Open(i)
		}
	}
	if len(ps) > 0 {
		slices.SortStableFunc(ps, func(a, b enrol.Problem) int { return a.Line - b.Line })
		t.problems(ps)
	}
	if slices.ContainsFunc(ps, func(p enrol.Problem) bool { return p.Field == "adult" && !p.Soft }) {
		t.c.Form = Form{}
		t.sayKey("enrol.minor")
		return
	}
	f.Asks = slices.Clone(f.Asks)
	for _, p := range ps { // a wrong line never falls back to its default unsaid
		if i := enrol.FormIndex(fields, p.Field); i >= 0 && !p.Soft && (!was.Has(i) || slices.Contains(was.Usual, int16(i))) && !t.asks(i) {
			f.Asks = append(f.Asks, int16(i))
		}
	}
	f.Asks = slices.DeleteFunc(f.Asks, func(i int16) bool { return f.Filled.Has(int(i)) && !slices.Contains(f.Filled.Usual, i) })
	t.question()
}

func lineIn(pairs []enrol.Pair, key string) int {
	for _, p := range pairs {
		if p.Key == key {
			return int(p.Line)
		}
	}
	return 0
}

// blank gives the form to copy: every key, with what is filled in or usual.
func (t *turn) blank() {
	f := &t.c.Form
	fields := enrol.FormFields()
	m := message.Message{}
	for _, i := range enrol.Order(fields) {
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
