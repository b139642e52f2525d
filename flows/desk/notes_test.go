package desk

import (
	"strings"
	"testing"
	"unicode/utf16"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/redflag"
)

// written are notes of every kind, the newest last.
func written(p *flows.Patient) {
	at := civil.Wall{Date: 20510, Clock: 600}
	for i, op := range []flows.OrderOp{flows.OrderNote, flows.OrderContact, flows.OrderResolve, flows.OrderGrant, flows.OrderTesting} {
		p.Noted = append(p.Noted, flows.Noted{At: at.Add(i), By: "s1", Op: op, N: 1, Reason: flows.WhyCall, Text: "words " + op.String()})
	}
	p.Tests = []chart.SleepTest{{On: 20500, Kind: "oximetry", ODI10: chart.Num(121), ODIDrop: 3, By: "Dr F", Setting: 2},
		{On: 20508, Kind: "polygraphy", AHI10: chart.Num(62), Rule: "1A", By: "Dr F", Setting: 3, InPlace: true}}
}

// A card ends with what was written and ordered of late; all of it, with the tests,
// is behind a button.
func TestNotesOnTheCard(t *testing.T) {
	w := newWorld(t)
	p := loaded()
	written(&p)
	p.Plan.Fallback = "the mask"
	p.Course.GrantTo, p.Course.GrantUntil, p.Course.OrderTo, p.Course.State = 6, 20600, 5, chart.Testing
	lines, rows := Show(w.pr, ondine, message.Message{View: message.ViewCard}, p, nil)
	w.check(message.Message{Lines: lines, Inline: rows})
	want := "noted.resolve noted.words noted.words test.in granted.until ordered arranged noted.order noted.order plan other"
	if got := strings.ReplaceAll(keysOf(lines), "desk.", ""); !strings.Contains(got, want) {
		t.Errorf("card %s", got)
	}
	if a := argOf(t, lines, "desk.card.test.in", "ahi"); a.N != 62 {
		t.Errorf("AHI %d", a.N)
	}
	w.chat(clinician, flows.Tap{Chat: clinician, User: clinician, Op: opNotes, Patient: p.ID})
	m := w.last(clinician)
	notes, rows := Show(w.pr, ondine, m, p, nil)
	w.check(message.Message{Lines: notes, Inline: rows})
	got := strings.ReplaceAll(keysOf(notes), "desk.", "")
	if want := "head noted.words noted.words noted.resolve noted.contact noted.note test.head test.ahi test.with"; !strings.HasPrefix(got, want) {
		t.Errorf("notes %s", got)
	}
	if a := argOf(t, notes, "desk.noted.contact", "text"); a.S != "words contact" {
		t.Errorf("%+v", a)
	}
	empty, _ := Show(w.pr, ondine, m, w.patient, nil)
	if got := keysOf(empty); !strings.Contains(got, "desk.notes.none desk.tests.none") {
		t.Errorf("%s", got)
	}
}

// Whatever is open, said and written, a card is one message that the platform takes,
// in every language, with the telephone at its top.
func TestTheLongestCard(t *testing.T) {
	w := newWorld(t)
	words, err := catalogue()
	if err != nil {
		t.Fatal(err)
	}
	p := loaded()
	written(&p)
	p.Label, p.Phone, p.Plan.Fallback = strings.Repeat("W", 40), "555 0100 200 300", strings.Repeat("mask ", 20)
	p.Escalations, p.Course.Flags = nil, nil
	for i := range 16 {
		p.Escalations = append(p.Escalations, flows.Escalation{N: int32(i + 1), Class: redflag.ClassN, Reason: pacing.P13.ID(),
			Quote: strings.Repeat("hurts ", 9), Count: 3, Raised: civil.Wall{Date: 20510}})
	}
	for i := range p.Noted {
		p.Noted[i].Text = strings.Repeat("called ", 28)
	}
	for i := range 4 {
		p.Course.Flags = append(p.Course.Flags, redflag.Flag{ID: redflag.Rows()[i].ID, Class: redflag.ClassE})
	}
	lines, _ := Show(w.pr, ondine, message.Message{View: message.ViewCard}, p, nil)
	for _, lang := range words.Languages() {
		text := words.Text(lang, message.Message{Lines: lines})
		if n := len(utf16.Encode([]rune(text))); n >= 4000 || !strings.Contains(text, p.Phone) {
			t.Errorf("%s: %d signs", lang, n)
		}
	}
}
