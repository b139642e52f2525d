package desk

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

func code(w *world, chat int64, code string) {
	w.chat(chat, flows.Said{Chat: chat, User: abs(chat), Text: code, Reading: reading.Reading{Code: code}, CodeHash: "#" +
		code})
}

func abs(n int64) int64 { return max(n, -n) }

func TestStrangerOnceAMinute(t *testing.T) {
	w := newWorld(t)
	for range 5 {
		w.say(7, "hello")
	}
	if n := len(w.said[7]); n != 1 || w.said[7][0].Lines[0].Key != "desk.stranger" {
		t.Errorf("%d answers: %+v", n, w.said[7])
	}
	w.now = w.now.Add(time.Minute)
	w.chat(7, flows.Other{Chat: 7, User: 7, Kind: "voice"})
	if n := len(w.said[7]); n != 2 {
		t.Errorf("%d answers after a minute", n)
	}
}

// Within that minute an emergency is answered all the same, once.
func TestStrangerInDanger(t *testing.T) {
	w := newWorld(t)
	w.say(7, "hello")
	urgent := flows.Said{Chat: 7, User: 7, Text: "i cant breathe", Reading: reading.Reading{Sure: reading.SetOf(reading.DangerBreath)}}
	for range 3 {
		w.chat(7, urgent)
	}
	if n := len(w.said[7]); n != 2 || w.said[7][1].Lines[0].Key != "desk.stranger.emergency" {
		t.Errorf("%d answers: %+v", n, w.said[7])
	}
	w.now = w.now.Add(time.Minute)
	w.chat(7, urgent)
	if n := len(w.said[7]); n != 3 || w.said[7][2].Lines[0].Key != "desk.stranger" {
		t.Errorf("%d answers after a minute: %+v", n, w.said[7])
	}
}

func TestPatientJoins(t *testing.T) {
	w := newWorld(t)
	w.codes["07AAAAAAAAAAAA"] = true
	code(w, 7, "07ZZZZZZZZZZZZ")
	w.must(7, "desk.code.unknown")
	code(w, 7, "07AAAAAAAAAAAA")
	c := w.chats[7]
	if c.Patient != w.patient.ID || c.Gen != 1 || c.Since == 0 || c.Lang != "es" {
		t.Fatalf("%+v", c)
	}
	w.say(7, "snore 3")
	if len(w.seen) != 1 {
		t.Error("what a patient says did not go on to the patient")
	}
	w.chat(7, flows.Bound{Patient: w.patient.ID, Gen: 1, Freed: true})
	if w.chats[7].Patient != "" || w.chats[7].Gen != 2 {
		t.Errorf("%+v", w.chats[7])
	}
	code(w, 7, "07AAAAAAAAAAAA")
	w.must(7, "desk.code.unknown") // used once
}

func TestFiveTriesAnHour(t *testing.T) {
	w := newWorld(t)
	w.codes["07AAAAAAAAAAAA"] = true
	for range triesPerHour {
		code(w, 7, "07ZZZZZZZZZZZZ")
	}
	code(w, 7, "07AAAAAAAAAAAA")
	w.must(7, "desk.code.wait")
	if w.chats[7].Patient != "" {
		t.Fatal("a sixth try was let through")
	}
	w.now = w.now.Add(time.Hour)
	code(w, 7, "07AAAAAAAAAAAA")
	if w.chats[7].Patient == "" {
		t.Error("an hour later the right code did not work")
	}
}

func TestGroup(t *testing.T) {
	w := newWorld(t)
	w.chat(-9, flows.Said{Chat: -9, User: 7, Text: "hi"})
	if len(w.left) != 1 {
		t.Error("a foreign group was not left")
	}
	w.office(flows.StaffChange{Op: flows.StaffGroup, Code: practice.Code{Hash: "#G0AAAAAAAAAAAA",
		Ends: w.now.Add(time.Hour).Unix()}})
	code(w, 55, "G0AAAAAAAAAAAA")
	w.must(55, "desk.code.unknown") // not in a private chat, where it was seen: it is void
	if len(w.pr.Codes) != 0 {
		t.Errorf("a code that was seen in the wrong place still counts: %v", w.pr.Codes)
	}
	w.office(flows.StaffChange{Op: flows.StaffGroup, Code: practice.Code{Hash: "#G0AAAAAAAAAAAA",
		Ends: w.now.Add(time.Hour).Unix()}})
	w.chat(group, flows.Said{Chat: group, User: 1, From: flows.FromAnonymous,
		Reading: reading.Reading{Code: "G0AAAAAAAAAAAA"}, CodeHash: "#G0AAAAAAAAAAAA"})
	w.must(group, "desk.group.anonymous")
	code(w, group, "G0AAAAAAAAAAAA")
	w.must(group, "desk.group.bound")
	if w.pr.Group != group {
		t.Fatal("not bound")
	}
	for what, s := range map[string]flows.Said{"alone": {Reading: reading.Reading{Code: "S0"}}, "a caption": {Media: "photo"},
		"an edit": {Edited: true}, "a bot's": {From: flows.FromMachine}, "an edited caption": {Edited: true, Media: "photo"}} {
		for _, chat := range []int64{group, -9, assistant} {
			if s.Reading.Code != "" && chat == -9 || s.From == flows.FromMachine && chat == assistant {
				continue // a try, which a group's code alone may be; and no bot writes to a bot
			}
			w.office(flows.StaffChange{Op: flows.StaffAdd, Staff: practice.Staff{ID: "n" + what + fmt.Sprint(chat), Role: practice.Assistant},
				Code: practice.Code{Hash: "#S0AAAAAAAAAAAA", Ends: w.now.Add(time.Hour).Unix()}})
			s.Chat, s.User, s.CodeHash = chat, assistant, "#S0AAAAAAAAAAAA"
			if w.chat(chat, s); slices.ContainsFunc(w.pr.Codes, func(c practice.Code) bool { return c.Hash == s.CodeHash }) {
				t.Errorf("a staff code in %s in %d still counts", what, chat)
			}
		}
	}
	w.said[assistant], w.said[group] = nil, nil
	tap := func(user int64, op string) {
		w.chat(group, flows.Tap{Chat: group, User: user, Op: op, Arg: "1", Patient: w.patient.ID})
	}
	w.now = w.now.Add(time.Minute)
	tap(777, opAck)
	w.must(group, "desk.group.who")
	tap(assistant, opAck)
	if len(w.orders) != 1 || w.orders[0].Actor.ID != "s2" || w.orders[0].Esc != 1 {
		t.Fatalf("%+v", w.orders)
	}
	tap(assistant, opNote) // needs words: goes on in private
	w.must(assistant, "desk.ask.text.note")
	if len(w.said[group]) != 0 {
		t.Errorf("the group heard %v", w.keys(group))
	}
	w.chat(group, flows.Said{Chat: group, User: assistant, Text: "lunch?"})
	if len(w.said[group]) != 0 {
		t.Error("the bot joined the talk")
	}
	w.office(flows.GroupMoved{From: group, To: -501})
	if w.pr.Group != -501 {
		t.Error("the group moved without us")
	}
}

func TestAssistantRefused(t *testing.T) {
	w := newWorld(t)
	for _, a := range acts {
		w.card(assistant, a.op, "1")
		refused := w.heard(assistant, "desk.refused.role")
		if refused != (a.role == practice.Clinician) {
			t.Errorf("%s: refused %v", a.op, refused)
		}
		w.said[assistant], w.chats[assistant] = nil, Chat{ID: assistant, Staff: "s2"}
	}
	for _, o := range w.orders {
		for _, a := range acts {
			if a.order == o.Op && a.role == practice.Clinician {
				t.Errorf("an assistant ordered %s", a.op)
			}
		}
	}
	if !w.logged("desk.refused.role") {
		t.Error("no try was recorded")
	}
}

func TestFindAndWords(t *testing.T) {
	w := newWorld(t)
	for text, view := range map[string]message.View{"queue": message.ViewQueue, "patients": message.ViewList,
		"Heron 12": message.ViewFind} {
		w.say(clinician, text)
		if m := w.last(clinician); m.View != view {
			t.Errorf("%q: %+v", text, m)
		}
	}
	w.say(clinician, "find")
	w.must(clinician, "desk.ask.find")
	w.say(clinician, "Plover 5")
	if m := w.last(clinician); m.View != message.ViewFind || m.MediaOf != "Plover 5" {
		t.Errorf("%+v", m)
	}
	w.say(clinician, "language")
	w.press(clinician, "desk.lang.es")
	if w.chats[clinician].Lang != "es" || w.pr.Staff[0].Lang != "es" {
		t.Errorf("%+v %+v", w.chats[clinician], w.pr.Staff[0])
	}
}
