package desk

import (
	"fmt"
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// Looking for somebody takes one line.
func TestFindInOneLine(t *testing.T) {
	w := newWorld(t)
	w.chat(clinician, flows.Said{Chat: clinician, User: clinician, Text: "find heron", Find: "heron"})
	if m := w.last(clinician); m.View != message.ViewFind || m.MediaOf != "heron" {
		t.Errorf("%+v", m)
	}
	w.chat(clinician, flows.Said{Chat: clinician, User: clinician, Text: "find stepping", Find: "stepping", List: "stepping"})
	if m := w.last(clinician); m.View != message.ViewDigest || readShown(m.MediaOf).word != "stepping" {
		t.Errorf("%+v", m)
	}
}

// States and what is open are lists of their own, which the digest does not repeat.
func TestFindByStateAndByWhatIsOpen(t *testing.T) {
	for word, change := range map[string]func(*flows.Patient){
		"waiting":  func(p *flows.Patient) { p.Course.State = chart.Invited },
		"settling": func(p *flows.Patient) { p.Course.State = chart.Settling },
		"stepping": func(p *flows.Patient) { p.Course.State = chart.Stepping },
		"testing":  func(p *flows.Patient) { p.Course.State = chart.Testing },
		"steady":   func(p *flows.Patient) { p.Course.State = chart.Recall },
		"paused":   func(p *flows.Patient) { p.Course.State = chart.Stopped },
		"ended":    func(p *flows.Patient) { p.Course.State = chart.Ended },
		"flagged":  func(p *flows.Patient) { p.Course.Flags = []redflag.Flag{{ID: "bite.late", Class: redflag.ClassN}} },
		"urgent":   func(p *flows.Patient) { p.Escalations[0].Class = redflag.ClassE },
	} {
		w := newWorld(t)
		p := w.patient
		p.Course.Flags, p.Course.State = nil, chart.Holding
		p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassN, Reason: flows.WhyCall}}
		if lines, _ := w.digestOf(word, 0, []flows.Patient{p}); lineOf(lines, p.Label) {
			t.Errorf("%s has somebody who does not belong in it", word)
		}
		change(&p)
		lines, rows := w.digestOf(word, 0, []flows.Patient{p})
		w.check(message.Message{Lines: lines, Inline: rows})
		if !lineOf(lines, p.Label) {
			t.Errorf("%s has nobody", word)
		}
		if lines, _ := w.digestOf(digestName, 0, []flows.Patient{p}); strings.Contains(keysOf(lines), "desk.list."+word) {
			t.Errorf("%s is in the digest", word)
		}
	}
}

// The queue pages: each item has its line and its button on one page.
func TestQueuePages(t *testing.T) {
	w := newWorld(t)
	var ps []flows.Patient
	for i := range 23 {
		p := w.patient
		p.ID, p.Label, p.Number = chart.PatientID(fmt.Sprintf("07ABCDEFGHJKMN%04d", i)), fmt.Sprintf("Heron %02d", i), int32(i+1)
		p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassN, Reason: flows.WhyCall, RaisedAt: int64(i)}}
		ps = append(ps, p)
	}
	seen, read, arg, pages := map[string]bool{}, 0, "", 0
	for ; pages < 9; pages++ {
		lines, rows := Show(w.pr, ondine, message.Message{View: message.ViewQueue, MediaOf: arg}, flows.Patient{}, ps)
		w.check(message.Message{Lines: lines, Inline: rows})
		arg = ""
		for _, l := range lines {
			if l.Key == "desk.queue.line" {
				read++
			}
		}
		for _, row := range rows {
			for _, b := range row {
				if b.Op == opCard {
					seen[string(b.Patient)] = true
				}
				if b.Op == opMenu && b.Label.Key == "desk.b.older" {
					arg = b.Arg
				}
			}
		}
		if arg == "" {
			break
		}
		w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opMenu, Arg: arg})
		if m := w.last(clinician); m.View != message.ViewQueue || "q"+m.MediaOf != arg {
			t.Fatalf("%s shows %+v", arg, m)
		}
		arg = strings.TrimPrefix(arg, "q")
	}
	if len(seen) != 23 || read != 23 || pages != 2 {
		t.Errorf("%d of 23 read, %d opened, on %d pages", read, len(seen), pages+1)
	}
}

// A patient gets one number, from 1, and no other has it; the numbers of its items
// begin with it.
func TestNumbersAreThePractices(t *testing.T) {
	w := newWorld(t)
	w.pr.Numbers = 0
	for i, id := range []chart.PatientID{"07AAAAAAAAAAAAAAAA", "08BBBBBBBBBBBBBBBB"} {
		pr, fx := NextPractice(w.pr, flows.Event{At: w.now, Body: flows.Manage{Op: flows.ManageNumber, Patient: id}})
		w.pr = pr
		if tell, ok := fx[0].(flows.Tell); !ok || tell.To.Patient != id || tell.Body != (flows.Numbered{Number: int32(i + 1)}) {
			t.Errorf("%+v", fx)
		}
	}
	w.office(flows.Settings{Practice: practice.Practice{}})
	if w.pr.Numbers != 2 {
		t.Error("new settings forget how many there are")
	}
	p := flows.Patient{Number: 12}
	for n, want := range map[int32]int32{1: 12001, 3: 12003, 999: 12999, 1000: 12001, 0: 0} {
		if got := p.Headline(n); got != want || n > 0 && flows.NumberOf(got) != 12 {
			t.Errorf("item %d is %d, want %d", n, got, want)
		}
	}
	if (&flows.Patient{}).Headline(3) != 3 {
		t.Error("one without a number has none")
	}
}

// In a form the queue, the digest, help and cancel still work, and so does taking
// something urgent; the form stays as it was.
func TestBesideAForm(t *testing.T) {
	for name, said := range map[string]flows.Said{
		"queue":  {Text: "queue", Reading: reading.Reading{Word: reading.WordQueue}},
		"help":   {Text: "help", Reading: reading.Reading{Word: reading.WordHelp}},
		"digest": {Text: "digest", List: digestName},
	} {
		w := newWorld(t)
		w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opContact, Patient: w.patient.ID})
		form := w.chats[clinician].Form
		if form.Op != opContact || form.Stage != Asking {
			t.Fatalf("%+v", form)
		}
		said.Chat, said.User = clinician, clinician
		n := len(w.said[clinician])
		w.chat(clinician, said)
		after := w.chats[clinician].Form
		if got := len(w.said[clinician]) - n; got != 2 || after.Op != form.Op || after.Stage != form.Stage || after.At != form.At || after.Nonce != form.Nonce {
			t.Errorf("%s: %d messages, %+v", name, got, after)
		}
		w.must(clinician, "desk.form.open")
		n = len(w.orders)
		w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opAck, Arg: "1", Patient: w.patient.ID})
		if len(w.orders) != n+1 || w.orders[n].Op != flows.OrderAck || w.chats[clinician].Form.Op != opContact {
			t.Errorf("%s: an urgent card cannot be taken: %+v", name, w.orders)
		}
		w.chat(clinician, flows.Said{Chat: clinician, User: clinician, Text: "called, all well"})
		if len(w.orders) != n+2 || w.orders[n+1].Text != "called, all well" {
			t.Errorf("%s: %+v", name, w.orders[n:])
		}
	}
}
