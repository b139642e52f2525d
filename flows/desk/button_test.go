package desk

import (
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// Every act can be done by buttons, apart from words and the second identifier.
func TestPlanByButtons(t *testing.T) {
	w := newWorld(t)
	w.card(clinician, opPlan, "")
	limit := func(key string) {
		t.Helper()
		for _, row := range w.last(clinician).Inline {
			for _, b := range row {
				if len(b.Label.Args) > 0 && b.Label.Args[0].S == "enrol.f."+key {
					w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: b.Op, Arg: b.Arg, Nonce: b.Nonce})
					return
				}
			}
		}
		t.Fatalf("no button for %s", key)
	}
	limit("release-by-person")
	w.press(clinician, "desk.yes")
	limit("ends")
	w.press(clinician, "desk.b.back")
	limit("evening")
	w.say(clinician, "20:15")
	limit("ceiling")
	w.say(clinician, "99")
	w.must(clinician, "enrol.bad.over")
	w.say(clinician, "5")
	w.press(clinician, "desk.b.done")
	w.press(clinician, "desk.b.yes")
	w.pin(clinician, flows.PINRight)
	if len(w.orders) != 1 {
		t.Fatalf("not ordered; heard %v", w.keys(clinician))
	}
	if p := w.orders[0].Plan; !p.Limits.ReleaseByHand || p.Evening != 1215 || p.Limits.Ceiling != 5 ||
		p.Ends != w.patient.Plan.Ends {
		t.Errorf("%+v", p)
	}
}

func TestGrantByButtons(t *testing.T) {
	w := newWorld(t)
	w.card(clinician, opGrant, "")
	w.press(clinician, "desk.b.take")
	w.say(clinician, "2025-01-01")
	w.must(clinician, "desk.bad.until")
	w.say(clinician, "cancel")
	w.card(clinician, opGrant, "")
	w.press(clinician, "desk.b.take")
	w.press(clinician, "desk.b.until")
	w.press(clinician, "desk.b.back")
	w.press(clinician, "desk.b.until")
	w.say(clinician, "heron 12")
	if len(w.orders) != 1 || w.orders[0].To != 4 || !w.orders[0].Has ||
		w.orders[0].Until != civil.Date(w.now.Unix()/86400)+14 {
		t.Errorf("%+v", w.orders)
	}
}

func TestSleepTestByButtons(t *testing.T) {
	w := newWorld(t)
	w.card(clinician, opTest, "")
	for _, text := range []string{"2026-02-27", "polysomnography", "4 %", "12.6"} {
		w.say(clinician, text)
	}
	w.say(clinician, "many")
	w.must(clinician, "desk.bad.odi")
	w.press2(clinician, "skip")
	w.say(clinician, "a while")
	w.must(clinician, "desk.bad.asleep")
	w.press2(clinician, "skip")
	w.say(clinician, "Dr Alder")
	w.press(clinician, "desk.no")
	w.press(clinician, "desk.b.take")
	w.press(clinician, "desk.b.yes")
	if len(w.orders) != 1 {
		t.Fatalf("not ordered; heard %v", w.keys(clinician))
	}
	if x := w.orders[0].Test; x.ODI10.Known() || x.ODIDrop != 0 || x.Asleep != 0 || x.InPlace || x.Setting != 3 ||
		!x.AHI10.Is(126) {
		t.Errorf("%+v", x)
	}
}

func TestFlagByButton(t *testing.T) {
	w := newWorld(t)
	first, second := flagIDs()
	w.patient.Course.Flags = []redflag.Flag{{ID: first, Resume: 2}, {ID: second, Resume: 1}}
	w.card(clinician, opRelease, "")
	w.press2(clinician, "c1")
	w.press(clinician, "desk.b.take")
	w.say(clinician, "seen, stable")
	w.say(clinician, "Heron 12")
	if len(w.orders) != 1 || w.orders[0].Flag != second || w.orders[0].To != 1 {
		t.Errorf("%+v", w.orders)
	}
	w.patient.Course.Flags = nil
	w.card(clinician, opRelease, "")
	w.must(clinician, "desk.noflag")
	if w.open(clinician) {
		t.Error("a form for nothing is open")
	}
}

// Acts without questions: ordered at once, or after one yes.
func TestPlainActs(t *testing.T) {
	for _, a := range acts {
		if len(a.asks) > 0 {
			continue
		}
		w := newWorld(t)
		w.card(clinician, a.op, "7")
		if a.sure {
			if len(w.orders) != 0 {
				t.Errorf("%s was not asked for", a.op)
			}
			w.press(clinician, "desk.b.yes")
		}
		if a.second {
			w.say(clinician, "Heron 12")
		}
		if len(w.orders) != 1 || w.orders[0].Op != a.order || w.orders[0].Actor.ID != "s1" {
			t.Errorf("%s: %+v", a.op, w.orders)
		}
	}
}

func TestRebindCode(t *testing.T) {
	w := newWorld(t)
	w.card(assistant, opRebind, "")
	w.say(assistant, "Heron 12")
	if len(w.orders) != 1 || len(w.orders[0].Code) != flows.CodeLen || !strings.HasPrefix(w.orders[0].Code, "07") {
		t.Errorf("%+v", w.orders) // the code begins with the patient's shard
	}
}

// One form at a time: a second one offers to carry on or to cancel.
func TestBusy(t *testing.T) {
	w := newWorld(t)
	w.say(clinician, "enrol")
	w.card(clinician, opVisit, "")
	w.must(clinician, "desk.form.busy")
	w.card(clinician, opVisit, "")
	w.press(clinician, "desk.b.carryon")
	w.must(clinician, "enrol.ask")
	w.card(clinician, opAck, "1") // what needs no form goes through
	if len(w.orders) != 1 {
		t.Error("a plain act waited for a form")
	}
	w.press2(clinician, "x")
	w.must(clinician, "desk.form.cancelled")
	w.card(clinician, opVisit, "")
	w.must(clinician, "desk.ask.setting.visit")
}

func TestOldButtons(t *testing.T) {
	w := newWorld(t)
	w.card(clinician, opVisit, "")
	old := w.chats[clinician].Form.Nonce
	w.say(clinician, "cancel")
	w.card(clinician, opVisit, "")
	w.said[clinician] = nil
	w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opForm, Arg: "5", Nonce: old})
	w.must(clinician, "desk.form.old")
	w.say(clinician, "cancel")
	w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opForm, Arg: "5", Nonce: old})
	w.must(clinician, "desk.form.gone")
	w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: "nonsense"})
	w.must(clinician, "desk.button")
	w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opVisit}) // a card's button without its patient
	w.must(clinician, "desk.button")
}

func TestMenu(t *testing.T) {
	w := newWorld(t)
	for arg, view := range map[string]message.View{"queue": message.ViewQueue, "patients": message.ViewList,
		"p2": message.ViewList} {
		w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opMenu, Arg: arg})
		if m := w.last(clinician); m.View != view {
			t.Errorf("%s: %+v", arg, m)
		}
	}
	w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opMenu, Arg: "hold"})
	w.press(clinician, "desk.b.nowhy")
	w.press(clinician, "desk.b.yes")
	if !w.pr.Held {
		t.Fatal("not held")
	}
	w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opMenu, Arg: "hold"}) // the same button now ends it
	w.press(clinician, "desk.b.yes")
	if w.pr.Held {
		t.Error("still held")
	}
	w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opMenu, Arg: "enrol"})
	w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opMenu, Arg: "find"})
	w.must(clinician, "desk.form.busy")
}

// Every act has an op of its own that a button can carry and a label in every
// language, and every order that staff give by a button has its act.
func TestActs(t *testing.T) {
	w := newWorld(t)
	acted := map[flows.OrderOp]bool{flows.OrderCard: true, flows.OrderBrief: true, flows.OrderWrongPerson: true, flows.OrderSweep: true, flows.OrderHand: true} // not staff's to tap
	for i, a := range acts {
		if a.op == "" || len(a.op) > 8 || actIndex(a.op) != i {
			t.Errorf("act %d has the op %q", i, a.op)
		}
		w.check(message.Message{Lines: []message.Line{message.Say("desk.b." + a.op)}})
		acted[a.order] = true
	}
	for op := flows.OrderAck; op < flows.NumOrders; op++ {
		if !acted[op] {
			t.Errorf("no act gives the order %s", op)
		}
	}
}

// Everything that a role may do with a patient is on some card, and nothing else.
func TestAllButtons(t *testing.T) {
	pr := newWorld(t).pr
	first, _ := flagIDs()
	for _, reader := range []practice.Staff{ondine, teal} {
		offered := map[string]bool{}
		for s := chart.NoState; s <= chart.Ended; s++ {
			p := samplePatient()
			p.Course.State, p.Held, p.Chat, p.Consent, p.Gen = s, s%2 == 0, 7, "en1", int32(s%3)
			p.Course.Flags, p.Course.Advice.Ready = []redflag.Flag{{ID: first}}, true
			p.Tests, p.Course.TestOn = []chart.SleepTest{{On: 20511, By: "Dr Marsh", InPlace: true}}, 20511
			p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassN, Reason: "call", Unsure: true},
				{N: 2, Class: redflag.ClassS, Reason: "piece.broken", AckBy: "sother"}}
			for _, of := range []string{"", opMore} {
				_, rows := Show(pr, reader, message.Message{View: message.ViewCard, MediaOf: of}, p, nil)
				for _, op := range strings.Fields(opsOf(rows)) {
					offered[op] = true
				}
			}
		}
		for _, a := range acts {
			if offered[a.op] != (reader.Role >= a.role) {
				t.Errorf("%s is offered %s: %v", reader.Role, a.op, offered[a.op])
			}
		}
	}
}

// A stranger is answered in the language of the app where there are texts for it.
func TestTongue(t *testing.T) {
	w := newWorld(t)
	w.chat(7, flows.Said{Chat: 7, User: 7, Text: "hola", AppLang: "es"})
	w.chat(8, flows.Said{Chat: 8, User: 8, Text: "moi", AppLang: "fi"})
	if w.chats[7].Lang != "es" || w.chats[8].Lang != "" {
		t.Errorf("%q %q", w.chats[7].Lang, w.chats[8].Lang)
	}
	w.chat(9, flows.Said{Chat: 9, User: 9, Text: "beep", From: flows.FromMachine})
	if len(w.said[9]) != 0 {
		t.Error("a bot was answered")
	}
}

func TestMove(t *testing.T) {
	w := newWorld(t)
	w.card(assistant, opMove, "")
	w.chat(assistant, flows.Said{Chat: assistant, User: assistant, Text: "san jose",
		Zones: []string{"America/Costa_Rica", "America/Los_Angeles"}})
	w.press2(assistant, "z1")
	w.say(assistant, "6:30") // in the morning half
	w.must(assistant, "desk.bad.hour")
	w.say(assistant, "20:15")
	w.press(assistant, "desk.b.keep")
	w.press(assistant, "desk.lang.es")
	w.press(assistant, "desk.b.yes")
	if len(w.orders) != 1 || w.orders[0].Zone != "America/Los_Angeles" || w.orders[0].Lang != "es" ||
		w.orders[0].Evening != 20*60+15+1 || w.orders[0].Morning != 0 {
		t.Errorf("%+v", w.orders)
	}
	w.card(assistant, opMove, "")
	for range 3 { // zone, evening, morning
		w.press(assistant, "desk.b.keep")
	}
	w.press(assistant, "desk.b.keep")
	w.must(assistant, "desk.nochange")
}
