package stage

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"duskdawn/bot/rehearsal"
	"duskdawn/flows/chart"
)

func house(t *testing.T) *House {
	t.Helper()
	h, err := NewHouse(nil)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func scene(t *testing.T, id string) *World {
	t.Helper()
	w, err := house(t).Open(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(w.Close)
	return w.(*World)
}

// Every scene opens at the moment that its story tells of.
func TestEveryScene(t *testing.T) {
	type moment struct {
		state chart.State
		left  chart.Steps
		rule  string // of the newest advice; "P00" before the first
		flag  string
	}
	want := map[string]moment{
		"first-night": {chart.Settling, 0, "P00", ""}, "soreness": {chart.Stepping, 3, "P18", ""},
		"emergency": {chart.Stopped, 0, "P02", "swelling.airway"}, "partner-away": {chart.Stepping, 3, "P15", ""},
		"no-gain": {chart.Stepping, 6, "P17", ""}, "asleep": {chart.Stopped, 0, "P02", "driving.asleep"},
		"broken": {chart.Stopped, 1, "P15", "piece.broken"}, "ceiling": {chart.Stepping, 1, "P16", ""},
		"failed-test": {chart.Testing, 0, "P03", ""}, "relapse": {chart.Recall, 0, "P01", ""},
		"clock-change": {chart.Stepping, 1, "P15", ""}, "journey": {chart.Settling, 0, "P10", ""},
		"silence": {chart.Stepping, 1, "P05", ""}, "monday": {chart.Settling, 0, "P00", ""},
	}
	h := house(t)
	for _, id := range h.Scenes() {
		w := scene(t, id)
		for _, lang := range h.Languages() {
			if words := h.Words(lang); words["scene."+id+".name"] == "" || words["scene."+id+".story"] == "" {
				t.Errorf("%s has no words in %s", id, lang)
			}
		}
		if id == "enrolment" {
			if n := len(w.cast()); n != 0 || w.Opens() != UserClinician {
				t.Errorf("%d patients before the enrolment, opens on %d", n, w.Opens())
			}
			continue
		}
		p, err := w.ByChat(w.focus)
		if err != nil {
			t.Fatal(err)
		}
		got := moment{p.Course.State, p.Course.Left, p.Course.Advice.Rule.ID(), ""}
		if len(p.Course.Flags) > 0 {
			got.flag = p.Course.Flags[0].ID
		}
		if got != want[id] {
			t.Errorf("%s: %+v, want %+v", id, got, want[id])
		}
	}
	if _, err := h.Open(t.Context(), "elsewhere"); err == nil {
		t.Error("a scene that is not there opens")
	}
}

// A year after the proof the chart has told of the rise by itself, and a card
// waits; the picture says so too.
func TestTheRelapseIsTold(t *testing.T) {
	w := scene(t, "relapse")
	p, err := w.ByChat(w.focus)
	if err != nil || len(p.Escalations) != 1 || p.Escalations[0].Reason != "P03" || p.Course.SnoreOn == 0 {
		t.Fatalf("%v: open is %+v, told on %s", err, p.Escalations, p.Course.SnoreOn)
	}
	c, err := w.Course(t.Context(), w.Chats()[len(w.People)-1], rehearsal.Ask{Lang: "en", Width: 390})
	if err != nil || len(c.Charts) != 1 || !strings.Contains(c.Charts[0], "They have risen") {
		t.Errorf("%v, %d charts: %.300s", err, len(c.Charts), c.Charts)
	}
}

// The page's words: each that a file of the page asks for is there in every
// language, and none that is there goes unasked.
func TestWordsOfThePage(t *testing.T) {
	h := house(t)
	asked := map[string]bool{}
	files, _ := filepath.Glob("../rehearsal/page/*")
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`['"](page\.[a-z.]+[a-z])['"]`).FindAllStringSubmatch(string(raw), -1) {
			asked[m[1]] = true
		}
	}
	if len(asked) < 50 {
		t.Errorf("the page asks for %d texts", len(asked))
	}
	for _, lang := range h.Languages() {
		words := h.Words(lang)
		for key := range asked {
			if words[key] == "" {
				t.Errorf("%s: no text for %q", lang, key)
			}
		}
		for key := range words {
			if strings.HasPrefix(key, "page.") && !asked[key] &&
				!strings.HasPrefix(key, "page.role.") && !strings.HasPrefix(key, "page.kind.") {
				t.Errorf("%s: nobody asks for %q", lang, key)
			}
		}
	}
}

// A night tells what was answered, every rule that spoke with what it rests on,
// and what would have moved it on; other limits are tried without the patient.
func TestBehindANight(t *testing.T) {
	w := scene(t, "ceiling")
	lark := w.Chats()[len(w.People)-1]
	before, err := w.ByChat(lark.User)
	if err != nil {
		t.Fatal(err)
	}
	c, err := w.Course(t.Context(), lark, rehearsal.Ask{Lang: "en", Width: 390})
	if err != nil || len(c.Nights) != 7 || c.Other != "" || len(c.Limits) != len(tried) {
		t.Fatalf("%v %+v", err, c)
	}
	n, err := w.Night(t.Context(), lark, "en", c.Nights[0].Night)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Contains(n.Entry, "Snoring 7") || n.Rules[0].ID != "P16" || len(n.Rules[0].Source) == 0 || n.Reason == "" {
		t.Errorf("%+v", n)
	}
	if len(n.Moved) != 1 || !strings.Contains(n.Moved[0], "Ceiling, 2 in place of 1: on to 2") {
		t.Errorf("it would have moved by %q", n.Moved)
	}
	if es, _ := w.Night(t.Context(), lark, "es", c.Nights[0].Night); es.Reason == n.Reason ||
		es.Rules[0].Name == n.Rules[0].Name {
		t.Error("Spanish reads as English")
	}
	other, err := w.Course(t.Context(), lark, rehearsal.Ask{Lang: "en", Width: 390, Try: map[string]int{"ceiling": 6}})
	if err != nil || other.Other == "" || other.Nights[0].Other == "" || other.SVG == c.SVG {
		t.Errorf("%v %q", err, other.Other)
	}
	after, _ := w.ByChat(lark.User)
	if after.Plan.Limits != before.Plan.Limits || after.Course.Left != before.Course.Left {
		t.Error("the patient was touched")
	}
	for _, night := range []string{"2031-01-01", "yesterday"} {
		if _, err := w.Night(t.Context(), lark, "en", night); err == nil {
			t.Errorf("%q is known", night)
		}
	}
	staff, err := w.Course(t.Context(), w.People[0], rehearsal.Ask{Lang: "es", Width: 390})
	if err != nil || !strings.Contains(staff.SVG, "Pacientes: 1.") {
		t.Errorf("%v %.300s", err, staff.SVG)
	}
}

// What happens is told: a card and a flag when they come, a step when it is said.
func TestLook(t *testing.T) {
	w := scene(t, "first-night")
	if told, _ := w.Look(t.Context()); len(told) != 0 {
		t.Errorf("before anything happened: %+v", told)
	}
	if err := w.Scene.Say(t.Context(), w.focus, "my jaw is locked"); err != nil {
		t.Fatal(err)
	}
	told, err := w.Look(t.Context())
	if err != nil || len(told) != 2 || told[0].Kind != "flag" || told[1].Kind != "card" {
		t.Fatalf("%v %+v", err, told)
	}
	if en, es := w.Say("en", told[0]), w.Say("es", told[0]); !strings.Contains(en, "Jaw locked") || en == es {
		t.Errorf("%q %q", en, es)
	}
}

// Patients who answer by themselves live a quiet course; it is noted as a talk.
func TestAnswer(t *testing.T) {
	w := scene(t, "first-night")
	for range 8 {
		for _, half := range []string{"morning", "evening"} {
			if err := w.Answer(t.Context()); err != nil {
				t.Fatal(err)
			}
			at, _ := w.Moment(rehearsal.Chat{User: w.focus}, half)
			if err := w.Move(t.Context(), at); err != nil {
				t.Fatal(err)
			}
		}
	}
	p, err := w.ByChat(w.focus)
	if err != nil || p.Course.State != chart.Stepping || p.Course.Left != 2 {
		t.Errorf("%v: after eight nights %s at %d", err, p.Course.State, p.Course.Left)
	}
	for _, want := range []string{"start 2026-11-02 10:00 America/New_York\nenrol wren ",
		"to 2026-11-02 21:00\nwren: No problem tonight\n",
		"\nwren: It stands at 1\n"} {
		if !strings.Contains(w.Talk(), want) {
			t.Errorf("the talk has no %q:\n%s", want, w.Talk())
		}
	}
}

// Acts go into a talk by the names and keys that talks use.
func TestNote(t *testing.T) {
	w := scene(t, "enrolment")
	before := len(w.script.lines)
	for _, a := range []rehearsal.Act{{Chat: UserStranger, Say: "/start 35FW9H0232SBBF"},
		{Chat: UserClinician, Say: "label: x\nadult: yes"},
		{Chat: UserAssistant, Tap: "I take it"}, {Chat: UserGroup + 1, Say: "queue"}, {Chat: UserStranger, Send: "voice"},
		{Chat: UserClinician, Tap: "Take 5 (5.25 mm, 65.6 %)"}, {To: "2026-11-02T16:00:00Z"}} {
		w.Note(a)
	}
	got := strings.Join(w.script.lines[before:], "\n")
	if want := `stranger: /start CODE
clinician: label: x\nadult: yes
assistant taps desk.b.ack
assistant in group: queue
stranger sends voice
clinician taps desk.b.take`; got != want {
		t.Errorf("noted\n%s\nwant\n%s", got, want)
	}
}
