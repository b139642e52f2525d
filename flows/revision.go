package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
)

// keepRevisions is how many changes of a plan a patient carries along.
const keepRevisions = 6

// Revision is one change of a plan: who signed it, who looked a second time, when,
// and what differs.
type Revision struct {
	Rev     int32      `cbor:"1,keyasint,omitempty"`
	By      string     `cbor:"2,keyasint,omitempty"` // how the practice labels the person
	Second  string     `cbor:"3,keyasint,omitempty"` // and who looked a second time; empty where nobody else did
	At      civil.Wall `cbor:"4,keyasint,omitempty"` // at the practice
	Changes []Change   `cbor:"5,keyasint,omitempty"`
}

// Change is a blank of the plan before and after, as it would be typed.
type Change struct {
	At  int16  `cbor:"1,keyasint,omitempty"` // its place in the table
	Was string `cbor:"2,keyasint,omitempty"`
	Now string `cbor:"3,keyasint,omitempty"`
}

// changes lists what differs between two plans.
func changes(was, now *chart.Enrolment) (out []Change) {
	for i, f := range enrol.FormFields() {
		if f.Part != enrol.PartLimits && f.Part != enrol.PartPlan {
			continue
		}
		if a, b := f.Text(was), f.Text(now); a != b {
			out = append(out, Change{At: int16(i), Was: a, Now: b})
		}
	}
	return out
}

// revised keeps a change of the plan.
func (t *turn) revised(was, now *chart.Enrolment, by, second string) {
	r := Revision{Rev: now.Plan.Rev, By: by, Second: second, At: t.e.Office, Changes: changes(was, now)}
	all := append(t.p.Revisions[:len(t.p.Revisions):len(t.p.Revisions)], r)
	t.p.Revisions = all[max(0, len(all)-keepRevisions):]
}
