package redflag

import (
	"duskdawn/flows/chart"
)

// The answers by which a row is raised.

// SleepierBy is how far above the plan's baseline sleepiness is worth a
// person's look: design of this table, common practice, no source.
const SleepierBy = 2

// least is an answer of n or more.
func least(n int) func(chart.Answer, *chart.Baseline) bool {
	return func(v chart.Answer, _ *chart.Baseline) bool { return v.AtLeast(n) }
}

// is holds of one answer.
func is(n int) func(chart.Answer, *chart.Baseline) bool {
	return func(v chart.Answer, _ *chart.Baseline) bool { return v.Is(n) }
}

// sleepier is sleepiness above what it was before the first night.
func sleepier(v chart.Answer, b *chart.Baseline) bool {
	return b.Sleepy.Known() && v.AtLeast(b.Sleepy.N()+SleepierBy)
}

func pausesBefore(b *chart.Baseline) chart.Answer   { return b.Pauses }
func headacheBefore(b *chart.Baseline) chart.Answer { return b.Headache }

// byField lists the rows that an answer of a field can raise.
var byField = func() (of [chart.NumFields][]*Row) {
	for i := range table {
		if r := &table[i]; r.Reached != nil {
			of[r.Field] = append(of[r.Field], r)
		}
	}
	return of
}()

// ByAnswer returns the rows that an answer of a field can raise.
func ByAnswer(field chart.Field) []*Row { return byField[field] }

// Crossed reports whether an answer, in the place of an old one, is what newly
// raises the row.
func (r *Row) Crossed(old, v chart.Answer, b *chart.Baseline) bool {
	return r.Reached(v, b) && !r.Reached(old, b) && (r.Below == 0 || !v.AtLeast(r.Below)) && !r.WasSo(b)
}

// WasSo reports whether the baseline says that this was so before the first night.
func (r *Row) WasSo(b *chart.Baseline) bool { return r.Before != nil && r.Before(b).Is(chart.Yes) }
