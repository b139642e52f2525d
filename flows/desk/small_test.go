package desk

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// A list that is empty says which it is.
func TestEmptyListNamesItself(t *testing.T) {
	w := newWorld(t)
	for _, word := range ListWords() {
		lines, _ := w.digestOf(word, 0, nil)
		w.check(message.Message{Lines: lines})
		if last := lines[len(lines)-1]; last.Key != "desk.list.none" || last.Args[0].S != "desk.list."+word+".name" {
			t.Errorf("%s: %+v", word, last)
		}
	}
	if lines, _ := w.digestOf(digestName, 0, nil); lines[len(lines)-1].Key != "desk.digest.empty" {
		t.Errorf("%+v", lines)
	}
}

// The calls that were asked for are in their list whoever has them, and say who; what the
// reader has taken is in another.
func TestCallsAndMine(t *testing.T) {
	w := newWorld(t)
	p := samplePatient()
	esc := func(reason, by string) {
		p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassN, Reason: reason, Raised: civil.Wall{Date: w.day(0)}, AckBy: by}}
	}
	in := func(word string) string {
		lines, _ := w.digestOf(word, 0, []flows.Patient{p})
		return lines[len(lines)-1].Key
	}
	for _, x := range []struct{ reason, by, calls, mine string }{
		{flows.WhyCall, "", "desk.l.call", "desk.list.none"},
		{flows.WhyCall, "s2", "desk.l.call.by", "desk.list.none"},
		{flows.WhyCall, "s1", "desk.l.call.by", "desk.l.item"},
		{flows.WhyMessage, "s1", "desk.list.none", "desk.l.item"},
	} {
		if esc(x.reason, x.by); in("callback") != x.calls || in("mine") != x.mine {
			t.Errorf("%+v: calls %s, mine %s", x, in("callback"), in("mine"))
		}
	}
}

// The one patient who was meant is shown at once: the only one found, or the only one who is called so.
func TestFindShowsTheCard(t *testing.T) {
	w := newWorld(t)
	named := func(labels ...string) (out []flows.Patient) {
		for i, l := range labels {
			p := samplePatient()
			p.ID, p.Label = chart.PatientID(fmt.Sprintf("07ABCDEFGHJKMNPQR%d", i)), l
			out = append(out, p)
		}
		return out
	}
	for _, x := range []struct {
		typed string
		found []flows.Patient
		card  string
	}{
		{"hero", named("Heron 12"), "Heron 12"},
		{"heron", named("Heron 12", "Heron", "Heron 3"), "Heron"},
		{"heron", named("Heron 12", "Heron 3"), ""},
		{"heron", nil, ""},
	} {
		lines, rows := Show(w.pr, ondine, message.Message{View: message.ViewFind, MediaOf: x.typed}, flows.Patient{}, x.found)
		shown := ""
		if lines[0].Key == "desk.card.head" {
			shown = lines[0].Args[0].S
		}
		if shown != x.card || (shown != "") != has(rows, opContact, "") {
			t.Errorf("%s among %d: the card of %q, want %q", x.typed, len(x.found), shown, x.card)
		}
	}
	if lines, _ := Show(w.pr, nobody, message.Message{View: message.ViewFind, MediaOf: "hero"}, flows.Patient{}, named("Heron 12")); lines[0].Key != "desk.group.private" {
		t.Errorf("to nobody: %+v", lines)
	}
}

// Moved hours can keep the language with one tap, and a new zone is told only where there is one.
func TestMoveKeepsTheLanguage(t *testing.T) {
	w := newWorld(t)
	w.real()
	p := samplePatient()
	w.patients[p.ID] = p
	w.card(assistant, opMove, "")
	w.press2(assistant, "keep")
	w.say(assistant, "20:30")
	w.press2(assistant, "keep")
	w.must(assistant, "desk.ask.lang")
	w.press2(assistant, "keep")
	for _, m := range w.said[assistant] {
		for _, l := range m.Lines {
			if l.Key == "desk.sum.lang" {
				t.Error("a language that stays is told as changed")
			}
		}
	}
	w.press2(assistant, "yes")
	if q := w.patients[p.ID]; q.Plan.Evening != 20*60+30 || q.Lang != "en" || w.heard(assistant, "order.moved.zone") || !w.heard(assistant, "order.moved") {
		t.Errorf("%v %s, heard %v", q.Plan.Evening, q.Lang, w.keys(assistant))
	}
}

// What the desk cost twenty people is told of all of them, a page at a time, each within a message.
func TestLoadOfManyPeople(t *testing.T) {
	w := newWorld(t)
	words, err := catalogue()
	if err != nil {
		t.Fatal(err)
	}
	var p flows.Patient
	p.ID, p.Label = "07ABCDEFGHJKMNPQRS", "Heron"
	w.pr.Staff = nil
	for i := range 20 {
		s := practice.Staff{ID: fmt.Sprint("s", i), Label: fmt.Sprintf("%s %02d", strings.Repeat("Ondine ", 5), i), Role: practice.Assistant, Chat: int64(500 + i)}
		w.pr.Staff = append(w.pr.Staff, s)
		for _, reason := range []string{"P05", "P10", "P16", flows.WhyCall, flows.WhySilence, flows.WhyMile} {
			p.Carded = append(p.Carded, flows.Carded{Day: w.day(0), Who: s.ID, Reason: reason, N: 3})
		}
	}
	var told []string
	for page := range 3 {
		lines, rows := w.digestOf(loadWord, page, []flows.Patient{p})
		w.check(message.Message{Lines: lines, Inline: rows})
		for _, l := range lines {
			if l.Key == "desk.load.who" {
				told = append(told, l.Args[0].S)
			}
		}
		for _, lang := range words.Languages() {
			if n := len(utf16.Encode([]rune(words.Text(lang, message.Message{Lines: lines})))); n > 4096 {
				t.Errorf("page %d in %s has %d signs", page, lang, n)
			}
		}
	}
	slices.Sort(told)
	if told = slices.Compact(told); len(told) != 20 {
		t.Errorf("%d of 20 people are told of", len(told))
	}
}

// Two who record the same sleep test make one of it; the second hears who did.
func TestOneTestCountsOnce(t *testing.T) {
	w := newWorld(t)
	w.real()
	p := samplePatient()
	p.Course.State = chart.Testing
	w.patients[p.ID] = p
	w.second()
	kind := map[string]string{"s1": "home", "s3": "Home test"}
	test := func(who string, chat int64, ahi int) {
		w.tellPatient(p.ID, flows.Order{Op: flows.OrderTest, Actor: flows.Actor{ID: who}, Chat: chat,
			Test: &chart.SleepTest{On: w.day(-2), Kind: kind[who], Rule: "3 %", AHI10: chart.Num(ahi), By: "Dr Marsh", InPlace: true, Setting: 3}})
	}
	test("s1", clinician, 80)
	w.must(clinician, "order.tested")
	test("s3", other, 80)
	w.must(other, "order.tested.by")
	if n := len(w.patients[p.ID].Tests); n != 1 {
		t.Errorf("%d tests", n)
	}
	test("s3", other, 90) // another
	w.must(other, "order.tested")
	if n := len(w.patients[p.ID].Tests); n != 2 {
		t.Errorf("%d tests", n)
	}
}
