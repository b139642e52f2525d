package scheduler

import (
	"testing"

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
		{"Heron 1", "Heron 2", false}, {"Heron", "Heron 0", false}, {"Grúa", "Grus", false}, {"K-17", "K-71", false},
		{"Heron 5", "Heron 6", false}, {"Плиска", "Heron", false},
	} {
		if same := foldLabel(x.a) == foldLabel(x.b); same != x.same {
			t.Errorf("%q and %q: one is %v, want %v (%q, %q)", x.a, x.b, same, x.same, foldLabel(x.a), foldLabel(x.b))
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
