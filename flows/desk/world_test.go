package desk

import (
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
	"duskdawn/locales"
)

// world is a small practice in memory: it carries what is told from one
// aggregate to another, and keeps what was said to each chat.
type world struct {
	t       *testing.T
	pr      practice.Practice
	chats   map[int64]Chat
	said    map[int64][]message.Message
	orders  []flows.Order
	enrols  []flows.Enrol
	patient flows.Patient // answers for every patient
	codes   map[string]bool
	logs    []string
	left    []int64
	timers  map[string]flows.SetTimer
	now     time.Time
	seed    byte
	seen    []flows.Body // told to patients, orders apart
	read    map[string]bool
	asked   int  // how often a patient was looked at for a form
	deaf    bool // patients do not answer that

	patients map[chart.PatientID]flows.Patient // where patients answer for themselves
	owner    map[string]chart.PatientID        // of an enrolment code
}

const (
	clinician = 101
	assistant = 102
	group     = -500
)

func newWorld(t *testing.T) *world {
	w := &world{t: t, chats: map[int64]Chat{}, said: map[int64][]message.Message{}, codes: map[string]bool{},
		timers: map[string]flows.SetTimer{}, read: map[string]bool{}, now: time.Date(2026, time.March, 2, 10, 0, 0, 0, time.UTC)}
	w.pr = practice.Practice{Name: "Quillmere", Zone: "Europe/Madrid", Lang: "en", Langs: []string{"en", "es"},
		Emergency: "112", Staff: []practice.Staff{
			{ID: "s1", Label: "Ondine", Role: practice.Clinician, Chat: clinician, Lang: "en", PIN: "kept"}, {ID: "s2", Label: "Teal", Role: practice.Assistant, Chat: assistant, Lang: "es"}}}
	w.chats[clinician] = Chat{ID: clinician, Staff: "s1", Lang: "en", Gen: 1}
	w.chats[assistant] = Chat{ID: assistant, Staff: "s2", Lang: "es", Gen: 1}
	w.patient = samplePatient()
	return w
}

func samplePatient() flows.Patient {
	p := flows.Patient{ID: "07ABCDEFGHJKMNPQRS", Label: "Heron 12", Lang: "en", Zone: "Europe/Madrid",
		Phone: "+34 600 000 012"}
	p.Appliance = chart.Appliance{Mechanism: "screw", StepWord: "half turn", Step: 250, Forward: "to the nose", Travel: 20,
		Guide: true, GuideMin: 5}
	p.Baseline = chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual, Start: 4000,
		Reporter: chart.Num(chart.ReporterPartner), Drives: chart.Num(chart.No)}
	p.Plan = chart.Plan{Rev: 3, By: "s1", ByName: "Ondine", On: 20500, Fitted: 20500, Ends: 20590, Evening: 1260,
		Morning: 450, Limits: chart.Limits{
			Ceiling: 6, Settle: 7, Interval: 3, RestMornings: 3, Target: 3, Loud: 7, WornMinutes: 240, Pace: 1000,
			ContactDays: 90}}
	p.Checklist = 1<<chart.NumChecks - 1
	p.Course.State, p.Course.Left, p.Course.Right, p.Course.SetOn = chart.Stepping, 3, 3, 20510
	return p
}

func (w *world) event(b flows.Body) flows.Event {
	w.seed++
	e := flows.Event{ID: fmt.Sprint(w.seed), At: w.now, Body: b, Office: civil.Wall{Date: civil.Date(w.now.Unix() / 86400),
		Clock: civil.Clock(w.now.Unix() % 86400 / 60)}}
	e.Wall = e.Office
	for i := range e.Seed {
		e.Seed[i] = w.seed*37 + byte(i)*11
	}
	return e
}

func (w *world) chat(id int64, b flows.Body) {
	c, ok := w.chats[id]
	if !ok {
		c.ID = id
	}
	next, fx := Next(w.pr, c, w.event(b))
	w.chats[id] = next
	w.effects(id, fx)
}

func (w *world) office(b flows.Body) {
	next, fx := NextPractice(w.pr, w.event(b))
	w.pr = next
	w.effects(0, fx)
}

func (w *world) effects(own int64, fx []flows.Effect) {
	for _, x := range fx {
		switch x := x.(type) {
		case flows.Send:
			chat := x.Chat
			if chat == 0 {
				chat = own
			}
			if x.Msg.Media == "leave" {
				w.left = append(w.left, chat)
			}
			w.check(x.Msg)
			w.said[chat] = append(w.said[chat], x.Msg)
		case flows.Log:
			w.logs = append(w.logs, x.What)
		case flows.SetTimer:
			w.timers[x.Name] = x
		case flows.ClearTimer:
			delete(w.timers, x.Name)
		case flows.Tell:
			w.told(x)
		}
	}
}

func (w *world) told(x flows.Tell) {
	switch {
	case x.To.Practice:
		w.office(x.Body)
	case x.To.Chat != 0:
		w.chat(x.To.Chat, x.Body)
	case x.To.Code != "" && w.patients != nil:
		if id, ok := w.owner[x.To.Code]; ok {
			w.tellPatient(id, x.Body)
		} else {
			w.chat(x.Body.(flows.Join).Chat, flows.NoSuchCode{})
		}
	case w.patients != nil:
		w.tellPatient(x.To.Patient, x.Body)
	case x.To.Code != "":
		j := x.Body.(flows.Join)
		if !w.codes[x.To.Code] {
			w.chat(j.Chat, flows.NoSuchCode{})
			return
		}
		delete(w.codes, x.To.Code)
		w.chat(j.Chat, flows.Bound{Patient: w.patient.ID, Gen: j.Gen, Lang: "es", Since: 20510})
	default:
		switch b := x.Body.(type) {
		case flows.Order:
			if b.Op == flows.OrderBrief {
				w.asked++
				if w.deaf {
					return
				}
				brief := flows.BriefOf(&w.patient, b.Text)
				brief.Preview = b.Plan != nil || b.Entry != nil
				w.chat(b.Chat, brief)
				return
			}
			w.orders = append(w.orders, b)
		case flows.Enrol:
			w.enrols = append(w.enrols, b)
		default:
			w.seen = append(w.seen, b)
		}
	}
}

// catalogue is every text, loaded once for all tests.
var catalogue = sync.OnceValues(locales.Load)

// check holds every message to what a button can carry, and to texts in every
// language that take exactly these values.
func (w *world) check(m message.Message) {
	words, err := catalogue()
	if err != nil {
		w.t.Fatal(err)
	}
	lines := m.Lines
	for _, row := range m.Inline {
		for _, b := range row {
			lines = append(lines[:len(lines):len(lines)], b.Label)
		}
	}
	for _, l := range lines {
		if w.read[shape(l)] {
			continue
		}
		w.read[shape(l)] = true
		for _, lang := range words.Languages() {
			before := words.Misses()
			if text := words.Line(lang, l); words.Misses() != before || text == "" {
				w.t.Errorf("%s has no text for %s with %+v: %q", lang, l.Key, l.Args, text)
			}
		}
	}
	for _, row := range m.Inline {
		for _, b := range row {
			if len(b.Op) == 0 || len(b.Op) > 8 || len(b.Arg) > 16 || len(b.Nonce) > 8 || b.Label.Key == "" ||
				strings.ContainsAny(b.Op+b.Arg+b.Nonce, "|") {
				w.t.Errorf("button %+v", b)
			}
		}
	}
}

// say types a text; words that the intake would read are told by name.
func (w *world) say(chat int64, text string) {
	s := flows.Said{Chat: chat, User: chat, Text: text,
		Reading: reading.Reading{Word: words[strings.TrimPrefix(text, "/")]}}
	w.chat(chat, s)
}

var words = map[string]reading.Word{"queue": reading.WordQueue, "patients": reading.WordPatients,
	"enrol": reading.WordEnrol, "find": reading.WordFind, "hold everything": reading.WordHold,
	"resume": reading.WordResume,
	"help":   reading.WordHelp, "cancel": reading.WordCancel, "back": reading.WordBack, "skip": reading.WordSkip,
	"yes": reading.WordYes, "no": reading.WordNo, "done": reading.WordDone, "blank": reading.WordBlank,
	"language": reading.WordLanguage}

// card presses a button on a patient's card.
func (w *world) card(chat int64, op, arg string) {
	p := w.patient
	if own, ok := w.patients[p.ID]; ok {
		p = own
	}
	b := button(&p, op, arg)
	w.chat(chat, flows.Tap{Chat: chat, User: chat, Op: b.Op, Arg: b.Arg, Nonce: b.Nonce, Patient: b.Patient})
}

// press presses the button of the last message that has this label key.
func (w *world) press(chat int64, label string) {
	w.t.Helper()
	for i := len(w.said[chat]) - 1; i >= 0; i-- {
		for _, row := range w.said[chat][i].Inline {
			for _, b := range row {
				if b.Label.Key == label {
					w.chat(chat, flows.Tap{Chat: chat, User: chat, Op: b.Op, Arg: b.Arg, Nonce: b.Nonce, Patient: b.Patient})
					return
				}
			}
		}
	}
	w.t.Fatalf("no button %s; last: %+v", label, w.last(chat))
}

func (w *world) last(chat int64) message.Message {
	if n := len(w.said[chat]); n > 0 {
		return w.said[chat][n-1]
	}
	return message.Message{}
}

// heard reports whether the last messages to a chat hold a line.
func (w *world) heard(chat int64, key string) bool {
	for _, m := range w.said[chat] {
		for _, l := range m.Lines {
			if l.Key == key {
				return true
			}
		}
	}
	return false
}

func (w *world) must(chat int64, key string) {
	w.t.Helper()
	if !w.heard(chat, key) {
		w.t.Fatalf("chat %d did not hear %s; it heard %v", chat, key, w.keys(chat))
	}
	w.said[chat] = nil
}

func (w *world) keys(chat int64) []string {
	var out []string
	for _, m := range w.said[chat] {
		for _, l := range m.Lines {
			out = append(out, l.Key)
		}
		if m.View != 0 {
			out = append(out, fmt.Sprint("view ", m.View, " ", m.MediaOf))
		}
	}
	return out
}

// flagIDs are two rows of the flag table, to raise in tests.
func flagIDs() (string, string) {
	rows := redflag.Rows()
	return rows[0].ID, rows[1].ID
}

// shape is a line without the values that do not choose a text.
func shape(l message.Line) string {
	s := l.Key
	for _, a := range l.Args {
		s += " " + a.Name
		if a.Kind == message.ArgKey || a.Kind == message.ArgList {
			s += "=" + a.S
		}
	}
	return s
}

func (w *world) logged(what string) bool {
	for _, l := range w.logs {
		if l == what {
			return true
		}
	}
	return false
}

// signs is a yes and the right PIN.
func (w *world) signs(chat int64) {
	w.say(chat, "yes")
	w.pin(chat, flows.PINRight)
}

func (w *world) pin(chat int64, is flows.PIN) {
	w.chat(chat, flows.Said{Chat: chat, User: chat, PIN: is})
}
