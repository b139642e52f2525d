package desk

import (
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/practice"
)

// Whatever lets it go further or faster is looked at twice: also a shorter interval, and
// steps by the calendar. What slows it down is not.
func TestWhatIsLookedAtTwice(t *testing.T) {
	for line, twice := range map[string]bool{"ceiling: 7": true, "pace-mm: 1": true, "interval: 2": true, "timetable: yes": true,
		"ceiling: 5": false, "pace-mm: 0.5": false, "interval: 4": false, "loud: 8": false} {
		w := newWorld(t)
		w.patient.Plan.Limits.Pace, w.patient.Plan.Limits.TimetableTop = 750, 3
		w.changing(line)
		w.pin(clinician, flows.PINRight)
		if w.heard(clinician, "desk.look.ask") != twice || (len(w.orders) == 0) != twice {
			t.Errorf("%s: %d orders, %v", line, len(w.orders), w.keys(clinician))
		}
	}
}

// The second look shows what the plan would do now, and nothing pushes it aside; where
// another plan was signed since, it says so and comes to nothing.
func TestLookedAtAsThingsStand(t *testing.T) {
	w := newWorld(t)
	w.second()
	w.raised("tos3")
	w.asked = 0
	w.openDraft(other)
	if w.must(other, "desk.sum.label"); w.asked != 1 {
		t.Errorf("asked %d times what it would do", w.asked)
	}
	w.say(other, "cancel")

	w.raised("tos3")
	w.patient.Plan.Rev, w.patient.Plan.ByName = 9, "Rowan"
	w.openDraft(other)
	w.must(other, "order.plan.stale")
	w.must(clinician, "desk.look.not")
	if w.open(other) || len(w.orders) != 0 {
		t.Errorf("%+v", w.orders)
	}

	w.patient.Plan.Rev = 3
	w.raised("tos3")
	w.deaf = true // the answer takes its time
	w.openDraft(other)
	w.card(other, opNote, "2")
	w.must(other, "desk.form.open")
	if f := w.chats[other].Form; f.Op != opPlan || !f.Looked {
		t.Errorf("%s took its place", f.Op)
	}
}

// What was signed cannot be changed on the way to the second look, neither under the
// author's signature by another, nor by the author without a PIN.
func TestLookedAtAsItIs(t *testing.T) {
	for _, chat := range []int64{clinician, other} {
		w := newWorld(t)
		w.second()
		w.raised(map[int64]string{clinician: "later", other: "tos3"}[chat])
		w.now = w.now.Add(lookMinutes * time.Minute)
		w.openDraft(chat)
		for _, row := range w.last(chat).Inline {
			for _, b := range row {
				if b.Arg == "back" {
					t.Error("a way back is offered")
				}
			}
		}
		w.say(chat, "back")
		w.say(chat, "ceiling: 12")
		w.say(chat, "done")
		w.press2(chat, "back")
		w.say(chat, "Heron 12")
		w.pin(chat, flows.PINRight)
		if len(w.orders) != 1 || w.orders[0].Plan.Limits.Ceiling != 7 {
			t.Errorf("%d: %+v", chat, w.orders)
		}
	}
}

// A raise that another clinician does not agree to is not signed, and its author hears it.
func TestLookedAtAndRefused(t *testing.T) {
	for name, refuse := range map[string]func(*world){
		"cancelled": func(w *world) { w.say(other, "cancel") },
		"three wrong labels": func(w *world) {
			for range wrongLabels {
				w.say(other, "Heron 13")
			}
		},
		"five wrong PINs": func(w *world) {
			w.say(other, "Heron 12")
			for range pinTries {
				w.pin(other, flows.PINWrong)
			}
		},
		"removed": func(w *world) {
			w.office(flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: "s3"}})
		},
	} {
		w := newWorld(t)
		w.second()
		w.raised("tos3")
		w.openDraft(other)
		w.said[clinician] = nil
		refuse(w)
		if !w.heard(clinician, "desk.look.not") || len(w.orders) != 0 || w.open(other) {
			t.Errorf("%s: %v, %d orders", name, w.keys(clinician), len(w.orders))
		}
	}
}

// What is looked at is its author's, wherever that person is by then: who has left signs
// nothing, and what becomes of it is told to no telephone that was given up.
func TestLookedAtForWhoIsElsewhere(t *testing.T) {
	w := newWorld(t)
	w.second()
	w.raised("tos3")
	w.handed()
	w.pr.Staff[0].Chat = 777
	w.openDraft(other)
	w.say(other, "Heron 12")
	w.pin(other, flows.PINRight)
	if len(w.orders) != 1 || w.orders[0].Chat != 777 {
		t.Errorf("%+v", w.orders)
	}
	w.pr.Staff[0].Chat, w.pr.Staff[1].Chat = clinician, 888
	w.openDraft(clinician)
	w.press2(clinician, "sign")
	w.pin(clinician, flows.PINRight)
	if len(w.enrols) != 1 || w.enrols[0].Link != 888 {
		t.Errorf("the link goes to %+v", w.enrols)
	}

	w = newWorld(t)
	w.second()
	w.raised("tos3")
	w.office(flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: "s1"}})
	w.openDraft(other)
	if w.must(other, "desk.look.left"); w.open(other) || len(w.chats[other].Drafts) != 0 {
		t.Error("it waits for ever")
	}
}

// Hours that an assistant moves while a plan is changed, or waits for its second look,
// stay moved, unless the clinician changes them.
func TestMovedHoursStay(t *testing.T) {
	for line, want := range map[string]int{"ceiling: 7": 21*60 + 30, "ceiling: 7\nevening: 20:15": 20*60 + 15} {
		w := newWorld(t)
		w.patient.Plan.Limits.Pace = 750
		w.changing(line)
		w.pin(clinician, flows.PINRight)
		w.press2(clinician, "later")
		w.patient.Plan.Evening = 21*60 + 30
		w.now = w.now.Add(lookMinutes * time.Minute)
		w.openDraft(clinician)
		w.say(clinician, "Heron 12")
		w.pin(clinician, flows.PINRight)
		if len(w.orders) != 1 || int(w.orders[0].Plan.Evening) != want || w.orders[0].Plan.Morning != w.patient.Plan.Morning {
			t.Errorf("%s: %+v", line, w.orders)
		}
	}
}
