package desk

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/store"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func code(w *world, chat int64, code string) {
	w.chat(chat, flows.Said{Chat: chat, User: abs(chat), Text: code, Reading: flows.Reading{Code: code}, CodeHash: "#" + code})
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

func TestStaffCode(t *testing.T) {
	w := newWorld(t)
	add := func(id, label, hash string) {
		w.office(flows.StaffChange{Op: flows.StaffAdd, Staff: flows.Staff{ID: id, Label: label, Role: flows.Assistant}, Code: flows.Code{Hash: hash, Ends: w.now.Add(15 * time.Minute).Unix()}})
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

	w.office(flows.StaffChange{Op: flows.StaffAdd, Staff: flows.Staff{ID: "s9", Label: "Gull", Role: flows.Clinician, Lang: "es"}, Code: flows.Code{Hash: "#S0EEEEEEEEEEEE", Ends: w.now.Add(15 * time.Minute).Unix()}})
	w.chat(88, flows.Said{Chat: 88, User: 88, AppLang: "en", Reading: flows.Reading{Code: "S0EEEEEEEEEEEE"}, CodeHash: "#S0EEEEEEEEEEEE"})
	if s, _ := w.pr.ByChat(88); s.Lang != "es" || w.chats[88].Lang != "es" {
		t.Errorf("the owner's language did not stand: %+v %+v", s, w.chats[88])
	}

	add("s4", "Moth", "#S0CCCCCCCCCCCC")
	w.now = w.now.Add(16 * time.Minute)
	code(w, 9, "S0CCCCCCCCCCCC")
	w.must(9, "desk.code.unknown") // too late

	add("s5", "Reed", "#S0DDDDDDDDDDDD")
	for i := range codeTries {
		code(w, int64(1000+i), "S0XXXXXXXXXXXX")
	}
	code(w, 9, "S0DDDDDDDDDDDD")
	w.must(9, "desk.code.unknown") // tries limited

	w.office(flows.StaffChange{Op: flows.StaffRemove, Staff: flows.Staff{ID: "s3"}})
	w.must(8, "desk.freed")
	w.card(8, opAck, "1")
	w.must(8, "desk.removed")
	if len(w.orders) != 0 || !w.logged("desk.refused.removed") {
		t.Errorf("a removed person's tap: orders %v, logs %v", w.orders, w.logs)
	}
	w.say(8, "queue")
	w.must(8, "desk.removed")
}

func TestGroup(t *testing.T) {
	w := newWorld(t)
	w.chat(-9, flows.Said{Chat: -9, User: 7, Text: "hi"})
	if len(w.left) != 1 {
		t.Error("a foreign group was not left")
	}
	w.office(flows.StaffChange{Op: flows.StaffGroup, Code: flows.Code{Hash: "#G0AAAAAAAAAAAA", Ends: w.now.Add(time.Hour).Unix()}})
	code(w, 55, "G0AAAAAAAAAAAA")
	w.must(55, "desk.code.unknown") // not in a private chat
	w.chat(group, flows.Said{Chat: group, User: 1, From: flows.FromAnonymous, Reading: flows.Reading{Code: "G0AAAAAAAAAAAA"}, CodeHash: "#G0AAAAAAAAAAAA"})
	w.must(group, "desk.group.anonymous")
	code(w, group, "G0AAAAAAAAAAAA")
	w.must(group, "desk.group.bound")
	if w.pr.Group != group {
		t.Fatal("not bound")
	}
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
		if refused != (a.role == flows.Clinician) {
			t.Errorf("%s: refused %v", a.op, refused)
		}
		w.said[assistant], w.chats[assistant] = nil, Chat{ID: assistant, Staff: "s2"}
	}
	for _, o := range w.orders {
		for _, a := range acts {
			if a.order == o.Op && a.role == flows.Clinician {
				t.Errorf("an assistant ordered %s", a.op)
			}
		}
	}
	if !w.logged("desk.refused.role") {
		t.Error("no try was recorded")
	}
}

// Somebody whose role shrinks while a form is open cannot finish it.
func TestRoleAtTheEnd(t *testing.T) {
	w := newWorld(t)
	w.card(clinician, opVisit, "")
	w.say(clinician, "4")
	w.say(clinician, "new screw")
	w.pr.Staff[0].Role = flows.Assistant
	w.say(clinician, "yes")
	w.must(clinician, "desk.refused.role")
	if len(w.orders) != 0 {
		t.Error("ordered")
	}
}

func TestVisit(t *testing.T) {
	w := newWorld(t)
	w.card(clinician, opVisit, "")
	w.must(clinician, "desk.ask.setting.visit")
	w.say(clinician, "21")
	w.must(clinician, "enrol.bad.bounds")
	w.say(clinician, "5 mm")
	w.must(clinician, "desk.ask.text.visit")
	w.say(clinician, "seat refined")
	w.must(clinician, "desk.sum.sure")
	w.press2(clinician, "yes")
	if len(w.orders) != 1 {
		t.Fatal("not ordered")
	}
	o := w.orders[0]
	if o.Op != flows.OrderVisit || !o.Has || o.To != 4 || o.Text != "seat refined" || o.Actor.ID != "s1" || o.Actor.Role != flows.Clinician || o.Chat != clinician {
		t.Errorf("%+v", o)
	}
	w.say(clinician, "yes") // a second yes orders nothing
	w.press2(clinician, "yes")
	if len(w.orders) != 1 {
		t.Error("ordered twice")
	}
}

// press2 sends a form tap with the nonce of whatever form was last open.
func (w *world) press2(chat int64, arg string) {
	w.chat(chat, flows.Tap{Chat: chat, User: chat, Op: opForm, Arg: arg, Nonce: w.chats[chat].Form.Nonce})
}

func TestReleaseNeedsTheLabel(t *testing.T) {
	w := newWorld(t)
	first, second := flagIDs()
	w.patient.Course.Flags = []flows.Flag{{ID: first, Class: flows.ClassS, Resume: 2}, {ID: second, Class: flows.ClassN, Resume: 3}}
	w.card(clinician, opRelease, first)
	w.must(clinician, "desk.ask.setting.release")
	w.say(clinician, "4")
	w.must(clinician, "enrol.bad.bounds") // never forward of where it stands
	w.say(clinician, "2")
	w.say(clinician, "opens 45 mm again")
	w.must(clinician, "desk.sum.label")
	w.say(clinician, "Heron 13")
	w.must(clinician, "desk.sum.wrong")
	if len(w.orders) != 0 {
		t.Fatal("ordered on a wrong label")
	}
	w.say(clinician, " heron  12 ")
	if len(w.orders) != 1 || w.orders[0].Flag != first || w.orders[0].To != 2 || !w.orders[0].Has {
		t.Fatalf("%+v", w.orders)
	}
	w.card(clinician, opRelease, "")
	w.must(clinician, "desk.ask.flag")
	w.say(clinician, "cancel")
	w.card(clinician, opGrant, "")
	w.say(clinician, "5")
	w.say(clinician, "2026-03-20")
	for range wrongLabels {
		w.say(clinician, "nobody")
	}
	w.must(clinician, "desk.sum.closed")
	if len(w.orders) != 1 || w.open(clinician) || !w.logged("desk.refused.label") {
		t.Error("three wrong labels did not close the form")
	}
}

func TestPlanChange(t *testing.T) {
	w := newWorld(t)
	w.card(clinician, opPlan, "")
	w.must(clinician, "desk.ask.limits")
	w.say(clinician, "ceiling: 17")
	w.must(clinician, "enrol.bad.over")
	w.say(clinician, "step-mm: 0.5")
	w.must(clinician, "desk.bad.limit")
	w.say(clinician, "interval: 4\nsettle: 8")
	w.must(clinician, "desk.sum.change")
	w.say(clinician, "done")
	w.must(clinician, "desk.sum.sure") // more careful: no second identifier
	w.say(clinician, "yes")
	if len(w.orders) != 1 {
		t.Fatal("not ordered")
	}
	o := w.orders[0]
	if o.Base != 3 || o.Plan == nil || o.Plan.Rev != 4 || o.Plan.Limits.Interval != 4 || o.Plan.Limits.Settle != 8 || o.Plan.By != "s1" || o.Plan.ByName != "Ondine" {
		t.Errorf("%+v %+v", o, o.Plan)
	}
	w.card(clinician, opPlan, "")
	w.say(clinician, "ceiling: 7")
	w.must(clinician, "enrol.flag.ceiling") // above 70 %: shown, and still possible
	w.say(clinician, "done")
	w.must(clinician, "desk.sum.label") // a raised limit asks for the label
	w.say(clinician, "Heron 12")
	if len(w.orders) != 2 || w.orders[1].Plan.Limits.Ceiling != 7 {
		t.Errorf("%+v", w.orders)
	}
	w.card(clinician, opPlan, "")
	w.say(clinician, "done")
	w.must(clinician, "desk.nochange")
}

// A plan that has ended can be changed only together with its last night.
func TestPlanRenewed(t *testing.T) {
	w := newWorld(t)
	w.patient.Plan.Ends = w.patient.Plan.Fitted + 10 // weeks ago
	w.now = w.now.AddDate(0, 6, 0)
	w.card(clinician, opPlan, "")
	w.say(clinician, "interval: 4")
	w.say(clinician, "done")
	w.must(clinician, "enrol.bad.short")
	w.say(clinician, "ends: "+(flows.Date(w.now.Unix()/86400)+60).String())
	w.say(clinician, "done")
	w.say(clinician, "Heron 12")
	if len(w.orders) != 1 || w.orders[0].Plan.Limits.Interval != 4 {
		t.Errorf("%+v, heard %v", w.orders, w.keys(clinician))
	}
}

func TestSleepTest(t *testing.T) {
	w := newWorld(t)
	w.card(clinician, opTest, "")
	for _, text := range []string{"2026-02-27", "home sleep apnoea test", "3 % or arousal", "6.4", "8.1", "3", "Dr Alder", "yes", "3"} {
		w.say(clinician, text)
	}
	w.must(clinician, "desk.test.by")
	w.say(clinician, "yes")
	if len(w.orders) != 1 || w.orders[0].Test == nil {
		t.Fatalf("%+v", w.orders)
	}
	want := flows.SleepTest{On: flows.DateOf(2026, time.February, 27), Kind: "home sleep apnoea test", Rule: "3 % or arousal", AHI10: flows.Num(64), ODI10: flows.Num(81), ODIDrop: 3, By: "Dr Alder", Setting: 3, InPlace: true}
	if d := cmp.Diff(want, *w.orders[0].Test); d != "" {
		t.Error(d)
	}
}

func TestTranscribe(t *testing.T) {
	w := newWorld(t)
	w.card(assistant, opTranscribe, "")
	w.say(assistant, "no idea")
	w.must(assistant, "desk.bad.day")
	w.chat(assistant, flows.Said{Chat: assistant, User: assistant, Text: "pain 3, snoring 2", Reading: flows.Reading{Tokens: []flows.Token{{Field: flows.Pain, Value: flows.Num(3)}, {Field: flows.Snoring, Value: flows.Num(2)}}}})
	w.must(assistant, "desk.sum.answer")
	w.say(assistant, "yes")
	if len(w.orders) != 1 || w.orders[0].Entry == nil || !w.orders[0].Entry.At(flows.Pain).Is(3) || w.orders[0].Entry.Night != flows.DateOf(2026, time.March, 1) {
		t.Fatalf("%+v", w.orders)
	}
}

func TestHoldEverything(t *testing.T) {
	w := newWorld(t)
	w.say(assistant, "hold everything")
	w.must(assistant, "desk.sum.all.hold")
	w.say(assistant, "yes")
	w.must(clinician, "desk.held")
	if !w.pr.Held {
		t.Fatal("not held")
	}
	w.say(assistant, "resume")
	w.must(assistant, "desk.refused.role")
	w.say(clinician, "resume")
	w.say(clinician, "yes")
	if w.pr.Held {
		t.Error("still held")
	}
	w.office(flows.Manage{Op: flows.ManageResume, Actor: flows.Actor{ID: "s2", Role: flows.Clinician}}) // a forged role
	w.office(flows.Manage{Op: flows.ManageHold, Actor: flows.Actor{ID: "nobody"}})
	if w.pr.Held {
		t.Error("held by nobody")
	}
}

func TestFindAndWords(t *testing.T) {
	w := newWorld(t)
	for text, view := range map[string]flows.View{"queue": flows.ViewQueue, "patients": flows.ViewList, "Heron 12": flows.ViewFind} {
		w.say(clinician, text)
		if m := w.last(clinician); m.View != view {
			t.Errorf("%q: %+v", text, m)
		}
	}
	w.say(clinician, "find")
	w.must(clinician, "desk.ask.find")
	w.say(clinician, "Plover 5")
	if m := w.last(clinician); m.View != flows.ViewFind || m.MediaOf != "Plover 5" {
		t.Errorf("%+v", m)
	}
	w.say(clinician, "language")
	w.press(clinician, "desk.lang.es")
	if w.chats[clinician].Lang != "es" || w.pr.Staff[0].Lang != "es" {
		t.Errorf("%+v %+v", w.chats[clinician], w.pr.Staff[0])
	}
}

// Words typed long after a form was opened are not its answer.
func TestStaleForm(t *testing.T) {
	w := newWorld(t)
	w.card(clinician, opNote, "2")
	w.now = w.now.Add(2 * time.Hour)
	w.say(clinician, "Heron 12")
	w.must(clinician, "desk.form.again")
	if len(w.orders) != 0 {
		t.Fatal("taken as a note")
	}
	w.say(clinician, "rang, all well")
	if len(w.orders) != 1 || w.orders[0].Text != "rang, all well" || w.orders[0].Esc != 2 {
		t.Errorf("%+v", w.orders)
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
	next.Rota = []flows.Shift{{Staff: "Teal", From: "0 8 * * *", To: "0 18 * * *"}}
	w.pr.Held, w.pr.Epoch, w.pr.Group = true, 2, group
	w.office(flows.Settings{Practice: next, Off: []string{"Teal", "Ondine"}})
	if len(w.pr.Staff) != 2 || !w.pr.Held || w.pr.Epoch != 2 || w.pr.Group != group || w.pr.Phone != "1" {
		t.Errorf("%+v", w.pr)
	}
	if !w.pr.Staff[1].OffDuty || w.pr.Staff[0].OffDuty {
		t.Errorf("%+v", w.pr.Staff) // whoever the rota does not name is on duty
	}
	if len(w.timers) != 2 || w.timers["rota.000.on"].Cron != "0 8 * * *" {
		t.Errorf("%+v", w.timers)
	}
	next.Rota = nil
	w.office(flows.Settings{Practice: next})
	if len(w.timers) != 0 || w.pr.Staff[1].OffDuty {
		t.Errorf("the old rota goes on: %+v", w.timers)
	}
	next.Rota = []flows.Shift{{Staff: "Teal", From: "0 8 * * *", To: "0 18 * * *"}}
	w.office(flows.Settings{Practice: next, Off: []string{"Teal"}})
	clear(w.timers)
	w.office(flows.Due{Name: "rota.000.on"})
	if w.pr.Staff[1].OffDuty || len(w.timers) != 1 {
		t.Errorf("%+v %+v", w.pr.Staff, w.timers)
	}
}

func TestRestoreAndRival(t *testing.T) {
	w := newWorld(t)
	w.office(flows.Restored{})
	w.must(clinician, "desk.restored")
	if w.pr.Epoch != 1 || w.pr.Released != 0 {
		t.Errorf("%+v", w.pr)
	}
	w.office(flows.Manage{Op: flows.ManageRelease, Actor: flows.Actor{ID: "s1"}})
	if w.pr.Released != 0 {
		t.Error("released by another than the owner")
	}
	w.office(flows.Manage{Op: flows.ManageRelease, Actor: flows.Actor{ID: "owner"}})
	if w.pr.Released != 1 {
		t.Error("not released")
	}
	w.office(flows.Manage{Op: flows.ManageRival})
	w.must(clinician, "desk.rival")
	w.office(flows.Manage{Op: flows.ManageAlone})
	if w.pr.Rival {
		t.Error("still a rival")
	}
}

// Any events in any order: no panic, arguments untouched, buttons that fit,
// and never an order that its actor's role does not allow.
func TestNextProperty(t *testing.T) {
	ops := []string{opForm, opMenu, opLang, opDraft, opCard, opDiary, opShowPlan, opMore, "?"}
	for _, a := range acts {
		ops = append(ops, a.op)
	}
	texts := []string{"yes", "no", "back", "skip", "done", "cancel", "enrol", "blank", "find", "hold everything", "resume", "queue", "patients", "4", "5 mm", "60 %", "2026-03-10", "Heron 12", "interval: 4", "ceiling: 9",
		"label: A\nstep-mm: 0.25\nzone: UTC", "0.25", "partner", "21:40", "all", "", "🙂", "/start", strings.Repeat("x", 5000)}
	args := []string{"", "1", "x", "yes", "no", "d", "again", "back", "skip", "rest", "sign", "done", "l40", "l41", "z0", "o1", "c0", "all", "hold", "p1", "tos1", "en", "-1", "99999999999999"}
	rapid.Check(t, func(rt *rapid.T) {
		w := newWorld(t)
		w.pr.Group = group
		first, second := flagIDs()
		w.patient.Course.Flags = []flows.Flag{{ID: first, Resume: 2}, {ID: second}}
		who := rapid.SampledFrom([]int64{clinician, assistant, 9, group, -9})
		for range rapid.IntRange(1, 60).Draw(rt, "events") {
			chat := who.Draw(rt, "chat")
			user := chat
			if chat < 0 {
				user = rapid.SampledFrom([]int64{clinician, assistant, 9}).Draw(rt, "user")
			}
			w.now = w.now.Add(time.Duration(rapid.IntRange(0, 90).Draw(rt, "minutes")) * time.Minute)
			var b flows.Body
			switch rapid.IntRange(0, 9).Draw(rt, "kind") {
			case 0, 1, 2, 3:
				text := rapid.SampledFrom(texts).Draw(rt, "text")
				s := flows.Said{Chat: chat, User: user, Text: text, Reading: flows.Reading{Word: words[text]}, Zones: []string{"UTC", "Asia/Tokyo"}[:rapid.IntRange(0, 2).Draw(rt, "zones")]}
				b = s
			case 4, 5, 6, 7:
				p := flows.Tap{Chat: chat, User: user, Op: rapid.SampledFrom(ops).Draw(rt, "op"), Arg: rapid.SampledFrom(args).Draw(rt, "arg"), Nonce: w.chats[chat].Form.Nonce, Patient: w.patient.ID}
				b = p
			case 8:
				b = rapid.SampledFrom([]flows.Body{flows.Other{Chat: chat, User: user}, flows.NoSuchCode{}, flows.StaffBound{Staff: "s1", Role: flows.Clinician}, flows.LabelTaken{Label: "A"}, flows.Brief{}, flows.Draft{}, flows.Bounce{Chat: chat},
					flows.Bound{Refused: true}, flows.Due{}, nil}).Draw(rt, "body")
			default:
				w.office(rapid.SampledFrom([]flows.Body{flows.StaffChange{Op: flows.StaffRemove, Staff: flows.Staff{ID: "s2"}}, flows.Restored{}, flows.GroupMoved{From: group, To: -501}, flows.Due{Name: "rota.000.on"},
					flows.Manage{Op: flows.ManageHold, Actor: flows.Actor{ID: "s1"}}, nil}).Draw(rt, "office"))
				continue
			}
			c := w.chats[chat]
			c.ID = chat
			w.chats[chat] = c
			pr := w.pr
			before, practice := dump(c), dump(pr)
			Next(pr, c, w.event(b))
			if dump(c) != before || dump(pr) != practice {
				rt.Fatalf("%T changed its arguments", b)
			}
			w.chat(chat, b)
			stored, err := store.Encode(w.chats[chat])
			var back Chat
			if err == nil {
				err = store.Decode(stored, &back)
			}
			if err != nil || dump(back) != dump(w.chats[chat]) {
				rt.Fatalf("stored form: %v\n%s\n%s", err, dump(back), dump(w.chats[chat]))
			}
			if len(stored) > store.MaxBody {
				rt.Fatalf("a chat takes %d bytes", len(stored))
			}
			for _, o := range w.orders {
				s, ok := w.pr.ByID(o.Actor.ID)
				i := 0
				for i < len(acts) && acts[i].order != o.Op {
					i++
				}
				if !ok || i == len(acts) || o.Actor.Role < acts[i].role || s.Role != o.Actor.Role {
					rt.Fatalf("order %+v", o)
				}
				if o.Plan != nil && flows.Refused(flows.Check(flows.Enrolment{Label: "x", Adult: true, Lang: "en", Zone: "UTC", Phone: "123", Appliance: w.patient.Appliance, Baseline: w.patient.Baseline, Plan: *o.Plan, Checklist: w.patient.Checklist})) {
					rt.Fatalf("a plan outside its bounds: %+v", o.Plan)
				}
			}
			for _, e := range w.enrols {
				if flows.Refused(flows.Check(e.Enrolment)) || e.Actor.Role != flows.Clinician {
					rt.Fatalf("enrolled %+v", e)
				}
			}
			w.orders, w.enrols = nil, nil
		}
	})
}

// dump writes a value with what its pointers point to.
func dump(v any) string {
	b, err := json.Marshal(v)
	return fmt.Sprint(strings.ReplaceAll(string(b), "[]", "null"), err)
}

func (w *world) open(chat int64) bool {
	c := w.chats[chat]
	return c.Open()
}
