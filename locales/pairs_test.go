package locales

import (
	"testing"

	"duskdawn/flows/enrol"
	"duskdawn/flows/message"

	"github.com/google/go-cmp/cmp"
)

func TestPairs(t *testing.T) {
	w, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		text string
		want []enrol.Pair
	}{
		{"step-mm: 0,25\nlabel: Heron 12", []enrol.Pair{{Line: 1, Key: "step-mm", Value: "0,25"}, {Line: 2, Key: "label", Value: "Heron 12"}}},
		{"Techo: 70 %\nQuién informa del ronquido: Pareja\nConduce por trabajo: sí", []enrol.Pair{{Line: 1, Key: "ceiling", Value: "70 %"}, {Line: 2, Key: "reporter", Value: "partner"}, {Line: 3, Key: "drives", Value: "yes"}}},
		{"Who reports the snoring: Nobody can hear", []enrol.Pair{{Line: 1, Key: "reporter", Value: "nobody"}}},
		{"settle: ٥", []enrol.Pair{{Line: 1, Key: "settle", Value: "5"}}},
		{"pareja", []enrol.Pair{{Line: 1, Value: "partner"}}},
		{"Sí", []enrol.Pair{{Line: 1, Value: "yes"}}},
		{"21:30", []enrol.Pair{{Line: 1, Key: "21", Value: "30"}}},
		{"settle 7", []enrol.Pair{{Line: 1, Key: "settle", Value: "7"}}},
		{"techo -2\nevening 21:30", []enrol.Pair{{Line: 1, Key: "ceiling", Value: "-2"}, {Line: 2, Key: "evening", Value: "21:30"}}},
		{"Heron 12", []enrol.Pair{{Line: 1, Value: "Heron 12"}}},
		{"settle down", []enrol.Pair{{Line: 1, Value: "settle down"}}},
		{"colour: red", []enrol.Pair{{Line: 1, Key: "colour", Value: "red"}}},
	} {
		if d := cmp.Diff(c.want, w.Pairs(c.text)); d != "" {
			t.Errorf("%q: %s", c.text, d)
		}
	}
}

// Every blank and every choice has a name in every language, no two alike, and
// reading the name gives the blank back.
func TestBlankNames(t *testing.T) {
	w, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, lang := range w.Languages() {
		seen := map[string]string{}
		for _, f := range enrol.FormFields() {
			name := w.Line(lang, message.Line{Key: "enrol.f." + f.Key})
			if other, twice := seen[name]; twice {
				t.Errorf("%s: %q is %s and %s", lang, name, other, f.Key)
			}
			seen[name] = f.Key
			if got := w.Pairs(name + ": x"); len(got) != 1 || got[0].Key != f.Key {
				t.Errorf("%s: %q was read as %+v", lang, name, got)
			}
			for _, c := range f.Choices {
				text := w.Line(lang, message.Line{Key: f.ChoiceKey(c)})
				if got := w.Pairs(f.Key + ": " + text); len(got) != 1 || got[0].Value != c {
					t.Errorf("%s: %s %q was read as %+v", lang, f.Key, text, got)
				}
			}
		}
	}
}
