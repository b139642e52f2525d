package desk

import (
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
)

// A test is arranged with its date, or without where it is not known yet; a date that
// cannot be is asked for again.
func TestArrangedWithItsDate(t *testing.T) {
	for _, c := range []struct {
		typed string
		want  civil.Date
		taken bool
	}{{"2026-03-12", civil.DateOf(2026, 3, 12), true}, {"skip", 0, true}, {"2025-03-12", 0, false}, {"soon", 0, false}, {"2028-03-12", 0, false}} {
		w := newWorld(t)
		w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opTesting, Patient: w.patient.ID, Nonce: "1"})
		w.must(clinician, "desk.ask.arranged")
		n := len(w.orders)
		w.say(clinician, c.typed)
		if !c.taken {
			w.must(clinician, "desk.bad.arranged")
			continue
		}
		w.press(clinician, "desk.b.yes")
		if len(w.orders) != n+1 || w.orders[n].Op != flows.OrderTesting || w.orders[n].Until != c.want {
			t.Errorf("%s: %+v", c.typed, w.orders[n:])
		}
	}
}

// The list of tests has what is to come, and what is overdue by its own date.
func TestTestsByTheirDate(t *testing.T) {
	w := newWorld(t)
	today := civil.Date(w.now.Unix() / 86400)
	p := w.patient
	p.Course.State, p.Turned, p.Escalations = chart.Testing, today-30, nil
	for on, key := range map[civil.Date]string{today + 3: "desk.l.due", today - 7: "desk.l.overdue", today - 2: "", 0: "desk.l.overdue"} {
		p.TestOn = on
		lines, rows := w.digestOf("tests", 0, []flows.Patient{p})
		w.check(message.Message{Lines: lines, Inline: rows})
		got := ""
		if len(lines) > 2 {
			got = lines[2].Key
		}
		if got != key {
			t.Errorf("arranged for %d: %q, want %q", on-today, got, key)
		}
	}
}

// A language is chosen by its name, whatever language that is in.
func TestLanguageByItsName(t *testing.T) {
	words, err := catalogue()
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{"Español": "es", "spanish": "es", "Castellano": "es", "inglés": "en", "English": "en", "es": "es"} {
		pairs := words.Pairs(name)
		if len(pairs) != 1 || pairs[0].Value != want {
			t.Errorf("%s: %+v", name, pairs)
			continue
		}
		w := newWorld(t)
		w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opMove, Patient: w.patient.ID})
		for range 3 { // zone, evening, morning
			w.press(clinician, "desk.b.keep")
		}
		w.chat(clinician, flows.Said{Chat: clinician, User: clinician, Text: name, Pairs: pairs})
		f := w.chats[clinician].Form
		if same := want == w.patient.Lang; f.Order.Lang != want && !same {
			t.Errorf("%s: %+v", name, f.Order)
		}
	}
}
