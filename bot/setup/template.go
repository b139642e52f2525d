package setup

import (
	"slices"

	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// template reads one of the practice's templates: a name, and what is usual in some
// blanks of a plan, through the table of blanks.
func template(t table, others []practice.Template) practice.Template {
	out := practice.Template{Name: t.need("name", 40)}
	if slices.ContainsFunc(others, func(o practice.Template) bool { return o.Name == out.Name && o.Name != "" }) {
		t.f.bad(t.path+"name", "enrol.bad.twice", message.ArgK("field", "enrol.f.template"))
	}
	fields := enrol.FormFields()
	var filled enrol.Filled
	for i, field := range fields { // in the order of the table: a travel in mm needs the step
		if !field.Templated() {
			continue
		}
		v, path, ok := t.take(field.Key)
		if !ok {
			continue
		}
		for _, p := range filled.Put(fields, i, typed(v)) {
			t.f.faults = append(t.f.faults, Fault{Key: path, Line: t.f.lines[path], Say: p.Say()})
		}
		out.Blanks = append(out.Blanks, practice.Blank{Key: field.Key, Value: typed(v)})
	}
	t.leftOver()
	return out
}
