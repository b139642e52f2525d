package locales

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// choices lists every quick answer there can be: all fields with all their
// values, and all words.
func choices() []message.Choice {
	var out []message.Choice
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		r := f.Row()
		from, to := r.Least, r.Most
		switch {
		case r.Kind == chart.Setting:
			from, to = -40, 120
		case r.Kind == chart.Minutes: // more than is believed where it is said has no button
			to = r.Said
		}
		for n := from; n <= to; n++ {
			out = append(out, message.Choice{Field: f, Value: chart.Num(n)})
		}
	}
	for f := chart.Worn; f < chart.NumFields; f++ {
		out = append(out, message.Choice{Field: f, Value: chart.Skipped})
	}
	for word := reading.WordStart; word <= reading.WordHello; word++ {
		if word == reading.WordStands || word == reading.WordStill {
			for n := int32(-40); n <= 120; n++ {
				out = append(out, message.Choice{Word: word, N: n})
			}
			continue
		}
		out = append(out, message.Choice{Word: word})
	}
	for topic := reading.HowPutIn; topic < reading.NumTopics; topic++ {
		out = append(out, message.Choice{Word: reading.WordHow, Topic: topic})
	}
	return out
}

// A late or double press must go to its own question, so no two labels are
// equal, in one language or across two, unless they mean the same.
func TestLabelsAreUnique(t *testing.T) {
	w := load(t)
	seen := map[string]message.Choice{}
	for _, lang := range w.Languages() {
		for _, c := range choices() {
			s := w.Label(lang, c)
			if old, ok := seen[s]; ok && old != c {
				t.Errorf("%s: %q stands for %+v and %+v", lang, s, old, c)
			}
			seen[s] = c
			if n := Units(s); n > 40 {
				t.Errorf("%s: %q has %d characters", lang, s, n)
			}
		}
	}
	if n := w.Misses(); n != 0 {
		t.Errorf("%d labels were missing", n)
	}
}
