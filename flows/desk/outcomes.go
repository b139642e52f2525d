package desk

import "duskdawn/flows"

// Outcomes shows what came of it in the nights remembered: adherence by both
// rules, the tests compared, the change in snoring. The record that the command
// line exports reckons the same of every night.
func Outcomes(p *flows.Patient) []flows.Line {
	nights := remembered(p)
	lines := []flows.Line{head(p)}
	if len(nights) == 0 {
		return append(lines, flows.Say("desk.diary.empty"))
	}
	lines = append(lines, flows.Say("outcome.head", flows.ArgD("from", nights[0].Night), flows.ArgD("to", nights[len(nights)-1].Night)))
	for _, o := range flows.Tally(p, nights) {
		lines = append(lines, o.Say())
	}
	return append(lines, flows.Say("outcome.caution"))
}

// outcomeWhys link the outcomes to the definitions they go by.
func outcomeWhys(p *flows.Patient) [][]flows.Button {
	var rows [][]flows.Button
	for _, id := range [...]string{"adherence-payer", "adherence-dental", "response", "alleviation", "snoring-change"} {
		rows = append(rows, []flows.Button{{Label: flows.Say("desk.b.why", flows.ArgS("id", id)), Op: opWhy, Arg: id}})
	}
	return rows
}

// remembered are the nights that a patient's own state holds.
func remembered(p *flows.Patient) []flows.Entry {
	c := &p.Course
	return c.Nights[:min(int(c.N), len(c.Nights))]
}
