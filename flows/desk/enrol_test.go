package desk

import (
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
)

// pasted is an invented, complete enrolment.
const pasted = `label: Heron 12
adult: yes
language: en
zone: Madrid
phone: +34 600 000 012
mechanism: one screw
step-word: half turn
step-mm: 0.25
forward: key to the nose
travel: 5 mm
zero: habitual
max-mm: 8
start: 50 %
reporter: partner
drives: no
sleepiness: 4
headache: no
pauses: no
ceiling: 70 %
settle: 7
checklist: all`

func (w *world) paste(chat int64, text string) {
	w.chat(chat, flows.Said{Chat: chat, User: chat, Text: text, Zones: []string{"Europe/Madrid"}})
}

func TestEnrolPasted(t *testing.T) {
	w := newWorld(t)
	w.paste(clinician, pasted)
	w.must(clinician, "enrol.sum.earliest")
	w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opForm, Arg: "sign",
		Nonce: w.chats[clinician].Form.Nonce})
	w.pin(clinician, flows.PINRight)
	if len(w.enrols) != 1 {
		t.Fatalf("not signed: %v", w.keys(clinician))
	}
	e := w.enrols[0]
	p := e.Enrolment.Plan
	if p.Rev != 1 || p.By != "s1" || p.ByName != "Ondine" || p.On != civil.DateOf(2026, time.March, 2) ||
		p.Limits.Ceiling != 6 || e.Enrolment.Zone != "Europe/Madrid" || e.Chat != clinician {
		t.Errorf("%+v", e)
	}
	if len(e.Code) != flows.CodeLen {
		t.Errorf("code %q", e.Code)
	}

	// Another patient has that label: nothing is lost, and the next signature is a new patient.
	w.chat(clinician, flows.LabelTaken{Label: "Heron 12"})
	w.must(clinician, "enrol.taken")
	w.say(clinician, "Heron 13")
	w.signs(clinician)
	if len(w.enrols) != 2 || w.enrols[1].Enrolment.Label != "Heron 13" || w.enrols[1].Enrolment.Plan.Limits.Ceiling != 6 ||
		w.enrols[1].Code == e.Code {
		t.Fatalf("%+v", w.enrols)
	}
	w.signs(clinician)
	if len(w.enrols) != 2 {
		t.Error("signed twice")
	}
}

// A fitting day of another year, or a plan that is over, is refused before anybody signs,
// and nothing is lost; one of weeks ago is seen, and nights count from today.
func TestFittedLongAgo(t *testing.T) {
	fields := enrol.FormFields()
	for text, want := range map[string]string{"2025-01-01": "enrol.bad.longago", "2025-11-01": "enrol.bad.past", "2025-12-15": "enrol.flag.late",
		"2026-02-27": ""} {
		w := newWorld(t)
		w.paste(clinician, pasted+"\nfitted: "+text)
		for _, key := range []string{"enrol.bad.longago", "enrol.bad.past", "enrol.flag.late"} {
			if text == "2025-11-01" && key == "enrol.flag.late" {
				continue // beside the refusal
			}
			if w.heard(clinician, key) != (key == want) {
				t.Errorf("%s: %s is said %v", text, key, key != want)
			}
		}
		f := w.chats[clinician].Form
		if refused := strings.HasPrefix(want, "enrol.bad"); refused != (f.Stage != Summing) {
			t.Errorf("%s: stage %d", text, f.Stage)
		}
		if want == "enrol.bad.longago" {
			w.paste(clinician, "fitted: 2026-03-02")
			if f := w.chats[clinician].Form; f.Stage != Summing || f.Filled.Enrolment.Label != "Heron 12" {
				t.Errorf("what was filled in is lost: %v", w.keys(clinician))
			}
		}
		if i := enrol.FormIndex(fields, "ends"); want == "enrol.bad.past" && f.Field != int16(i+1) {
			t.Errorf("the last night is not asked for: %d", f.Field)
		}
		for _, m := range w.said[clinician] {
			for _, l := range m.Lines {
				if l.Key == "enrol.sum.earliest" && l.Args[1].N < int64(civil.DateOf(2026, time.March, 20)) && f.Filled.Enrolment.Plan.Fitted < 20500 {
					t.Errorf("%s: the ceiling on %v", text, civil.Date(l.Args[1].N))
				}
			}
		}
	}
}

// An AHI without its kind of test and scoring rule: those are asked for, not the number
// again; who has not got them leaves the number out.
func TestAHIAlone(t *testing.T) {
	for _, known := range []bool{true, false} {
		w := newWorld(t)
		w.paste(clinician, pasted+"\nahi: 12")
		w.must(clinician, "enrol.bad.ahi")
		if known {
			w.say(clinician, "polysomnography")
			w.say(clinician, "3 % or arousal")
		} else {
			w.say(clinician, "skip")
			w.must(clinician, "enrol.ahi.out")
		}
		f := w.chats[clinician].Form
		if x := f.Filled.Enrolment.Baseline.Test; f.Stage != Summing || x.AHI10.Is(120) != known || (x.Kind == "polysomnography" && x.Rule == "3 % or arousal") != known {
			t.Errorf("known %v: stage %d, %+v, heard %v", known, f.Stage, x, w.keys(clinician))
		}
	}
}

func TestEnrolLineByLine(t *testing.T) {
	w := newWorld(t)
	w.paste(clinician, strings.NewReplacer("step-mm: 0.25", "step-mm: 1.5", "settle: 7", "settle: many", "drives: no",
		"colour: red").Replace(pasted))
	lines := map[string]bool{}
	for _, m := range w.said[clinician] {
		for i, l := range m.Lines {
			if l.Key == "enrol.line" {
				lines[m.Lines[i+1].Key] = true
				if n := l.Args[0].N; n != 8 && n != 15 && n != 20 {
					t.Errorf("line %d: %s", n, m.Lines[i+1].Key)
				}
			}
		}
	}
	if !lines["enrol.bad.bounds"] || !lines["enrol.bad.whole"] || !lines["enrol.bad.key"] || len(lines) != 3 {
		t.Errorf("%v", lines)
	}
	// What waits for the step is not wrong, and is counted with it.
	travel, ceiling := enrol.FormIndex(enrol.FormFields(), "travel"), enrol.FormIndex(enrol.FormFields(), "ceiling")
	if f := w.chats[clinician].Form.Filled; !f.Waiting(travel) || !f.Waiting(ceiling) {
		t.Errorf("%+v", f)
	}
	// A wrong line never becomes its default unsaid: it is asked again.
	if f := w.chats[clinician].Form; f.Stage != Asking || f.Filled.Has(enrol.FormIndex(enrol.FormFields(), "settle")) {
		t.Errorf("%+v", f)
	}
	w.paste(clinician, "step-mm: 0.25\nsettle: 7\ndrives: no")
	if f := w.chats[clinician].Form; f.Stage != Summing || f.Filled.Enrolment.Plan.Limits.Settle != 7 ||
		f.Filled.Enrolment.Appliance.Travel != 20 || f.Filled.Enrolment.Plan.Limits.Ceiling != 6 {
		t.Errorf("%+v, heard %v", f, w.keys(clinician))
	}
}

// A start can be given as edge to edge in one tap: that is the overjet, which is asked
// for its sake where it is not known, and not a second time.
func TestEdgeToEdge(t *testing.T) {
	fields := enrol.FormFields()
	for _, known := range []bool{false, true} {
		w := newWorld(t)
		w.say(clinician, "enrol")
		w.paste(clinician, "step-mm: 0.25\ntravel: 20\nzero: habitual\nmax-mm: 9")
		if known {
			w.paste(clinician, "overjet-mm: 3.5")
		}
		for range 20 { // up to the start
			f := w.chats[clinician].Form
			if fields[f.Field-1].Key == "start" {
				break
			}
			w.paste(clinician, fields[f.Field-1].Key+": "+map[string]string{"label": "Plover 5", "adult": "yes", "language": "en",
				"zone": "UTC", "mechanism": "links", "step-word": "size", "forward": "shorter", "two-sided": "no", "offset": "0",
				"guide": "no", "lip-seal": "no", "phone": "555 0142", "physician": "Dr F"}[fields[f.Field-1].Key])
			if w.chats[clinician].Form.Field == f.Field {
				w.press2(clinician, "skip")
			}
		}
		w.press2(clinician, "edge")
		if !known {
			w.say(clinician, "3.5")
		}
		f := w.chats[clinician].Form
		b := &f.Filled.Enrolment.Baseline
		if b.Start != 3500 || !b.Overjet.Is(35) || fields[f.Field-1].Key == "overjet-mm" || fields[f.Field-1].Key == "start" {
			t.Errorf("known %v: start %d, overjet %d, asked %s", known, b.Start, b.Overjet.N(), fields[f.Field-1].Key)
		}
	}
}

// The guided form, question by question; defaults and whole parts by one tap.
func TestEnrolGuided(t *testing.T) {
	w := newWorld(t)
	w.say(clinician, "enrol")
	w.must(clinician, "enrol.begin")
	answers := map[string]string{"label": "Plover 5", "adult": "yes", "language": "en", "phone": "123456",
		"physician": "skip", "mechanism": "links", "step-word": "size", "step-mm": "0,5", "forward": "shorter", "travel": "8",
		"setting-labels": "rest", "zero": "o0", "max-mm": "9", "start": "4.5", "jaw-pain": "skip", "overjet-mm": "rest", "reporter": "o3", "drives": "no", "sleepiness": "4", "headache": "no", "pauses": "no", "ceiling": "d", "checklist": "all"}
	asked := 0
	for ; asked < 80; asked++ {
		f := w.chats[clinician].Form
		if f.Stage != Asking {
			break
		}
		field := enrol.FormFields()[f.Field-1]
		a, ok := answers[field.Key]
		switch {
		case ok && (a == "skip" || a == "rest" || a == "d" || a == "all" || strings.HasPrefix(a, "o")):
			w.press2(clinician, a)
		case ok:
			w.say(clinician, a)
		case field.Need:
			w.press2(clinician, "d")
		default:
			w.press2(clinician, "rest")
			if w.chats[clinician].Form.Field == f.Field {
				w.press2(clinician, "skip")
			}
		}
	}
	jose := []string{"America/Costa_Rica", "America/Los_Angeles"}
	w.chat(clinician, flows.Said{Chat: clinician, User: clinician, Text: "zone: san jose", Zones: jose})
	w.must(clinician, "enrol.bad.zone")
	w.chat(clinician, flows.Said{Chat: clinician, User: clinician, Text: "san jose", Zones: jose})
	w.must(clinician, "enrol.zone.which")
	w.press2(clinician, "z0")
	f := w.chats[clinician].Form
	if f.Stage != Summing {
		t.Fatalf("stage %d, field %d, heard %v", f.Stage, f.Field, w.keys(clinician))
	}
	e := f.Filled.Enrolment
	if e.Zone != "America/Costa_Rica" || e.Appliance.Step != 500 || e.Plan.Limits.Interval != 7 ||
		!e.Plan.Limits.Timetable || e.Plan.Limits.Ceiling != 3 || e.Baseline.Zero != chart.ZeroHabitual {
		t.Errorf("%+v", e)
	}
	t.Logf("%d questions", asked)
	if asked > 19 {
		t.Errorf("%d questions", asked)
	}
	w.say(clinician, "back")
	if w.chats[clinician].Form.Stage != Asking {
		t.Error("no way back from the summary")
	}
}

func TestAssistantHandsOver(t *testing.T) {
	w := newWorld(t)
	w.paste(assistant, pasted)
	w.must(assistant, "enrol.handover")
	w.press2(assistant, "sign")
	if len(w.enrols) != 0 {
		t.Fatal("an assistant signed")
	}
	w.press2(assistant, "tos1")
	w.must(assistant, "enrol.handed")
	w.must(clinician, "enrol.draft")
	w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opDraft, Arg: "1"}) // of an older program
	offer := w.last(clinician).Inline[0][0]
	w.must(clinician, "enrol.draft")
	if w.open(clinician) {
		t.Fatal("a button that names no form opened one")
	}
	w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: offer.Op, Nonce: offer.Nonce})
	w.must(clinician, "enrol.sign")
	w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: offer.Op, Nonce: offer.Nonce})
	w.must(clinician, "desk.draft.gone")
	w.signs(clinician)
	if len(w.enrols) != 1 || w.enrols[0].Actor.ID != "s1" || w.enrols[0].Enrolment.Plan.By != "s1" {
		t.Errorf("%+v", w.enrols)
	}
}

func TestBlankIsFillable(t *testing.T) {
	w := newWorld(t)
	w.say(clinician, "blank")
	words, err := catalogue()
	if err != nil {
		t.Fatal(err)
	}
	form := words.Text("es", w.last(clinician)) // as it is read on a screen
	var f enrol.Filled
	if ps := f.Fill(enrol.FormFields(), enrol.ReadPairs(form)); len(ps) == 0 {
		t.Error("an empty label passed") // the blanks that are needed and have no default
	} else {
		for _, p := range ps {
			if p.Key != "enrol.bad.empty" {
				t.Errorf("%+v", p)
			}
		}
	}
	if n := strings.Count(form, "\n") + 1; n != enrol.NumFormFields {
		t.Errorf("%d lines", n)
	}
}

// A form whose sum is refused opens what is wrong, and stays open.
func TestRefusedSummary(t *testing.T) {
	w := newWorld(t)
	w.paste(clinician, strings.Replace(pasted, "checklist: all", "checklist: seats smooth", 1))
	w.must(clinician, "enrol.bad.checklist")
	w.say(clinician, "all")
	if w.chats[clinician].Form.Stage != Summing {
		t.Errorf("heard %v", w.keys(clinician))
	}
	w.paste(clinician, "ceiling: 17")
	w.must(clinician, "enrol.bad.over")
	w.say(clinician, "yes")
	if len(w.enrols) != 0 {
		t.Fatal("signed beyond the range")
	}
	w.say(clinician, "6")
	w.signs(clinician)
	if len(w.enrols) != 1 || w.enrols[0].Enrolment.Plan.Limits.Ceiling != 6 {
		t.Errorf("%+v heard %v", w.enrols, w.keys(clinician))
	}
}
