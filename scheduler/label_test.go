package scheduler

import (
	"testing"
	"unicode"

	"duskdawn/flows"
)

// What looks alike is one label, whatever blanks, case, accents and alphabets it
// is typed in; what differs stays apart. The look-alikes are examples of the
// data of Unicode Technical Standard 39, the rest common practice, no source.
func TestLabelsThatLookAlike(t *testing.T) {
	for _, x := range []struct {
		a, b string
		same bool
	}{
		{"Heron 0", "Heron  0", true}, {"Heron 0", " heron\u00a00 ", true}, {"Heron 0", "Heron O", true},
		{"Heron 0", "HERON o", true}, {"Heron 0", "Неrоn 0", true}, // Cyrillic Н, е, о
		{"Heron 1", "Heron l", true}, {"Heron I", "Heron 1", true}, {"heron i", "HERON I", true},
		{"Grúa", "grua", true}, {"Grúa", "Gru\u0301a", true}, {"K‐17", "K-17", true}, {"Heron\u200b 0", "Heron 0", true},
		{"Ｈｅｒｏｎ ２", "Heron 2", true}, {"straße", "STRASSE", true},
		{"Heron", "Heron\u2800", true}, {"Heron", "\u3164Heron", true}, {"Heron", "He\u115fron", true},
		{"Heron", "Heron\u1160\uffa0", true}, {"Heron", "Heron\U00013441", true}, {"Heron", "Heron\U0001d159", true},
		{"Heron", "Heron\ufe0f\u034f", true}, {"Heron", "Heron\U000e0041\ufffc", true}, {"Heron", "Heron\ue000", true},
		{"Heron 2", "\u2800Heron\u28002", true}, {"Heron 2", "Heron\u31642", true}, {"K 17", "K17", true},
		{"Heron 1", "Heron 2", false}, {"Heron", "Heron 0", false}, {"Grúa", "Grus", false}, {"K-17", "K-71", false},
		{"Heron 5", "Heron 6", false}, {"Плиска", "Heron", false},
	} {
		if same := foldLabel(x.a) == foldLabel(x.b); same != x.same {
			t.Errorf("%q and %q: one is %v, want %v (%q, %q)", x.a, x.b, same, x.same, foldLabel(x.a), foldLabel(x.b))
		}
	}
	for r := rune(0x80); r <= unicode.MaxRune; r++ { // whatever is not shown tells no label from another
		if unicode.In(r, unicode.Cf, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector, unicode.Co) {
			if got := foldLabel("Heron" + string(r) + "2"); got != foldLabel("Heron2") {
				t.Errorf("%U tells a label from another: %q", r, got)
			}
		}
	}
	for _, s := range []string{"", "Heron 0", "Плиска 3", "Ñandú I", "鷺 2"} {
		if once := foldLabel(s); foldLabel(once) != once {
			t.Errorf("%q folds to %q, and that to %q", s, once, foldLabel(once))
		}
	}
}

// A patient is found by part of the label whatever its case and accents, by the end
// of the telephone, and by the number of an item; not by what is in the middle.
func TestFound(t *testing.T) {
	p := flows.Patient{Label: "Garza  Ñandú-7", Phone: "+1 555 010-42", Number: 12}
	for text, want := range map[string]bool{"garza": true, "GARZA ñ": true, "nandu": true, "andu-7": true, "042": true, "1042": true, "0 10-42": true, "12003": true,
		"42": false, "555": false, "13003": false, "": false, "heron": false, "call 042 now": false} {
		if Found(&p, text) != want {
			t.Errorf("%q: %v", text, !want)
		}
	}
}
