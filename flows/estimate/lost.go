package estimate

import (
	"slices"

	"duskdawn/flows/chart"
)

// Lost counts evenings by the rule that won: the tool to tune a plan by. The
// zero Lost has counted none; those of several patients add up.
type Lost struct {
	Evenings int // with an advice
	Steps    int // ... that was a step forward
	By       [32]int
}

// Lost counts the nights of a record.
func (r *Record) Lost() (l Lost) {
	for i := range r.Nights {
		switch e := &r.Nights[i]; {
		case e.Action == chart.NoAction:
		case e.Action == chart.Forward:
			l.Evenings, l.Steps = l.Evenings+1, l.Steps+1
		default:
			l.Evenings++
			l.By[e.Rule%chart.Rule(len(l.By))]++
		}
	}
	return l
}

// Add counts another's evenings too.
func (l *Lost) Add(m Lost) {
	l.Evenings, l.Steps = l.Evenings+m.Evenings, l.Steps+m.Steps
	for i, n := range m.By {
		l.By[i] += n
	}
}

// Cause is one rule and the evenings it won.
type Cause struct {
	Rule     chart.Rule
	Evenings int
}

// Causes lists the rules that won evenings without a step, the most first, among
// equals the lower.
func (l *Lost) Causes() (out []Cause) {
	for i, n := range l.By {
		if n > 0 && i > 0 {
			out = append(out, Cause{chart.Rule(i), n})
		}
	}
	slices.SortStableFunc(out, func(a, b Cause) int { return b.Evenings - a.Evenings })
	return out
}
