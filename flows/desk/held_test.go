package desk

import (
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/message"
)

// A hold asks why, and takes no answer for one; the card says who holds, since when and why, of one
// and of all; whoever resumes everything sees first who is held alone and stays so.
func TestHoldSaysWhoAndWhy(t *testing.T) {
	w := newWorld(t)
	w.real()
	p := samplePatient()
	w.patients[p.ID] = p
	card := func() string {
		lines, _ := Show(w.pr, ondine, message.Message{View: message.ViewCard}, w.patients[p.ID], nil)
		return keysOf(lines)
	}
	w.card(assistant, opHold, "")
	w.must(assistant, "desk.ask.why")
	w.say(assistant, "waits for the new screw")
	w.must(assistant, "order.held")
	q := w.patients[p.ID]
	if !q.Held || q.HeldBy.By != "s2" || q.HeldBy.Reason != "waits for the new screw" || q.HeldBy.At.Date != w.day(0) {
		t.Fatalf("%+v", q.HeldBy)
	}
	if got := card(); !strings.Contains(got, "held.by held.why") {
		t.Errorf("card %s", got)
	}
	w.say(assistant, "hold everything")
	w.must(assistant, "desk.ask.why.all")
	w.press2(assistant, "skip")
	w.press2(assistant, "yes")
	if got := card(); !w.pr.Held || !strings.Contains(got, "held.all") || w.pr.Holder.Who != "Teal" || w.pr.Holder.At.Clock == 0 {
		t.Errorf("card %s, %+v", got, w.pr.Holder)
	}
	w.said[clinician] = nil
	w.say(clinician, "resume")
	if got := strings.Join(w.keys(clinician), " "); !strings.Contains(got, "held 0 ") {
		t.Errorf("who stays held is not shown: %s", got)
	}
	lines, _ := Digest(&w.pr, ondine, shownAt{heldWord, 0, w.day(0), w.now.Unix()}.String(), []flows.Patient{w.patients[p.ID]})
	if len(lines) != 3 || lines[2].Key != "desk.l.held.why" {
		t.Errorf("%+v", lines)
	}
	w.press2(clinician, "yes")
	if w.pr.Held || w.pr.Holder.Who != "" || !w.patients[p.ID].Held {
		t.Errorf("%+v", w.pr.Holder)
	}
	w.card(assistant, opResume, "")
	w.press2(assistant, "yes")
	if q := w.patients[p.ID]; q.Held || q.HeldBy.By != "" {
		t.Errorf("%+v", q.HeldBy)
	}
	w.card(assistant, opHold, "")
	w.press2(assistant, "skip")
	if q := w.patients[p.ID]; !q.Held || q.HeldBy.Reason != "" {
		t.Errorf("without words: %+v", q.HeldBy)
	}
}

// Whoever looks a second time proves to be who they are, the author too; and what is raised is told in mm
// and % beside the count.
func TestSecondLookAsksItsAuthor(t *testing.T) {
	w := newWorld(t)
	w.second()
	w.raised("later")
	w.now = w.now.Add(lookMinutes * time.Minute)
	w.openDraft(clinician)
	if !w.heard(clinician, "desk.sum.change.place") {
		t.Errorf("no mm: %v", w.keys(clinician))
	}
	w.say(clinician, "Heron 12")
	w.must(clinician, "desk.pin.ask")
	if len(w.orders) != 0 {
		t.Fatal("ordered without a PIN")
	}
	w.pin(clinician, flows.PINRight)
	if len(w.orders) != 1 {
		t.Errorf("%d orders, heard %v", len(w.orders), w.keys(clinician))
	}
}

// Steps that are held as the patient wished, or by a program that wrote nobody down, say no name.
func TestHeldAsThePatientWished(t *testing.T) {
	w := newWorld(t)
	for by, want := range map[string][2]string{"patient": {"desk.card.held.wish", "desk.l.held.wish"}, "": {"desk.card.held", "desk.l.setting"},
		"s2": {"desk.card.held.by", "desk.l.held"}} {
		p := samplePatient()
		p.Held, p.HeldBy.By, p.HeldBy.At.Date = true, by, w.day(-1)
		lines := heldLines(&w.pr, &p)
		list, _ := w.digestOf(heldWord, 0, []flows.Patient{p})
		w.check(message.Message{Lines: append(lines, list...)})
		if len(lines) != 1 || lines[0].Key != want[0] || list[len(list)-1].Key != want[1] {
			t.Errorf("by %q: %v, %v", by, lines, list)
		}
	}
}
