package locales

import (
	"slices"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// wrote reports whether an answer is written of a text.
func wrote(w *Words, text string, f chart.Field, v chart.Answer) bool {
	r := w.Read(text)
	return slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return t.Field == f && t.Value == v })
}

// TestHeldBack asks about an exception, about what was so at another time, and about minutes of a bite that is not back; beside each stands
// what is written.
func TestHeldBack(t *testing.T) {
	w := load(t)
	for _, c := range []struct {
		text    string
		field   chart.Field
		value   int
		written bool
	}{
		{"all night except tuesday", chart.Worn, chart.WornAll, false},
		{"toda la noche menos el martes", chart.Worn, chart.WornAll, false},
		{"all night bar the last hour", chart.Worn, chart.WornAll, false},
		{"toda la noche menos una hora", chart.Worn, chart.WornAll, false},
		{"all night, pain 3", chart.Worn, chart.WornAll, true},
		{"sleepy was 6 last week, no headache today", chart.Sleepiness, 6, false},
		{"sleepy was 6 last week, no headache today", chart.Headache, chart.No, true},
		{"antes de la placa me dolía un 6", chart.Pain, 6, false},
		{"hoy dolor 2, antes del aparato un 7", chart.Pain, 2, true},
		{"bite still not back, 40 min now", chart.BiteMinutes, 40, false},
		{"bite back after 40 min", chart.BiteMinutes, 40, true},
	} {
		if got := wrote(w, c.text, c.field, chart.Num(c.value)); got != c.written {
			t.Errorf("%q: %s=%d written %v", c.text, c.field.Row().Name, c.value, got)
		}
	}
}

// TestUntilMorning takes two times of day that may be those of a whole night for no part of it, unless something else says so.
func TestUntilMorning(t *testing.T) {
	w := load(t)
	part := chart.Num(chart.WornPart)
	for text, want := range map[string]bool{
		"in at half ten out at half five, pain 2": false, "in at eleven, out at half five, no pain": false, "in at 11 out at 2": true,
	} {
		if got := wrote(w, text, chart.Worn, part); got != want {
			t.Errorf("%q: a part of the night %v", text, got)
		}
	}
	if r := w.Read("took it out round 3am cause my jaw was aching, about 4 out of 10. snored 5"); r.Doubt != reading.NoDoubt {
		t.Errorf("a time of day is a number in doubt: %+v", r)
	}
}
