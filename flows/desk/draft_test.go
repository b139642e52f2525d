package desk

import (
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/practice"
)

// other is the chat of a second clinician.
const other = 103

func (w *world) second() {
	w.pr.Staff = append(w.pr.Staff, practice.Staff{ID: "s3", Label: "Rowan", Role: practice.Clinician, Chat: other, Lang: "en", PIN: "kept"})
	w.chats[other] = Chat{ID: other, Staff: "s3", Lang: "en", Gen: 1}
}

func (w *world) openDraft(chat int64) {
	w.t.Helper()
	d := w.chats[chat].Drafts
	if len(d) == 0 {
		w.t.Fatalf("nothing waits for %d; it heard %v", chat, w.keys(chat))
	}
	w.chat(chat, flows.Tap{Chat: chat, User: chat, Op: opDraft, Nonce: d[len(d)-1].Nonce})
}

// raised signs a raise and sends it to the second look.
func (w *world) raised(to string) {
	w.t.Helper()
	w.patient.Plan.Limits.Pace = 750
	w.changing("ceiling: 7")
	w.pin(clinician, flows.PINRight)
	w.must(clinician, "desk.look.ask")
	w.press2(clinician, to)
}

// handed is an assistant's enrolment that waits for the clinician.
func (w *world) handed() {
	w.t.Helper()
	w.paste(assistant, strings.Replace(pasted, "Heron 12", "Plover 7", 1))
	w.press2(assistant, "tos1")
	w.must(clinician, "enrol.draft")
}

func (w *world) hasItBack() {
	w.t.Helper()
	w.must(assistant, "enrol.returned")
	w.openDraft(assistant)
	if f := w.chats[assistant].Form; f.Op != opEnrol || f.Filled.Enrolment.Label != "Plover 7" || f.Stage != Summing {
		w.t.Errorf("%s, stage %d, of %q", f.Op, f.Stage, f.Filled.Enrolment.Label)
	}
}

// What an assistant filled in is never lost: not where the clinician closes it or
// leaves, nor where it cannot be taken.
func TestHandedFormComesBack(t *testing.T) {
	for name, lose := range map[string]func(*world){
		"closed":  func(w *world) { w.openDraft(clinician); w.say(clinician, "cancel") },
		"removed": func(w *world) { w.office(flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: "s1"}}) },
		"removed with it open": func(w *world) {
			w.openDraft(clinician)
			w.office(flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: "s1"}})
		},
		"somebody else's chat": func(w *world) {
			w.office(flows.StaffChange{Op: flows.StaffAdd, Staff: practice.Staff{ID: "s9", Label: "New", Role: practice.Assistant}, Code: practice.Code{Hash: "h", Ends: w.now.Unix() + 900}})
			w.office(flows.StaffJoin{Chat: clinician, Code: "h", Lang: "en"})
		},
	} {
		t.Run(name, func(t *testing.T) {
			w := newWorld(t)
			w.second()
			w.handed()
			lose(w)
			w.hasItBack()
		})
	}
	t.Run("too many wait", func(t *testing.T) {
		w := newWorld(t)
		c := w.chats[clinician]
		c.Drafts = make([]flows.Draft, maxDrafts)
		w.chats[clinician] = c
		w.paste(assistant, strings.Replace(pasted, "Heron 12", "Plover 7", 1))
		w.press2(assistant, "tos1")
		w.hasItBack()
	})
}

// What waits for a clinician with a new telephone waits there, an open form as well.
func TestDraftsFollowTheirPerson(t *testing.T) {
	w := newWorld(t)
	w.handed()
	w.raised("later")
	w.openDraft(clinician) // not yet
	w.paste(clinician, "label: Wren 1\nadult: yes")
	w.office(flows.StaffChange{Op: flows.StaffCode, Staff: practice.Staff{ID: "s1"}, Code: practice.Code{Hash: "h", Ends: w.now.Unix() + 900}})
	w.office(flows.StaffJoin{Chat: 777, Code: "h", Lang: "en"})
	if old := w.chats[clinician]; len(old.Drafts) != 0 || old.Form.Op != "" || old.Staff != "" {
		t.Errorf("%+v", old)
	}
	var labels []string
	for _, d := range w.chats[777].Drafts {
		labels = append(labels, d.Filled.Enrolment.Label)
	}
	if len(labels) != 3 || labels[0] != "Plover 7" || labels[1] != "Heron 12" || labels[2] != "Wren 1" {
		t.Fatalf("%v", labels)
	}
	w.now = w.now.Add(lookMinutes * time.Minute)
	w.chat(777, flows.Tap{Chat: 777, User: 777, Op: opDraft, Nonce: w.chats[777].Drafts[1].Nonce})
	w.say(777, "Heron 12")
	w.pin(777, flows.PINRight)
	if len(w.orders) != 1 || w.orders[0].Second != "s1" {
		t.Errorf("%+v; heard %v", w.orders, w.keys(777))
	}
}
