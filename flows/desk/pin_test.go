package desk

import (
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/practice"
)

// changing opens a change of the plan and says yes to it, up to the PIN.
func (w *world) changing(line string) {
	w.t.Helper()
	w.card(clinician, opPlan, "")
	w.say(clinician, line)
	w.say(clinician, "done")
	if w.heard(clinician, "desk.sum.label") {
		w.say(clinician, "Heron 12")
	} else {
		w.say(clinician, "yes")
	}
}

// The first signature chooses a PIN, typed twice; it is the practice's from then on.
func TestFirstPIN(t *testing.T) {
	w := newWorld(t)
	w.pr.Staff[0].PIN = ""
	w.changing("interval: 4")
	w.must(clinician, "desk.pin.new")
	w.pin(clinician, flows.PINWeak)
	w.must(clinician, "desk.pin.weak")
	first := flows.Said{Chat: clinician, User: clinician, PIN: flows.PINNew, Secret: "kept one"}
	w.chat(clinician, first)
	w.must(clinician, "desk.pin.again")
	if with, asked := w.pinned(); with != "kept one" || !asked {
		t.Fatalf("the second is compared with %q", with)
	}
	w.pin(clinician, flows.PINWrong)
	w.must(clinician, "desk.pin.differ")
	w.chat(clinician, first)
	w.pin(clinician, flows.PINRight)
	if len(w.orders) != 1 || w.pr.Staff[0].PIN != "kept one" || w.chats[clinician].Form.Secret != "" {
		t.Fatalf("%d orders, %+v", len(w.orders), w.pr.Staff[0])
	}
	w.must(assistant, "desk.pin.set")
	// A second one is not taken: who has one proves it.
	w.office(flows.Manage{Op: flows.ManagePIN, Actor: flows.Actor{ID: "s1"}, Secret: "another"})
	if w.pr.Staff[0].PIN != "kept one" {
		t.Error("a PIN was changed without the owner")
	}
}

func (w *world) pinned() (string, bool) {
	c := w.chats[clinician]
	return c.Proves(&w.pr)
}

// Five wrong ones lock every signature, in whichever form they are typed, until the
// owner resets it; going back and beginning anew gives no other try.
func TestPINLocks(t *testing.T) {
	w := newWorld(t)
	for n := range pinTries {
		w.changing("interval: 4")
		w.must(clinician, "desk.pin.ask")
		w.pin(clinician, flows.PINWeak) // what no PIN can be is no try
		w.must(clinician, "desk.pin.six")
		w.pin(clinician, flows.PINWrong)
		if n < pinTries-1 {
			w.must(clinician, "desk.pin.wrong")
			w.say(clinician, "back")
			w.say(clinician, "cancel")
		}
	}
	w.must(clinician, "desk.pin.locked")
	w.must(assistant, "desk.pin.out")
	if !w.pr.Staff[0].Locked || w.open(clinician) {
		t.Fatalf("%+v", w.pr.Staff[0])
	}
	w.paste(clinician, pasted)
	w.press2(clinician, "sign")
	w.must(clinician, "desk.pin.locked")
	w.pin(clinician, flows.PINRight)
	if len(w.orders)+len(w.enrols) != 0 {
		t.Fatal("signed while it is locked")
	}
	w.say(clinician, "cancel")
	w.office(flows.StaffChange{Op: flows.StaffPIN, Staff: practice.Staff{ID: "s1"}})
	w.must(clinician, "desk.pin.reset")
	if s := w.pr.Staff[0]; s.PIN != "" || s.Locked || w.chats[clinician].Pins != 0 {
		t.Errorf("%+v", s)
	}
	w.changing("interval: 4")
	w.must(clinician, "desk.pin.new")
}

// A right one forgives wrong ones, and what was asked before does not sign by itself.
func TestPINForgives(t *testing.T) {
	w := newWorld(t)
	w.changing("interval: 4")
	w.pin(clinician, flows.PINWrong)
	w.pin(clinician, flows.PINRight)
	if len(w.orders) != 1 || w.chats[clinician].Pins != 0 {
		t.Fatalf("%d orders", len(w.orders))
	}
	w.changing("interval: 5")
	w.now = w.now.Add(2 * time.Hour)
	w.pin(clinician, flows.PINRight) // typed after the form lay for two hours: it is summed up again
	if len(w.orders) != 1 {
		t.Error("a form of two hours ago was signed unseen")
	}
	w.must(clinician, "desk.form.again")
}

// What raises a ceiling or the pace waits ten minutes for its author, or for another
// clinician, who proves to be one; what lowers them does not.
func TestSecondLook(t *testing.T) {
	w := newWorld(t)
	w.pr.Staff = append(w.pr.Staff, practice.Staff{ID: "s3", Label: "Rowan", Role: practice.Clinician, Chat: 103, Lang: "en", PIN: "kept"})
	w.chats[103] = Chat{ID: 103, Staff: "s3", Lang: "en", Gen: 1}
	w.patient.Plan.Limits.Pace = 750
	for _, lower := range []string{"ceiling: 5", "pace-mm: 0.5", "interval: 4"} {
		w.orders = nil
		w.changing(lower)
		w.pin(clinician, flows.PINRight)
		if len(w.orders) != 1 {
			t.Fatalf("%s was not ordered; heard %v", lower, w.keys(clinician))
		}
	}
	w.orders = nil
	w.changing("ceiling: 7")
	w.pin(clinician, flows.PINRight)
	w.must(clinician, "desk.look.ask")
	w.press2(clinician, "later")
	w.must(clinician, "desk.look.later")
	if x := w.timers[lookName]; x.After != lookMinutes {
		t.Fatalf("%+v", x)
	}
	d := w.chats[clinician].Drafts[0]
	open := flows.Tap{Chat: clinician, User: clinician, Op: opDraft, Nonce: d.Nonce}
	w.now = w.now.Add(9 * time.Minute)
	w.chat(clinician, open)
	w.must(clinician, "desk.look.wait")
	w.now = w.now.Add(time.Minute)
	w.chat(clinician, flows.Due{Name: lookName})
	w.must(clinician, "desk.look.due")
	w.chat(clinician, flows.Due{Name: lookName})
	if w.heard(clinician, "desk.look.due") {
		t.Error("told twice")
	}
	w.chat(clinician, open)
	w.say(clinician, "Heron 12")
	w.pin(clinician, flows.PINRight)
	if len(w.orders) != 1 || w.orders[0].Plan.Limits.Ceiling != 7 || w.orders[0].Actor.ID != "s1" || w.orders[0].Second != "s1" {
		t.Fatalf("%+v", w.orders)
	}
	w.chat(clinician, open)
	w.must(clinician, "desk.draft.gone")

	w.changing("pace-mm: 1")
	w.pin(clinician, flows.PINRight)
	w.must(clinician, "desk.look.ask")
	w.press2(clinician, "tos3")
	w.must(103, "desk.look.asked")
	w.chat(103, flows.Tap{Chat: 103, User: 103, Op: opDraft, Nonce: w.chats[103].Drafts[0].Nonce})
	w.say(103, "Heron 12")
	w.pin(103, flows.PINWrong)
	if len(w.orders) != 1 {
		t.Fatalf("another clinician was not asked for a PIN; heard %v", w.keys(103))
	}
	w.pin(103, flows.PINRight)
	if len(w.orders) != 2 || w.orders[1].Actor.ID != "s1" || w.orders[1].Second != "s3" || w.orders[1].Chat != clinician ||
		w.orders[1].Plan.By != "s1" {
		t.Errorf("%+v", w.orders)
	}
}
