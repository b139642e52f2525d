package setup

import (
	"maps"
	"slices"
	"strings"

	"duskdawn/bot/phone"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// Plan reads a plan's file into an enrolment, through the same table of blanks
// as the form in the chat: the same keys, bounds, defaults and refusals. Soft
// faults are to be shown before it is signed.
func Plan(raw []byte, pr *practice.Practice, today civil.Date) (chart.Enrolment, []Fault) {
	f := readTOML(raw)
	if f.root == nil && len(f.faults) > 0 {
		return chart.Enrolment{}, f.faults
	}
	fields := enrol.FormFields()
	var filled enrol.Filled
	problems := filled.Fill(fields, f.pairs())
	failed := map[string]bool{}
	for _, p := range problems {
		failed[p.Field] = true
	}
	for _, p := range filled.Complete(fields, pr, today) {
		if !failed[p.Field] {
			problems = append(problems, p)
		}
	}
	if !enrol.Refused(problems) {
		for _, p := range append(enrol.CheckOn(filled.Enrolment, today), filled.Unused(fields)...) {
			// a file may be of a course that is over: nothing goes forward in it
			p.Soft = p.Soft || p.Key == "enrol.bad.past" || p.Key == "enrol.bad.longago"
			problems = append(problems, p)
		}
	}
	e := filled.Enrolment
	problems = append(problems, choices(&e, pr)...)
	for _, p := range problems {
		key, line := p.Field, p.Line
		if key == "" && len(p.Args) > 0 {
			key = p.Args[0].S // an unknown key, by its own name
		}
		if line == 0 {
			line = f.lines[key]
		}
		f.faults = append(f.faults, Fault{Key: key, Line: line, Say: p.Say(), Soft: p.Soft})
	}
	return e, inOrder(f.faults)
}

// pairs gives the file's keys and values as if they had been typed. A table in
// place of a value is a fault.
func (f *file) pairs() (pairs []enrol.Pair) {
	for _, key := range slices.Sorted(maps.Keys(f.root)) {
		v := f.root[key]
		text := typed(v)
		if _, isTable := v.(map[string]any); isTable {
			f.bad(key, "setup.bad.key")
			continue
		}
		if scores, isList := v.([]any); isList && key == "scores" {
			parts := make([]string, len(scores))
			for i, s := range scores {
				parts[i] = typed(s)
			}
			text = strings.Join(parts, ", ")
		}
		pairs = append(pairs, enrol.Pair{Line: int16(f.lines[key]), Key: key, Value: text})
	}
	return pairs
}

func templateNames(pr *practice.Practice) string {
	names := make([]string, len(pr.Templates))
	for i := range names {
		names[i] = pr.Templates[i].Name
	}
	return strings.Join(names, ", ")
}

// choices holds telephone, template, zone and language to what this machine and this practice know.
func choices(e *chart.Enrolment, pr *practice.Practice) (problems []enrol.Problem) {
	if e.Zone != "" && !KnownZone(e.Zone) {
		problems = append(problems, enrol.Problem{Field: "zone", Key: "enrol.bad.zone",
			Args: []message.Arg{message.ArgS("said", e.Zone)}})
	}
	if e.Phone != "" && !phone.Possible(e.Phone, pr.Country) {
		problems = append(problems, enrol.Problem{Field: "phone", Key: "enrol.bad.possible",
			Args: []message.Arg{message.ArgS("said", e.Phone)}})
	}
	if _, known := pr.TemplateOf(e.Template); e.Template != "" && !known {
		problems = append(problems, enrol.Problem{Field: "template", Key: "enrol.bad.template",
			Args: []message.Arg{message.ArgS("said", e.Template), message.ArgS("known", templateNames(pr))}})
	}
	if len(pr.Langs) > 0 && e.Lang != "" && !slices.Contains(pr.Langs, e.Lang) {
		problems = append(problems, enrol.Problem{Field: "language", Key: "enrol.bad.lang",
			Args: []message.Arg{message.ArgS("said", e.Lang)}})
	}
	return problems
}
