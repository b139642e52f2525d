package desk

import (
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/reading"
)

// "hold everything" is a command in every form: nothing of it becomes a contact or an
// answer, and the form that was open waits.
func TestHoldEverythingInAnyForm(t *testing.T) {
	for _, c := range []struct{ op, why string }{{opContact, "words"}, {opNote, "words"}, {opVisit, "a setting"}, {opTranscribe, "a day"},
		{opTest, "a date"}, {opPlan, "limits"}, {opMove, "a zone"}} {
		w := newWorld(t)
		w.card(clinician, c.op, "1")
		w.say(clinician, "hold everything")
		w.must(clinician, "desk.ask.why.all")
		if f := w.chats[clinician].Aside; f == nil || f.Op != c.op {
			t.Errorf("%s: the form that asks for %s is not kept: %+v", c.op, c.why, f)
		}
		w.say(clinician, "a batch of screws is recalled")
		w.say(clinician, "yes")
		if !w.pr.Held || len(w.orders) != 0 {
			t.Errorf("%s: held %v, ordered %+v", c.op, w.pr.Held, w.orders)
		}
	}
	w := newWorld(t) // of a form that asks for a yes
	w.card(assistant, opVisit, "")
	w.card(clinician, opVisit, "")
	w.say(clinician, "4")
	w.say(clinician, "new screw")
	w.say(clinician, "hold everything")
	w.must(clinician, "desk.ask.why.all")
	if w.say(clinician, "hold everything"); w.chats[clinician].Form.Order.Flag != "" {
		t.Error("the command is its own reason")
	}
	w.say(clinician, "skip")
	w.say(clinician, "yes")
	if !w.pr.Held || len(w.orders) != 0 {
		t.Errorf("held %v, ordered %+v", w.pr.Held, w.orders)
	}
}

// Where a form is open and another set aside, everything is held at once, and both stay.
func TestHoldEverythingBesideTwoForms(t *testing.T) {
	w := newWorld(t)
	w.card(clinician, opVisit, "")
	w.card(clinician, opNote, "1")
	w.press(clinician, "desk.b.aside")
	w.say(clinician, "hold everything")
	c := w.chats[clinician]
	if !w.pr.Held || len(w.orders) != 0 || c.Aside == nil || c.Form.Op != opNote {
		t.Errorf("held %v, ordered %+v, aside %+v, open %q", w.pr.Held, w.orders, c.Aside, c.Form.Op)
	}
}

// A text that is exactly a command is never kept as a contact; one that only holds the
// word is.
func TestACommandIsNoContact(t *testing.T) {
	w := newWorld(t)
	for _, text := range []string{"queue", "patients", "help", "resume", "enrol", "find", "language", "skip", "done", "blank", "hold everything"} {
		w.chats[clinician] = Chat{ID: clinician, Staff: "s1", Lang: "en", Gen: 1}
		w.card(clinician, opContact, "")
		if w.say(clinician, text); len(w.orders) != 0 {
			t.Fatalf("%q was taken as a contact: %+v", text, w.orders)
		}
		if c := w.chats[clinician]; c.Form.Op != opContact && (c.Aside == nil || c.Aside.Op != opContact) {
			t.Errorf("%q: the contact's form is gone", text)
		}
	}
	for _, s := range []flows.Said{{List: "silent"}, {List: loadWord}, {Find: "Heron"}, {Reading: reading.Reading{Why: "P07"}},
		{Reading: reading.Reading{Word: reading.WordPause}}} {
		w.chats[clinician] = Chat{ID: clinician, Staff: "s1", Lang: "en", Gen: 1}
		w.card(clinician, opContact, "")
		s.Chat, s.User, s.Text = clinician, clinician, "a command"
		if w.chat(clinician, s); len(w.orders) != 0 {
			t.Fatalf("%+v was taken as a contact", s)
		}
	}
	w.chats[clinician] = Chat{ID: clinician, Staff: "s1", Lang: "en", Gen: 1}
	w.card(clinician, opContact, "")
	if w.say(clinician, "rang: hold everything till Monday, she says"); len(w.orders) != 1 {
		t.Errorf("ordered %+v", w.orders)
	}
}
