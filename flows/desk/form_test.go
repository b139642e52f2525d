package desk

import (
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"

	"github.com/google/go-cmp/cmp"
)

// Somebody whose role shrinks while a form is open cannot finish it.
func TestRoleAtTheEnd(t *testing.T) {
	w := newWorld(t)
	w.card(clinician, opVisit, "")
	w.say(clinician, "4")
	w.say(clinician, "new screw")
	w.pr.Staff[0].Role = practice.Assistant
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
	if o.Op != flows.OrderVisit || !o.Has || o.To != 4 || o.Text != "seat refined" || o.Actor.ID != "s1" ||
		o.Actor.Role != practice.Clinician || o.Chat != clinician {
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
	w.patient.Course.Flags = []redflag.Flag{{ID: first, Class: redflag.ClassS, Resume: 2},
		{ID: second, Class: redflag.ClassN, Resume: 3}}
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
	w.say(clinician, "make it gentler")
	w.must(clinician, "desk.limit.how")
	w.say(clinician, "ceiling: 17")
	w.must(clinician, "enrol.bad.over")
	w.say(clinician, "step-mm: 0.5")
	w.must(clinician, "desk.bad.limit")
	w.say(clinician, "interval: 4\nsettle: eight nights")
	w.must(clinician, "desk.nochange")
	w.say(clinician, "interval: 4\nsettle: 8")
	w.must(clinician, "desk.sum.change")
	w.say(clinician, "done")
	w.must(clinician, "desk.sum.sure") // more careful: no second identifier
	w.signs(clinician)
	if len(w.orders) != 1 {
		t.Fatal("not ordered")
	}
	o := w.orders[0]
	if o.Base != 3 || o.Plan == nil || o.Plan.Rev != 4 || o.Plan.Limits.Interval != 4 || o.Plan.Limits.Settle != 8 ||
		o.Plan.By != "s1" || o.Plan.ByName != "Ondine" {
		t.Errorf("%+v %+v", o, o.Plan)
	}
	w.card(clinician, opPlan, "")
	w.say(clinician, "ceiling: 7")
	w.must(clinician, "enrol.flag.ceiling") // above 70 %: shown, and still possible
	w.say(clinician, "done")
	w.must(clinician, "desk.sum.label") // a raised limit asks for the label
	w.say(clinician, "Heron 12")
	w.pin(clinician, flows.PINRight)
	w.must(clinician, "desk.look.ask") // and for a second look
	w.say(clinician, "cancel")
	if len(w.orders) != 1 {
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
	w.must(clinician, "enrol.bad.past")
	w.say(clinician, "ends: "+(civil.Date(w.now.Unix()/86400)+60).String())
	w.say(clinician, "done")
	w.say(clinician, "Heron 12")
	w.pin(clinician, flows.PINRight)
	if len(w.orders) != 1 || w.orders[0].Plan.Limits.Interval != 4 {
		t.Errorf("%+v, heard %v", w.orders, w.keys(clinician))
	}
}

func TestSleepTest(t *testing.T) {
	w := newWorld(t)
	w.card(clinician, opTest, "")
	for _, c := range [][2]string{{"2026-03-03", "enrol.bad.ahead"}, {"2027-02-27", "enrol.bad.ahead"}} { // a day to come
		w.say(clinician, c[0])
		w.must(clinician, c[1])
	}
	w.say(clinician, "2026-02-28")
	w.say(clinician, "2026-03-09") // no kind
	w.must(clinician, "enrol.bad.kind")
	w.say(clinician, "back")
	for _, text := range []string{"2026-02-27", "home sleep apnoea test", "3 % or arousal", "6.4", "8.1", "3", "6.5",
		"Dr Alder", "yes", "3"} {
		w.say(clinician, text)
	}
	w.must(clinician, "desk.test.by")
	w.say(clinician, "yes")
	if len(w.orders) != 1 || w.orders[0].Test == nil {
		t.Fatalf("%+v", w.orders)
	}
	want := chart.SleepTest{On: civil.DateOf(2026, time.February, 27), Kind: "home sleep apnoea test",
		Rule: "3 % or arousal", AHI10: chart.Num(64), ODI10: chart.Num(81), ODIDrop: 3, Asleep: 390, By: "Dr Alder", Setting: 3, InPlace: true}
	if d := cmp.Diff(want, *w.orders[0].Test); d != "" {
		t.Error(d)
	}
}

func TestTranscribe(t *testing.T) {
	w := newWorld(t)
	w.card(assistant, opTranscribe, "")
	w.say(assistant, "no idea")
	w.must(assistant, "desk.bad.day")
	w.chat(assistant, flows.Said{Chat: assistant, User: assistant, Text: "pain 3, snoring 2",
		Reading: reading.Reading{Tokens: []reading.Token{{Field: chart.Pain, Value: chart.Num(3)},
			{Field: chart.Snoring, Value: chart.Num(2)}}}})
	w.must(assistant, "desk.sum.answer")
	w.say(assistant, "yes")
	if len(w.orders) != 1 || w.orders[0].Entry == nil || !w.orders[0].Entry.At(chart.Pain).Is(3) ||
		w.orders[0].Entry.Night != civil.DateOf(2026, time.March, 1) {
		t.Fatalf("%+v", w.orders)
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

func (w *world) open(chat int64) bool {
	c := w.chats[chat]
	return c.Open()
}
