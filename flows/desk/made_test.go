package desk

import (
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/redflag"
)

// button finds the button of the last message that has this label.
func (w *world) button(chat int64, label string) flows.Tap {
	w.t.Helper()
	for _, row := range w.last(chat).Inline {
		for _, b := range row {
			if b.Label.Key == label {
				return flows.Tap{Chat: chat, User: chat, Op: b.Op, Arg: b.Arg, Nonce: b.Nonce, Patient: b.Patient}
			}
		}
	}
	w.t.Fatalf("no button %s; last: %+v", label, w.last(chat))
	return flows.Tap{}
}

// A "Yes" that is tapped three times answers one question.
func TestOneTapAnswersOneQuestion(t *testing.T) {
	w := newWorld(t)
	w.say(clinician, "enrol")
	fields := enrol.FormFields()
	for n := 0; ; n++ {
		i := int(w.chats[clinician].Form.Field) - 1
		if fields[i].Kind == enrol.FormYes {
			break
		}
		if n > len(fields) || !answerBlank(w, fields[i]) {
			t.Fatalf("no yes or no was reached; at %s", fields[i].Key)
		}
	}
	at := w.chats[clinician].Form.Field
	yes := w.button(clinician, "desk.yes")
	w.chat(clinician, yes)
	next := w.chats[clinician].Form.Field
	if next == at {
		t.Fatal("not answered")
	}
	for range 2 {
		w.chat(clinician, yes)
		if !w.heard(clinician, "desk.form.old") {
			t.Error("not answered")
		}
		if f := w.chats[clinician].Form; f.Field != next {
			t.Fatalf("the same button answered %s, too", fields[f.Field-1].Key)
		}
	}
	w.press(clinician, "desk.b.carryon") // the open question, with buttons of its own
	w.must(clinician, "enrol.ask")
}

// answerBlank types what a blank of the pasted form has, or its default.
func answerBlank(w *world, f enrol.FormField) bool {
	for _, p := range enrol.ReadPairs(pasted) {
		if p.Key == f.Key {
			w.chat(clinician, flows.Said{Chat: clinician, User: clinician, Text: p.Value, Zones: []string{"Europe/Madrid"}})
			return true
		}
	}
	for _, arg := range []string{"d", "skip", "o0"} {
		at := w.chats[clinician].Form.Field
		if w.press2(clinician, arg); w.chats[clinician].Form.Field != at {
			return true
		}
	}
	return false
}

// "I sign" three times makes one patient, and never one labelled "sign".
func TestSignOnce(t *testing.T) {
	w := newWorld(t)
	w.paste(clinician, pasted)
	sign := w.button(clinician, "desk.b.sign")
	w.chat(clinician, sign)
	w.pin(clinician, flows.PINRight)
	w.chat(clinician, flows.LabelTaken{Label: w.enrols[0].Enrolment.Label})
	for range 2 {
		w.chat(clinician, sign)
		w.must(clinician, "desk.form.old")
	}
	if e := w.chats[clinician].Form.Filled.Enrolment; len(w.enrols) != 1 || e.Label == "sign" {
		t.Errorf("%d enrolled, label %q", len(w.enrols), e.Label)
	}
}

// Yesterday's "Yes, do it" does nothing: the form asks again.
func TestYesOfYesterday(t *testing.T) {
	w := newWorld(t)
	w.card(clinician, opVisit, "")
	w.say(clinician, "4")
	w.say(clinician, "new screw")
	yes := w.button(clinician, "desk.b.yes")
	w.now = w.now.Add(20 * time.Hour)
	w.chat(clinician, yes)
	if len(w.orders) != 0 {
		t.Fatal("ordered")
	}
	w.press(clinician, "desk.b.yes")
	w.must(clinician, "desk.form.late")
	if len(w.orders) != 1 {
		t.Error("the new question's button does nothing")
	}
}

// Every act that moves a patient names the state that its button was made for,
// and so does its form; one of an older program, which named none, is answered
// with the card.
func TestActsNameTheirState(t *testing.T) {
	for _, a := range acts {
		w := newWorld(t)
		w.patient.Moves = 41
		w.patient.Course.Flags = []redflag.Flag{{ID: "jaw.locked"}}
		b := button(&w.patient, a.op, "1")
		if !a.made {
			if b.Nonce != "" {
				t.Errorf("%s names a state and does not ask for it", a.op)
			}
			continue
		}
		w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: a.op, Patient: w.patient.ID})
		m := w.last(clinician)
		if len(w.orders) != 0 || w.open(clinician) || m.View != message.ViewCard || m.Subject != w.patient.ID {
			t.Errorf("%s of an older program: %+v", a.op, m)
		}
		w.must(clinician, "desk.stale")
		w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: a.op, Nonce: b.Nonce, Patient: w.patient.ID})
		switch f := w.chats[clinician].Form; {
		case a.plain() && (len(w.orders) != 1 || w.orders[0].Made != 42):
			t.Errorf("%s: %+v", a.op, w.orders)
		case !a.plain() && f.Order.Made != 42:
			t.Errorf("%s: %+v", a.op, f.Order)
		}
	}
}

// Who would let a confirmed patient's phone go, link it anew or end the
// treatment types the label.
func TestLettingGoNamesTheLabel(t *testing.T) {
	for _, op := range []string{opUnbind, opRebind, opEnd} {
		if !acts[actIndex(op)].second {
			t.Errorf("%s asks for no label", op)
		}
	}
	w := newWorld(t)
	w.patient.Chat, w.patient.Gen, w.patient.Sure, w.patient.Consent = 70, 2, 2, "1.en"
	if acts[actIndex(opDeny)].when(&w.patient) {
		t.Error("a confirmed patient can be denied")
	}
}
