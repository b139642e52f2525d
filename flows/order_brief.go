package flows

import (
	"duskdawn/flows/chart"
)

// BriefOf gathers what a form about a patient needs, for OrderBrief.
func BriefOf(p *Patient, ask string) Brief {
	doubts, _ := SteadyDoubts(p)
	var proof *chart.SleepTest
	if x, ok := p.proof(); ok {
		proof = &x
	}
	return Brief{
		Patient: p.ID,
		Enrolment: chart.Enrolment{
			Label: p.Label, Lang: p.Lang, Zone: p.Zone, Phone: p.Phone, Physician: p.Physician,
			Appliance: p.Appliance, Baseline: p.Baseline, Plan: p.Plan, Checklist: p.Checklist, Adult: true,
		},
		State: p.Course.State, Left: p.Course.Left, Right: p.Course.Right, InDoubt: p.Course.InDoubt,
		Flags: p.Course.Flags, Escs: p.Escalations, Ask: ask, Doubts: doubts, Made: p.MadeFor(), Proof: proof,
	}
}
