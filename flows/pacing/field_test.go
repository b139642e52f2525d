package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// What a field's row says of tonight's advice is so: where it says that an
// answer cannot change it, none does in any drawn course; where it says that
// one can, some does.
func TestPropertyAdviceOfFields(t *testing.T) {
	var changed [chart.NumFields]int
	try := func(t dice, k *bench) {
		k.f.Plan.Limits.WeeklyNeeded = t.IntN(2) == 0
		plain := k.c.twin()
		a, _ := plain.Advise(k.f, k.d)
		for f := chart.NoField + 1; f < chart.NumFields; f++ {
			r := f.Row()
			v := chart.Num(r.Least + t.IntN(min(r.Most-r.Least, 400)+1))
			if t.IntN(5) == 0 {
				v = chart.Skipped
			}
			said := k.c.twin()
			said.Answer(k.f, k.d-civil.Date(t.IntN(3)), f, v, chart.FromPatient)
			b, _ := said.Advise(k.f, k.d)
			if a.Action == b.Action && a.To == b.To {
				continue
			}
			changed[f]++
			if !r.Advice {
				t.Fatalf("%s %d: %v to %d became %v to %d: its row wants Advice", r.Name, v.N(), a.Action, a.To, b.Action, b.To)
			}
		}
	}
	each(t, func(t dice) {
		k := anyCourse(t)
		k.run(t)
		try(t, k)
		k = trial(t.T) // a step is due, by what each night tells in one way or another
		ways := []told{{}, {chart.Worn: gone, chart.WornMinutes: 300}, {chart.Guide: gone, chart.GuideMinutes: 6},
			{chart.BiteMinutes: gone}}
		k.nights(3+t.IntN(4), fine(ways[t.IntN(len(ways))], told{chart.Snoring: 2 + t.IntN(7)}))
		try(t, k)
		k = trial(t.T) // a step is due, with a headache the week before
		k.night(fine(told{chart.Headache: chart.Yes}))
		k.nights(8, fine())
		try(t, k)
	})
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		if r := f.Row(); r.Advice && changed[f] == 0 {
			t.Errorf("%s: its row says that it can change tonight's advice, and in no course it did", r.Name)
		}
	}
}
