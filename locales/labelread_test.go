package locales

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// A label gives back exactly its question and value, in every language.
func TestReadLabels(t *testing.T) {
	w := load(t)
	for _, lang := range w.Languages() {
		for _, c := range choices() {
			s := w.Label(lang, c)
			r := w.Read(s)
			want := reading.Reading{Word: c.Word, Topic: c.Topic}
			switch {
			case c.Word == reading.WordStands || c.Word == reading.WordStill:
				want.Tokens = []reading.Token{{Field: chart.SettingLeft, Value: chart.Num(int(c.N))}}
			case c.Word == reading.NoWord:
				want.Tokens = []reading.Token{{Field: c.Field, Value: c.Value}}
			}
			if got, want := says(r), says(want); got != want {
				t.Errorf("%s %q\n got %s\nwant %s", lang, s, got, want)
			}
		}
	}
}

// spells lists the labels that the grammar alone must read, without the table
// of labels: what a label says must be what it means. Left out are the labels
// that skip (they name a question by its title) and reasons of several kinds.
func spells() []message.Choice {
	var out []message.Choice
	for _, c := range choices() {
		broken := c.Field == chart.NotWorn && c.Value.Is(chart.ReasonBroken)
		if c.Field != chart.NoField && c.Value != chart.Skipped && !broken {
			out = append(out, c)
		}
	}
	return out
}

// Yes and no, left and right, more and less: a label whose words mean the
// opposite of its value would send every answer the wrong way.
func TestLabelsMeanWhatTheySay(t *testing.T) {
	w := load(t)
	for _, lang := range w.Languages() {
		for _, c := range spells() {
			s := w.Label(lang, c)
			r := w.dict.read(s, false)
			if len(r.Tokens) != 1 || r.Tokens[0] != (reading.Token{Field: c.Field, Value: c.Value}) || r.Rest ||
				r.Doubt != reading.NoDoubt {
				t.Errorf("%s %q: %s", lang, s, says(r))
			}
			if r.Lang != lang && c.Field != chart.WornMinutes {
				t.Errorf("%s %q is taken for language %q", lang, s, r.Lang)
			}
		}
	}
}

// Labels are pieces of a one-line day: any two of different questions can
// stand in one text, and each keeps its meaning.
func TestLabelsJoin(t *testing.T) {
	w := load(t)
	var some []message.Choice
	for _, c := range spells() {
		n := c.Value.N()
		if c.Field.Row().Worded(c.Value) || n <= 3 || n == 10 || n == 45 || n == 75 {
			some = append(some, c)
		}
	}
	for _, lang := range w.Languages() {
		for _, a := range some {
			for _, b := range some {
				if a.Field.Row().With == b.Field.Row().With {
					continue
				}
				s := w.Label(lang, a) + ", " + w.Label(lang, b)
				r := w.Read(s)
				if len(r.Tokens) != 2 || r.Tokens[0] != (reading.Token{Field: a.Field, Value: a.Value}) ||
					r.Tokens[1] != (reading.Token{Field: b.Field, Value: b.Value}) || r.Doubt != reading.NoDoubt {
					t.Errorf("%s %q: %s", lang, s, says(r))
				}
			}
		}
	}
}

// The pseudo-language's labels read back too, so that tests can press them.
func TestPseudoLabels(t *testing.T) {
	w := load(t)
	for _, c := range spells() {
		s := w.Label(PseudoLang, c)
		r := w.Read(s)
		if len(r.Tokens) != 1 || r.Tokens[0] != (reading.Token{Field: c.Field, Value: c.Value}) {
			t.Errorf("%q: %s", s, says(r))
		}
	}
}
