package desk

import (
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/why"
)

// Outcomes shows what came of it in the nights remembered: adherence by both
// rules, the tests compared, the change in snoring. The record that the command
// line exports reckons the same of every night.
func Outcomes(p *flows.Patient) []message.Line {
	nights := remembered(p)
	lines := []message.Line{head(p)}
	if len(nights) == 0 {
		return append(lines, message.Say("desk.diary.empty"))
	}
	lines = append(lines, message.Say("outcome.head", message.ArgD("from", nights[0].Night),
		message.ArgD("to", nights[len(nights)-1].Night)))
	for _, o := range why.Report(p, nights) {
		lines = append(lines, o.Say())
	}
	return append(lines, message.Say("outcome.caution"))
}

// outcomeWhys link the outcomes to the definitions they go by.
func outcomeWhys(p *flows.Patient) [][]message.Button {
	var rows [][]message.Button
	for _, id := range [...]string{"adherence-payer", "adherence-dental", "response", "alleviation", "snoring-change"} {
		rows = append(rows, []message.Button{{Label: message.Say("desk.b.why", message.ArgS("id", id)), Op: opWhy, Arg: id}})
	}
	return rows
}

// remembered are the nights that a patient's own state holds.
func remembered(p *flows.Patient) []chart.Entry {
	c := &p.Course
	return c.Nights[:min(int(c.N), len(c.Nights))]
}
