package desk

import (
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/redflag"
)

// A card says that a setting is confirmed only where a person said so.
func TestCardOfWhatNobodyConfirmed(t *testing.T) {
	w := newWorld(t)
	card := func(change func(*flows.Patient)) []message.Line {
		p := loaded()
		p.Course.Began = 20500
		change(&p)
		lines, _ := Show(w.pr, ondine, message.Message{View: message.ViewCard}, p, nil)
		w.check(message.Message{Lines: lines})
		return lines
	}
	said := func(p *flows.Patient) { p.Course.Left = 3 }
	if day := argOf(t, card(said), "desk.card.setting", "day"); day.N != 20512 {
		t.Errorf("confirmed on %d", day.N)
	}
	silent := func(p *flows.Patient) {
		p.Course.Left, p.Course.SetOn = 3, 20512 // left out since
		for i := range p.Course.Nights {
			p.Course.Nights[i].V[chart.SettingLeft] = chart.Unknown
		}
	}
	if day := argOf(t, card(silent), "desk.card.setting.long", "day"); day.N != 20504 {
		t.Errorf("not confirmed since %d", day.N)
	}
	fitted := func(p *flows.Patient) { silent(p); p.Plan.Fitted, p.Course.SetOn = 20430, 20499 }
	if day := argOf(t, card(fitted), "desk.card.setting.fitted", "day"); day.N != 20430 {
		t.Errorf("fitted on %d", day.N)
	}
	two := func(p *flows.Patient) { fitted(p); p.Appliance.TwoSided = true }
	argOf(t, card(two), "desk.card.left.fitted", "day")
	argOf(t, card(two), "desk.card.right.fitted", "day")
	twoLong := func(p *flows.Patient) { silent(p); p.Appliance.TwoSided = true }
	argOf(t, card(twoLong), "desk.card.left.long", "day")
	argOf(t, card(twoLong), "desk.card.right.long", "day")
}

// Whoever does not answer how they are after an emergency is among the silent.
func TestSilentAfterAnEmergency(t *testing.T) {
	w := newWorld(t)
	p := w.patient
	p.Talk.Unheard = 6
	p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassE, Reason: "breath", Raised: civil.Wall{Date: 20512}}}
	lines, _ := w.digestOf("silent", 0, []flows.Patient{p})
	if n := argOf(t, lines, "desk.l.silent", "count"); n.N != 6 {
		t.Errorf("%d nights", n.N)
	}
	p.Escalations = nil
	if lines, _ = w.digestOf("silent", 0, []flows.Patient{p}); lineOf(lines, p.Label) {
		t.Error("it is over")
	}
}

// What was typed with a release stands on the card, among the notes, and under the
// number of what it closed.
func TestWordsOfAReleaseAreShown(t *testing.T) {
	w := newWorld(t)
	p := loaded()
	at := civil.Wall{Date: 20512, Clock: 600}
	p.Noted = []flows.Noted{{At: at, By: "s1", Op: flows.OrderRelease, N: 3, Reason: "jaw.locked", Text: "opens well"},
		{At: at, By: "s1", Op: flows.OrderRelease, N: 4, Reason: "stuck"}, {At: at, By: "s1", Op: flows.OrderVisit, Text: "polished"}}
	p.Closed = []flows.Deed{{N: 3, Reason: "jaw.locked", By: "s1", At: at}}
	for name, m := range map[string]message.Message{"card": {View: message.ViewCard}, "notes": {View: message.ViewCard, MediaOf: opNotes},
		"closed": {View: message.ViewEscalation, MediaOf: "3"}} {
		lines, _ := Show(w.pr, ondine, m, p, nil)
		w.check(message.Message{Lines: lines})
		if a := argOf(t, lines, "desk.noted.release", "text"); a.S != "opens well" {
			t.Errorf("%s: %q", name, a.S)
		}
		if name != "closed" {
			argOf(t, lines, "desk.noted.released", "reason")
			argOf(t, lines, "desk.noted.words", "text")
		}
	}
}
