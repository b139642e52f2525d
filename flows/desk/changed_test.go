package desk

import (
	"slices"
	"strings"
	"testing"
)

// A change of a sum that was shown is answered with the change and what follows from it; the whole is
// a tap away, and nothing is signed before the whole was shown as it is.
func TestAChangeIsShownAlone(t *testing.T) {
	w := newWorld(t)
	w.paste(clinician, pasted)
	w.must(clinician, "enrol.sign")
	w.paste(clinician, "interval: 4")
	got := w.keys(clinician)
	if want := []string{"enrol.sum.changed", "desk.sum.change", "enrol.sum.earliest", "enrol.sum.rest.sign"}; !slices.Equal(got, want) {
		t.Errorf("heard %v, want %v", got, want)
	}
	w.said[clinician] = nil
	w.say(clinician, "yes")
	if w.chats[clinician].Form.Stage == Proving {
		t.Fatal("signed unseen")
	}
	w.must(clinician, "enrol.sign")
	w.paste(clinician, "ceiling: 75 %")
	if !w.heard(clinician, "enrol.flag.ceiling") || !w.heard(clinician, "desk.sum.change.place") {
		t.Errorf("what follows from a ceiling: %v", w.keys(clinician))
	}
	w.press(clinician, "desk.b.whole")
	w.must(clinician, "enrol.sign")
	w.signs(clinician)
	if len(w.enrols) != 1 || w.enrols[0].Enrolment.Plan.Limits.Interval != 4 || w.enrols[0].Enrolment.Plan.Limits.Ceiling != 8 {
		t.Errorf("%+v, heard %v", w.enrols, w.keys(clinician))
	}
}

// What was given and is not used is said above the signature.
func TestWhatIsNotUsedIsSaid(t *testing.T) {
	w := newWorld(t)
	w.paste(clinician, pasted+"\nretruded-mm: -3\noffset: 2")
	n := 0
	for _, m := range w.said[clinician] {
		for _, l := range m.Lines {
			if l.Key == "enrol.flag.unused" {
				n++
			}
		}
	}
	if n != 2 {
		t.Errorf("%d of two are named: %v", n, w.keys(clinician))
	}
	w.say(clinician, "cancel")
	w.said[clinician] = nil
	w.paste(clinician, strings.Replace(pasted, "zero: habitual\nmax-mm: 8\nstart: 50 %", "zero: retruded\nmax-mm: 11\nretruded-mm: -3\nstart: 50 %", 1)+"\ntwo-sided: yes\noffset: 2")
	if w.heard(clinician, "enrol.flag.unused") || !w.heard(clinician, "enrol.sign") {
		t.Errorf("of what is used: %v", w.keys(clinician))
	}
}

// The patient's language is asked where the practice has several, its own first; the maximum names
// the zero it is counted from, and a travel its length.
func TestLanguageIsAsked(t *testing.T) {
	w := newWorld(t)
	w.pr.Templates, w.pr.Lang = nil, "es"
	asked := false
	w.say(clinician, "enrol")
	w.say(clinician, "yes")
	for range 4 {
		if last := w.last(clinician); last.Lines[0].Args[0].S == "enrol.f.language" {
			asked = true
			if last.Inline[0][0].Arg != "es" {
				t.Errorf("first comes %s", last.Inline[0][0].Arg)
			}
			w.press2(clinician, "es")
			break
		}
		w.say(clinician, "Wren 4")
	}
	if !asked {
		t.Fatal("not asked")
	}
	w.paste(clinician, "zero: retruded")
	w.paste(clinician, strings.Replace(pasted, "max-mm: 8\n", "", 1))
	if w.heard(clinician, "enrol.ask.from") {
		w.say(clinician, "8")
	} else {
		t.Error("the maximum names no zero")
	}
	w.must(clinician, "enrol.sum.travel")
}
