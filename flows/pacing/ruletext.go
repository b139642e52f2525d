package pacing

import (
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/evidence"
	"duskdawn/flows/practice"
)

// RuleText is what people read of a pacing rule, by message keys, and what it
// rests on.
type RuleText struct {
	Rule    chart.Rule
	Name    string        // "rule.P07.name"
	Desk    string        // "rule.P07.desk"
	Role    practice.Role // who looks at it
	Source  evidence.Basis
	Fields  []string // keys of the blanks that set it; none where it is fixed
	Figures []string // ids of the fixed numbers in it
}

// RuleRow returns what people read of a rule, P01 to P18.
func RuleRow(r chart.Rule) RuleText {
	if r < 1 || int(r) > len(Table) {
		return RuleText{}
	}
	row := &Table[r-1]
	return RuleText{Rule: r, Name: "rule." + r.ID() + ".name", Desk: "rule." + r.ID() + ".desk", Role: row.role,
		Source: row.source, Fields: strings.Fields(row.fields), Figures: strings.Fields(row.figures)}
}
