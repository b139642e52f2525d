package desk

import (
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

func TestStaffCode(t *testing.T) {
	w := newWorld(t)
	add := func(id, label, hash string) {
		w.office(flows.StaffChange{Op: flows.StaffAdd, Staff: practice.Staff{ID: id, Label: label, Role: practice.Assistant},
			Code: practice.Code{Hash: hash, Ends: w.now.Add(15 * time.Minute).Unix()}})
	}
	add("s3", "Wren", "#S0AAAAAAAAAAAA")
	code(w, 8, "S0BBBBBBBBBBBB")
	w.must(8, "desk.code.unknown")
	code(w, 8, "S0AAAAAAAAAAAA")
	w.must(8, "desk.welcome")
	if s, ok := w.pr.ByChat(8); !ok || s.ID != "s3" || w.chats[8].Staff != "s3" || len(w.pr.Codes) != 0 {
		t.Fatalf("%+v, %+v, codes %v", s, w.chats[8], w.pr.Codes)
	}
	code(w, 9, "S0AAAAAAAAAAAA")
	w.must(9, "desk.code.unknown") // single use

	w.office(flows.StaffChange{Op: flows.StaffAdd, Staff: practice.Staff{ID: "s9", Label: "Gull", Role: practice.Clinician,
		Lang: "es"}, Code: practice.Code{Hash: "#S0EEEEEEEEEEEE", Ends: w.now.Add(15 * time.Minute).Unix()}})
	w.chat(88, flows.Said{Chat: 88, User: 88, AppLang: "en", Reading: reading.Reading{Code: "S0EEEEEEEEEEEE"},
		CodeHash: "#S0EEEEEEEEEEEE"})
	if s, _ := w.pr.ByChat(88); s.Lang != "es" || w.chats[88].Lang != "es" {
		t.Errorf("the owner's language did not stand: %+v %+v", s, w.chats[88])
	}

	add("s4", "Moth", "#S0CCCCCCCCCCCC")
	w.now = w.now.Add(16 * time.Minute)
	code(w, 9, "S0CCCCCCCCCCCC")
	w.must(9, "desk.code.unknown") // too late

	add("s5", "Reed", "#S0DDDDDDDDDDDD")
	for i := range 50 * codeTries { // strangers lock nobody out
		code(w, int64(1000+i), "S0XXXXXXXXXXXX")
		if told := w.heard(clinician, "desk.code.guessed"); told != (i+1 >= codeTries) {
			t.Fatalf("after %d wrong codes told of them: %v", i+1, told)
		}
	}
	w.chats[9] = Chat{ID: 9}
	code(w, 9, "S0DDDDDDDDDDDD")
	w.must(9, "desk.welcome")

	w.office(flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: "s3"}})
	w.must(8, "desk.freed")
	w.card(8, opAck, "1")
	w.must(8, "desk.removed")
	if len(w.orders) != 0 || !w.logged("desk.refused.removed") {
		t.Errorf("a removed person's tap: orders %v, logs %v", w.orders, w.logs)
	}
	w.say(8, "queue")
	w.must(8, "desk.removed")
}

func TestHoldEverything(t *testing.T) {
	w := newWorld(t)
	w.say(assistant, "hold everything")
	w.must(assistant, "desk.ask.why.all")
	w.say(assistant, "the lift is broken")
	w.must(assistant, "desk.sum.all.hold")
	w.say(assistant, "yes")
	w.must(clinician, "desk.held.why")
	if !w.pr.Held {
		t.Fatal("not held")
	}
	w.say(assistant, "resume")
	w.must(assistant, "desk.resume.who")
	if w.logged("desk.refused.role") {
		t.Error("a word of the menu is a try")
	}
	w.say(clinician, "resume")
	w.say(clinician, "yes")
	if w.pr.Held {
		t.Error("still held")
	}
	w.office(flows.Manage{Op: flows.ManageResume, Actor: flows.Actor{ID: "s2", Role: practice.Clinician}}) // a forged role
	w.office(flows.Manage{Op: flows.ManageHold, Actor: flows.Actor{ID: "nobody"}})
	if w.pr.Held {
		t.Error("held by nobody")
	}
}

func TestBounceOfStaff(t *testing.T) {
	w := newWorld(t)
	w.chat(assistant, flows.Bounce{Chat: assistant, Why: "blocked"})
	w.must(clinician, "desk.staff.unreached")
	if s, _ := w.pr.ByID("s2"); !s.Unreach {
		t.Error("not marked")
	}
	w.say(assistant, "queue")
	w.must(clinician, "desk.staff.back")
}

func TestRotaAndSettings(t *testing.T) {
	w := newWorld(t)
	next := w.pr
	next.Staff, next.Codes = nil, nil
	next.Phone = "1"
	next.Rota = []practice.Shift{{Staff: "Teal", From: "0 8 * * *", To: "0 18 * * *"}}
	w.pr.Held, w.pr.Epoch, w.pr.Group = true, 2, group
	w.office(flows.Settings{Practice: next, Off: []string{"Teal", "Ondine"}})
	if len(w.pr.Staff) != 2 || !w.pr.Held || w.pr.Epoch != 2 || w.pr.Group != group || w.pr.Phone != "1" {
		t.Errorf("%+v", w.pr)
	}
	if !w.pr.Staff[1].OffDuty || w.pr.Staff[0].OffDuty {
		t.Errorf("%+v", w.pr.Staff) // whoever the rota does not name is on duty
	}
	if len(w.timers) != 3 || w.timers["rota.000.on"].Cron != "0 8 * * *" {
		t.Errorf("%+v", w.timers)
	}
	next.Rota = nil
	w.office(flows.Settings{Practice: next})
	if len(w.timers) != 1 || w.timers[digestName].At.Clock == 0 || w.pr.Staff[1].OffDuty {
		t.Errorf("the old rota goes on: %+v", w.timers)
	}
	next.Rota = []practice.Shift{{Staff: "Teal", From: "0 8 * * *", To: "0 18 * * *"}}
	w.office(flows.Settings{Practice: next, Off: []string{"Teal"}})
	clear(w.timers)
	w.office(flows.Due{Name: "rota.000.on"})
	if w.pr.Staff[1].OffDuty || len(w.timers) != 1 {
		t.Errorf("%+v %+v", w.pr.Staff, w.timers)
	}
}

func TestRestoreAndRival(t *testing.T) {
	w := newWorld(t)
	since := civil.Wall{Date: civil.DateOf(2026, 11, 1), Clock: 120}
	w.office(flows.Restored{Since: since})
	if w.pr.Epoch != 1 || !w.pr.Frozen() || w.pr.GapFrom != since || w.pr.GapTo == (civil.Wall{}) {
		t.Errorf("%+v", w.pr)
	}
	for _, chat := range []int64{clinician, assistant} { // nobody is written to before the release
		if len(w.said[chat]) > 0 {
			t.Errorf("%d heard %+v", chat, w.said[chat])
		}
	}
	w.chat(clinician, flows.Said{User: clinician, From: flows.FromPerson, Text: "queue",
		Reading: reading.Reading{Word: reading.WordQueue}})
	if m := w.said[clinician]; len(m) != 1 || m[0].Lines[0].Key != "desk.frozen" || m[0].View != message.ViewQueue {
		t.Errorf("the queue of a copy is shown as %+v", m)
	}
	w.office(flows.Manage{Op: flows.ManageRelease, Actor: flows.Actor{ID: "s1"}})
	if w.pr.Released != 0 {
		t.Error("released by another than the owner")
	}
	w.office(flows.Manage{Op: flows.ManageRelease, Actor: flows.Actor{ID: "owner"}})
	if w.pr.Released != 1 {
		t.Error("not released")
	}
	w.must(clinician, "desk.released")
	w.must(assistant, "desk.released.call")
	w.office(flows.Manage{Op: flows.ManageRival})
	w.must(clinician, "desk.rival")
	w.office(flows.Manage{Op: flows.ManageAlone})
	if w.pr.Rival {
		t.Error("still a rival")
	}
}
