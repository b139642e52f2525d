package desk

import (
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/estimate"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// nightsToRead reports whether there are nights for an estimate to read.
func nightsToRead(p *flows.Patient) bool {
	s := p.Course.State
	return p.Course.N > 0 && s >= chart.Settling && s != chart.Ended
}

func recordOf(pr *practice.Practice, p *flows.Patient) estimate.Record {
	return estimate.Of(&p.Course, p.Facts(pr, new(flows.Event)), nil, estimate.Tonight(&p.Course))
}

// Estimates shows a clinician all that can be estimated of the nights remembered;
// nobody else.
func Estimates(pr *practice.Practice, reader practice.Staff, p *flows.Patient) []message.Line {
	switch {
	case reader.Role < practice.Clinician:
		return []message.Line{message.Say("desk.refused.role", message.ArgK("role", roleKey(practice.Clinician)))}
	case !nightsToRead(p):
		return []message.Line{head(p), message.Say("desk.diary.empty")}
	}
	r := recordOf(pr, p)
	return append([]message.Line{head(p)}, r.Lines()...)
}

// estimateCard is what a clinician's card says of it, a line each.
func estimateCard(pr *practice.Practice, reader practice.Staff, p *flows.Patient) []message.Line {
	if reader.Role < practice.Clinician || !nightsToRead(p) {
		return nil
	}
	r := recordOf(pr, p)
	return r.Card()
}
