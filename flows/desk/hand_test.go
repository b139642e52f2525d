package desk

import (
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// "handover" lists what one holds; each, or all of it, goes by two taps to a colleague
// who is on duty.
func TestHandover(t *testing.T) {
	w := newWorld(t)
	w.patient.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassS, Reason: "stuck", AckBy: "s1", Raised: civil.Wall{Date: 20512}},
		{N: 2, Class: redflag.ClassN, Reason: flows.WhyCall, AckBy: "s2", Raised: civil.Wall{Date: 20512}}}
	lines, rows := w.digestOf(handWord, 0, []flows.Patient{w.patient})
	w.check(message.Message{Lines: lines, Inline: rows})
	if !lineOf(lines, w.patient.Label) {
		t.Fatalf("what one holds is not there: %v", lines)
	}
	var each, all message.Button
	n := 0
	for _, row := range rows {
		for _, b := range row {
			switch {
			case b.Op == opHand && b.Arg == handAll:
				all = b
			case b.Op == opHand:
				each, n = b, n+1
			}
		}
	}
	if n != 1 || each.Arg != "1" || all.Op == "" {
		t.Fatalf("%d to hand over, %+v, all %+v", n, each, all)
	}
	tap := func(b message.Button) {
		w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: b.Op, Arg: b.Arg, Patient: b.Patient})
	}
	for _, b := range []message.Button{each, all} {
		w.orders = nil
		tap(b)
		asked := w.last(clinician)
		w.must(clinician, "desk.hand.who")
		to := asked.Inline
		if len(to) == 0 || to[0][0].Arg != b.Arg+".s2" {
			t.Fatalf("to %+v", to)
		}
		tap(to[0][0])
		if len(w.orders) != 1 || w.orders[0].Op != flows.OrderHand || w.orders[0].For != "s2" || b.Arg == "1" && w.orders[0].Esc != 1 {
			t.Errorf("%s: %+v", b.Arg, w.orders)
		}
	}
	w.must(clinician, "desk.hand.all")
	w.orders = nil
	for _, arg := range []string{"", "0", "x", "1.s1", "all.nobody", "-1.s2"} {
		tap(message.Button{Op: opHand, Arg: arg, Patient: w.patient.ID})
	}
	if len(w.orders) > 0 {
		t.Errorf("%+v", w.orders)
	}
	for i := range w.pr.Staff {
		w.pr.Staff[i].OffDuty = true
	}
	tap(all)
	w.must(clinician, "desk.hand.nobody")
}

// The queue names who has what.
func TestQueueNamesWhoHolds(t *testing.T) {
	w := newWorld(t)
	p := w.patient
	p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassS, Reason: "stuck", AckBy: "s2"}}
	lines, _ := Show(w.pr, ondine, message.Message{View: message.ViewQueue}, flows.Patient{}, []flows.Patient{p})
	w.check(message.Message{Lines: lines})
	if a := argOf(t, lines, "desk.queue.line.by", "who"); a.S != "Teal" {
		t.Errorf("%+v", a)
	}
}

// Everybody hears that somebody left, and every patient with something open is asked.
func TestAllHearWhoLeft(t *testing.T) {
	w := newWorld(t)
	_, out := NextPractice(w.pr, flows.Event{Body: flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: "s2"}}})
	told, asked := 0, false
	for _, x := range out {
		switch x := x.(type) {
		case flows.Send:
			if x.Msg.Lines[0].Key == "desk.staff.left" && x.Chat != assistant {
				told++
			}
		case flows.Tell:
			b, ok := x.Body.(flows.StaffChange)
			asked = asked || ok && x.To.Open && b.Op == flows.StaffRemove && b.Staff.ID == "s2"
		}
	}
	if told == 0 || !asked {
		t.Errorf("told %d, asked %v", told, asked)
	}
}
