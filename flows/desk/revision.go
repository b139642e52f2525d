package desk

import (
	"slices"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
)

// revisionLines tell the changes of a plan, newest first: who, when, and what differs.
func revisionLines(p *flows.Patient) []message.Line {
	var out []message.Line
	if s := p.Plan.Signed(); s.Evening != p.Plan.Evening || s.Morning != p.Plan.Morning {
		out = append(out, message.Say("desk.hours.moved", message.ArgC("evening", s.Evening), message.ArgC("morning", s.Morning)))
	}
	fields := enrol.FormFields()
	for _, r := range slices.Backward(p.Revisions) {
		args := []message.Arg{message.ArgN("rev", int(r.Rev)), message.ArgS("by", r.By), message.ArgD("day", r.At.Date),
			message.ArgC("time", r.At.Clock)}
		if r.Second == "" {
			out = append(out, message.Say("desk.revision", args...))
		} else {
			out = append(out, message.Say("desk.revision.second", append(args, message.ArgS("second", r.Second))...))
		}
		for _, c := range r.Changes {
			if i := int(c.At); i >= 0 && i < len(fields) {
				out = append(out, message.Say("desk.sum.change", message.ArgK("field", "enrol.f."+fields[i].Key),
					shownText(fields[i], c.Was, "was"), shownText(fields[i], c.Now, "now")))
			}
		}
	}
	return out
}

// shownText shows a value that was kept as it would be typed.
func shownText(f enrol.FormField, text, name string) message.Arg {
	var e chart.Enrolment
	if d, p := f.Read(text); p == nil && f.Set(&e, d) == nil {
		return f.Shown(&e, name)
	}
	return message.ArgK(name, "desk.none")
}
