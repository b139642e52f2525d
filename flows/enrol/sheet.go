package enrol

import (
	"slices"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/evidence"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// Sheet is everything that is signed with an enrolment, for whoever signs to see:
// the person, the appliance and what was found; and, apart, the limits, each with
// what is usual, its bound and what it rests on. Either fits into one message.
func Sheet(e *chart.Enrolment, pr *practice.Practice, today civil.Date) (person, limits []message.Line) {
	var none []string
	for _, i := range Order(Table[:]) {
		f := Table[i]
		switch {
		case !f.Asked(e) || f.Key == "label":
		case f.Habit() || f.Key == "ceiling" || f.Key == "timetable" || f.Key == "timetable-top":
			limits = append(limits, f.limitLine(e, pr, today))
		case f.Part == PartPlan:
			limits = append(limits, message.Say("enrol.sum.limit", message.ArgK("field", "enrol.f."+f.Key), f.Shown(e, "now")))
		case f.Text(e) == "":
			none = append(none, "enrol.f."+f.Key)
		default:
			person = append(person, f.sheetLine(e))
		}
	}
	if len(none) > 0 {
		person = append(person, message.Say("enrol.sum.none", message.Arg{Name: "fields", Kind: message.ArgList,
			S: strings.Join(none, "|")}))
	}
	return person, limits
}

// sheetLine is one blank of the person or the appliance: a travel with its length, what is
// counted from the zero with that zero.
func (f FormField) sheetLine(e *chart.Enrolment) message.Line {
	args := []message.Arg{message.ArgK("field", "enrol.f."+f.Key), f.Shown(e, "now")}
	n, _ := f.Get(e)
	switch {
	case f.Kind == FormTravel:
		return message.Say("enrol.sum.travel", append(args, message.ArgN("count", int(n)), message.ArgUM("length", chart.Micrometres(n)*e.Appliance.Step))...)
	case f.Key == maxKey:
		return message.Say("enrol.sum.from", append(args, zeroArg(&e.Baseline))...)
	}
	return message.Say("enrol.sum.limit", args...)
}

// limitLine is one limit with its default, its bound and its source.
func (f FormField) limitLine(e *chart.Enrolment, pr *practice.Practice, today civil.Date) message.Line {
	args := []message.Arg{message.ArgK("field", "enrol.f."+f.Key), f.Shown(e, "now"), f.sourceArg()}
	key := "enrol.sum.own"
	if text := f.DefaultFor(pr, e, today); text != "" {
		usual := *e
		if d, p := f.Read(text); p == nil && f.Set(&usual, d) == nil {
			key = "enrol.sum.usual"
			if f.Text(&usual) != f.Text(e) {
				key, args = "enrol.sum.other", append(args, f.Shown(&usual, "usual"))
			}
		}
	}
	if f.Bounded() && f.Kind != FormYes {
		key += ".bound"
		args = append(args, f.Arg("least", f.Min), f.Arg("most", f.Max))
	}
	return message.Say(key, args...)
}

// sourceArg cites the publications that a blank rests on, or says that there is none.
func (f FormField) sourceArg() message.Arg {
	var cites []string
	for _, c := range f.Basis.Claims() {
		if p, ok := evidence.PublicationOf(c.Source); ok {
			if cite := p.Short(); !slices.Contains(cites, cite) {
				cites = append(cites, cite)
			}
		}
	}
	if len(cites) == 0 {
		return message.ArgK("source", "enrol.source.none")
	}
	return message.ArgS("source", strings.Join(cites, ", "))
}

// Shown gives what is kept in a blank, to be shown.
func (f FormField) Shown(e *chart.Enrolment, name string) message.Arg {
	n, known := f.Get(e)
	text := f.Text(e)
	switch {
	case !known && text == "":
		return message.ArgK(name, "desk.none")
	case f.Kind == FormYes:
		return message.ArgK(name, [...]string{"desk.no", "desk.yes"}[min(max(n, 0), 1)])
	case f.Kind == FormLang:
		return message.ArgK(name, "desk.lang."+text)
	case f.Kind == FormChoice && text != "":
		return message.ArgK(name, f.ChoiceKey(text))
	case f.Kind == FormMarks:
		var keys []string
		for c := range strings.FieldsSeq(text) {
			keys = append(keys, f.ChoiceKey(c))
		}
		if len(keys) == 0 {
			return message.ArgK(name, "desk.none")
		}
		return message.Arg{Name: name, Kind: message.ArgList, S: strings.Join(keys, "|")}
	case !known:
		return message.ArgS(name, text)
	case f.Kind == FormDate && n == 0:
		return message.ArgK(name, "desk.none")
	}
	return f.Arg(name, n)
}
