package scheduler

import (
	"bytes"
	"slices"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/reading"
)

// No code by which somebody joins stands in a journal, and the events that name the
// same one still do, so that they can be run again.
func TestNoCodeInAJournal(t *testing.T) {
	t.Parallel()
	g := newRig(t)
	const code, other = "07ABCDEFGHJKMN", "09QRSTVWXYZ234"
	g.handle("1", flows.Enrol{Code: code})
	g.handle("2", flows.Join{Code: code, Chat: 77})
	g.handle("3", flows.Said{Reading: reading.Reading{Code: code}})
	g.handle("4", flows.Said{Among: []string{other, code}})
	g.handle("5", flows.Order{Op: flows.OrderRebind, Code: code})
	g.handle("6", flows.Said{Reading: reading.Reading{Code: "S0"}})
	var codes []string
	for rec, err := range g.st.Journal(t.Context(), PatientRef(who)) {
		if err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(rec.Body, []byte(code)) || bytes.Contains(rec.Body, []byte(other)) {
			t.Errorf("%s stands in the journal with its code", rec.What)
		}
		line, err := ReadRecord(rec)
		if err != nil {
			t.Fatal(err)
		}
		switch b := line.Event.Body.(type) {
		case flows.Enrol:
			codes = append(codes, b.Code)
		case flows.Join:
			codes = append(codes, b.Code)
		case flows.Order:
			codes = append(codes, b.Code)
		case flows.Said:
			codes = append(codes, append(b.Among, b.Reading.Code)...)
		}
	}
	if len(codes) != 8 || codes[0] == codes[3] || codes[0][:2] != "07" || codes[3][:2] != "09" {
		t.Fatalf("%q", codes)
	}
	if want := []string{codes[0], codes[0], codes[0], codes[3], codes[0], "", codes[0], "S0"}; !slices.Equal(codes, want) {
		t.Errorf("what names the same code does not fit together: %q", codes)
	}
	if len(g.events) != 6 || g.events[0].Body.(flows.Enrol).Code != code {
		t.Error("the flow was given another code than was said")
	}
}
