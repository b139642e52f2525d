package locales

import (
	"slices"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// A number beside words that put something right is that of what was said before; a number by itself, and one beside other words, is not.
func TestMends(t *testing.T) {
	w := load(t)
	for text, want := range map[string]bool{"sorry, 2": true, "no, wait, 2": true, "2, my mistake": true, "perdón, 2": true, "no, espera, 2": true,
		"2": false, "about 2": false, "it's 2": false} {
		if r := w.Read(text); !r.Bare.Is(2) || r.Mends != want || r.Rest || r.Understood != reading.InFull {
			t.Errorf("%q: %+v", text, r)
		}
	}
	for _, text := range []string{"sorry, 2 or 3", "no, 2", "wait 2 minutes", "sorry", "sorry, pain 2", "sorry 2?", "perdón, 12345", "sorry, one screw", "wait, 2 screws"} {
		r := w.Read(text)
		if r.Mends {
			t.Errorf("%q puts a bare number right: %+v", text, r)
		}
		for _, x := range r.Tokens {
			if x.Field == chart.SettingLeft && x.Value.Known() {
				t.Errorf("%q writes a setting: %+v", text, r)
			}
		}
	}
}

// A setting of both sides is written for both; a number that may be a pain's, and two different ones, are not.
func TestBothSides(t *testing.T) {
	w := load(t)
	for _, text := range []string{"it stands at 3 on both sides", "both screws at 3", "both sides at 3", "it's at 3 and 3", "está en 3 y 3", "left and right both at 3"} {
		r := w.Read(text)
		if len(r.Tokens) != 2 || r.Tokens[0] != (reading.Token{Field: chart.SettingLeft, Value: chart.Num(3)}) ||
			r.Tokens[1] != (reading.Token{Field: chart.SettingRight, Value: chart.Num(3)}) || r.Rest || r.Understood != reading.InFull {
			t.Errorf("%q: %+v", text, r)
		}
	}
	for _, text := range []string{"pain 3 on both sides", "3 on both sides", "it's at 3 and 4", "both", "is it at 3 and 3?", "3 and 3"} {
		for _, tok := range w.Read(text).Tokens {
			if tok.Field == chart.SettingRight && tok.Value.Known() {
				t.Errorf("%q: %+v", text, tok)
			}
		}
	}
}

// What says no more than a number and a yes, a number of both sides, or one that is put right in the same breath, is that number.
func TestShortNumbers(t *testing.T) {
	w := load(t)
	for text, want := range map[string]reading.Reading{
		"ok 6": {Bare: chart.Num(6)}, "yes 6": {Bare: chart.Num(6)}, "sí, 6": {Bare: chart.Num(6)},
		"sorry 6, I mean 7": {Bare: chart.Num(7)}, "5. no wait, 2": {Bare: chart.Num(2)}, "5, no, espera, 2": {Bare: chart.Num(2)},
		"both 3": {Bare: chart.Num(3), Both: true}, "los dos en 0": {Bare: chart.Num(0), Both: true}, "0 y 0": {Bare: chart.Num(0), Both: true},
		"3 each side": {Bare: chart.Num(3), Both: true}, "uno a cada lado": {Bare: chart.Num(1), Both: true}, "los dos tornillos están en 0": {Bare: chart.Num(0), Both: true}, "0 los dos": {Bare: chart.Num(0), Both: true},
		"no wait, it stands at 7": {Tokens: []reading.Token{{Field: chart.SettingLeft, Value: chart.Num(7)}}},
	} {
		r := w.Read(text)
		if r.Bare != want.Bare || r.Both != want.Both || r.Mends || !slices.Equal(r.Tokens, want.Tokens) || r.Dangerous() || r.Understood != reading.InFull {
			t.Errorf("%q: %+v", text, r)
		}
	}
}
