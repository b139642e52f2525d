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

// VerySleepy is the score from which a person looks whatever it was before the
// first night: design of this table, common practice, no source.
const VerySleepy = 7

// verySleepy is such a score where it is no rise that has a row of its own.
func verySleepy(v chart.Answer, b *chart.Baseline) bool {
	return v.AtLeast(VerySleepy) && !sleepier(v, b)
}

// manyMornings is a headache on three mornings of a week or more; who does not say
// on how many counts as that.
func manyMornings(v chart.Answer, _ *chart.Baseline) bool {
	return v == chart.Skipped || v.AtLeast(chart.DaysMore)
}

func pausesBefore(b *chart.Baseline) chart.Answer   { return b.Pauses }
func headacheBefore(b *chart.Baseline) chart.Answer { return b.Headache }

// byField lists the rows that an answer of a field can raise.
var byField = func() (of [chart.NumFields][]*Row) {
	for i := range table {
		if r := &table[i]; r.Reached != nil {
			of[r.Field] = append(of[r.Field], r)
			if with := r.Field.Row().With; r.Night != nil && with != r.Field {
				of[with] = append(of[with], r)
			}
		}
	}
	return of
}()

// ByAnswer returns the rows that an answer of a field can raise.
func ByAnswer(field chart.Field) []*Row { return byField[field] }

// Crossed reports whether the answer of a field, in the place of an old one, is
// what makes a night's answers raise the row.
func (r *Row) Crossed(e *chart.Entry, field chart.Field, old chart.Answer, b *chart.Baseline) bool {
	if !r.holds(e, b) || r.Below != 0 && e.V[r.Field].AtLeast(r.Below) || r.WasSo(b) {
		return false
	}
	now := e.V[field]
	e.V[field] = old
	was := r.holds(e, b)
	e.V[field] = now
	return !was
}

func (r *Row) holds(e *chart.Entry, b *chart.Baseline) bool {
	return r.Reached(e.V[r.Field], b) && (r.Night == nil || r.Night(e))
}

// WasSo reports whether the baseline says that this was so before the first night.
func (r *Row) WasSo(b *chart.Baseline) bool { return r.Before != nil && r.Before(b).Is(chart.Yes) }
