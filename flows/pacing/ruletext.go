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
	Calls   bool     // it asks a person to call
}

// Rules returns what people read of every rule, by number.
func Rules() []RuleText {
	out := make([]RuleText, 0, numRules)
	for id := P01; id < numRules; id++ {
		out = append(out, RuleRow(id))
	}
	return out
}

// RuleRow returns what people read of a rule; nothing where there is no such rule.
func RuleRow(id chart.Rule) RuleText {
	if id < P01 || id >= numRules {
		return RuleText{}
	}
	row := &table[id]
	return RuleText{Rule: id, Name: "rule." + id.ID() + ".name", Desk: "rule." + id.ID() + ".desk", Role: row.role,
		Source: row.source, Fields: strings.Fields(row.fields), Figures: strings.Fields(row.figures), Calls: row.calls}
}

// RuleNamed finds a rule by its id, as "P07".
func RuleNamed(id string) (RuleText, bool) {
	for r := P01; r < numRules; r++ {
		if r.ID() == id {
			return RuleRow(r), true
		}
	}
	return RuleText{}, false
}

// Reviews returns the rules that wait for a person's review.
func Reviews() (out chart.Rules) {
	for id := P01; id < numRules; id++ {
		if table[id].review {
			out = out.With(id)
		}
	}
	return out
}
