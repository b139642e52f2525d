package desk

import (
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/practice"
)

// A form that is open keeps nobody from another button: it is set aside, the button is done
// at once, and behind it the form is offered again with all that was filled in.
func TestAFormIsSetAside(t *testing.T) {
	w := newWorld(t)
	w.say(assistant, "enrol")
	w.say(assistant, "yes")
	w.say(assistant, "Wren 3")
	before := w.chats[assistant].Form
	w.card(assistant, opContact, "")
	w.must(assistant, "desk.form.busy")
	w.press2(assistant, asideArg)
	if !w.heard(assistant, "desk.form.aside") {
		t.Error("what was set aside is not told")
	}
	w.must(assistant, "desk.ask.text.contact")
	w.chat(assistant, flows.Due{Name: asideName})
	if len(w.said[assistant]) != 0 {
		t.Error("reminded while another form is open")
	}
	w.say(assistant, "spoke to her")
	if len(w.orders) != 1 || w.orders[0].Op != flows.OrderContact || w.orders[0].Text != "spoke to her" {
		t.Fatalf("%+v", w.orders)
	}
	if x := w.timers[asideName]; x.After != asideMinutes {
		t.Fatalf("%+v", x)
	}
	w.said[assistant] = nil
	w.chat(assistant, flows.Due{Name: asideName})
	if !w.heard(assistant, "desk.form.aside") {
		t.Fatalf("not reminded: %v", w.keys(assistant))
	}
	w.press(assistant, "desk.b.takeup")
	if f := w.chats[assistant].Form; f.Op != opEnrol || f.Field != before.Field || f.Filled.Enrolment.Label != "Wren 3" || w.chats[assistant].Aside != nil {
		t.Errorf("%+v", f)
	}
	w.press(assistant, "desk.b.takeup") // once
	w.must(assistant, "desk.form.gone")
}

// One form is set aside, not two; cancelling the second, or losing the role, brings the first back
// to mind, and a menu button or word works beside a form as a card's does.
func TestOneFormIsSetAside(t *testing.T) {
	w := newWorld(t)
	w.say(clinician, "enrol")
	w.say(clinician, "yes")
	w.say(clinician, "/find") // typed as a command, it does not take the form's place
	w.must(clinician, "desk.form.busy")
	if w.chats[clinician].Form.Op != opEnrol {
		t.Fatal("/find closed the form")
	}
	w.say(clinician, "/hold everything") // what stops every step waits for no button
	w.must(clinician, "desk.ask.why.all")
	w.card(clinician, opNote, "")
	w.must(clinician, "desk.form.busy.two")
	w.say(clinician, "cancel")
	w.chat(clinician, flows.Due{Name: asideName})
	w.must(clinician, "desk.form.aside")
	w.card(clinician, opVisit, "")
	w.pr.Staff[0].Role = practice.Assistant
	w.say(clinician, "4")
	w.say(clinician, "seen")
	w.say(clinician, "yes")
	w.chat(clinician, flows.Due{Name: asideName})
	w.must(clinician, "desk.form.aside")
	w.office(flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: "s1"}})
	if c := w.chats[clinician]; c.Aside != nil {
		t.Error("a form of somebody who has left stays")
	}
}

// Whoever changes the state by an act of their own has the buttons of the new state at once.
func TestOwnActLeavesFreshButtons(t *testing.T) {
	w := newWorld(t)
	w.real()
	p := samplePatient()
	w.patients[p.ID] = p
	w.card(assistant, opHold, "")
	w.press2(assistant, "skip")
	last := w.last(assistant)
	if last.Subject != p.ID || last.MediaOf != opMore || last.Lines[0].Key != "order.held" {
		t.Fatalf("%+v", last)
	}
	_, rows := Show(w.pr, w.pr.Staff[1], last, w.patients[p.ID], nil)
	for _, row := range rows {
		for _, b := range row {
			if b.Op == opResume {
				w.said[assistant] = nil
				w.chat(assistant, flows.Tap{Chat: assistant, User: assistant, Op: b.Op, Arg: b.Arg, Nonce: b.Nonce, Patient: b.Patient})
			}
		}
	}
	if w.heard(assistant, "order.stale.by") || !w.heard(assistant, "desk.sum.sure") {
		t.Errorf("the fresh button is of another state: %v", w.keys(assistant))
	}
}
