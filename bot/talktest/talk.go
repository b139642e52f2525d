package talktest

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/locales"
	"duskdawn/scheduler"
)

// TalksDir is where the talks are.
var TalksDir = filepath.Join(checkout(), "testdata", "talks")

// checkout is the folder of go.mod, at or above where the test runs.
func checkout() string {
	at, err := os.Getwd()
	for err == nil && at != filepath.Dir(at) {
		if _, err := os.Stat(filepath.Join(at, "go.mod")); err == nil {
			return at
		}
		at = filepath.Dir(at)
	}
	return ""
}

// World is where a talk is played.
type World interface {
	open(at time.Time, pr practice.Practice)
	now() time.Time
	next() time.Time  // when something waits to happen; zero for never
	set(time.Time)    // moves the clock there, and lets happen what is due
	owner(flows.Body) // an event of the practice
	toPatient(chart.PatientID, flows.Body)
	staffHash(code string) string
	meet(person)
	group(members []person) int64
	say(chat, user int64, text string, edited bool)
	forward(chat int64, text string)         // somebody else's message
	reply(chat int64, to int64, text string) // to a message of that chat
	send(chat int64, kind, caption string)
	tap(chat, user int64, m heard, b pressed)
	phones(chat int64, on bool) // whether messages reach a chat; 0 for all
	block(chat int64, on bool)
	heard() []heard // since it was last asked, in the order sent
	Patient(chart.PatientID) flows.Patient
}

// heard is a message as a person sees it.
type heard struct {
	chat    int64
	id      int64
	text    string
	keys    [][]string // quick answers
	buttons [][]pressed
	media   string
}

// pressed is an inline button: its label, and what the stage needs to press it.
type pressed struct {
	label  string
	data   string
	button message.Button
}

// person is somebody with a chat.
type person struct {
	name string
	id   int64
	lang string
}

// step is one line of a script with what was expected after it.
type step struct {
	line int
	text string
	want []string
}

// Script is a talk's file.
type Script struct {
	name  string
	path  string
	also  []string // languages in which a reading copy is kept
	steps []step
}

func loadTalks(t testing.TB) []Script {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(TalksDir, "*.txt"))
	if err != nil {
		t.Fatal(err)
	}
	var out []Script
	for _, path := range paths {
		if filepath.Base(path) != "README.txt" {
			out = append(out, LoadOne(t, path))
		}
	}
	if len(out) == 0 {
		t.Fatal("there are no talks in " + TalksDir)
	}
	return out
}

// LoadOne reads the script of one file.
func LoadOne(t testing.TB, path string) Script {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return Parse(t, path, string(raw))
}

// Parse reads a script: lines that people or the clock do, under each what is
// then seen.
func Parse(t testing.TB, path, text string) Script {
	t.Helper()
	s := Script{name: strings.TrimSuffix(filepath.Base(path), ".txt"), path: path}
	for i, line := range strings.Split(strings.TrimRight(text, "\n"), "\n") {
		switch {
		case strings.HasPrefix(line, ">"):
			if len(s.steps) == 0 {
				t.Fatalf("%s:%d: a talk cannot begin with an answer", path, i+1)
			}
			last := &s.steps[len(s.steps)-1]
			last.want = append(last.want, line)
		default:
			s.steps = append(s.steps, step{line: i + 1, text: line})
			if langs, ok := strings.CutPrefix(line, "also "); ok {
				s.also = strings.Fields(langs)
			}
		}
	}
	return s
}

// Play plays a talk on a stage in a language and compares, or rewrites.
func (s Script) Play(t *testing.T, on World, lang string, write bool) []string {
	t.Helper()
	k := newTalk(t, s, on, lang)
	var out []string
	bad := 0
	for _, st := range s.steps {
		k.at = st
		got := k.do(st.text)
		out = append(append(out, st.text), got...)
		if lang != locales.KeyLang || write {
			continue
		}
		if !slices.Equal(got, st.want) && bad < 5 {
			bad++
			t.Errorf("%s:%d: after %q\n%s", s.path, st.line, st.text, difference(st.want, got))
		}
	}
	if write {
		if err := os.WriteFile(s.path, []byte(strings.Join(out, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// difference shows the lines that are only in one of two lists.
func difference(want, got []string) string {
	var b strings.Builder
	for _, l := range want {
		if !slices.Contains(got, l) {
			b.WriteString("  missing " + l + "\n")
		}
	}
	for _, l := range got {
		if !slices.Contains(want, l) {
			b.WriteString("  printed " + l + "\n")
		}
	}
	if b.Len() == 0 {
		return "  the same lines in another order"
	}
	return b.String()
}

// talk is a script being played.
type talk struct {
	t     *testing.T
	s     Script
	on    World
	at    step
	lang  string
	words *locales.Words
	zones *scheduler.Zones

	pr       practice.Practice
	zone     string
	people   map[string]person
	order    []int64 // chats in the order people came
	patients map[string]chart.PatientID
	focus    string // the patient that a line without a name is about
	seen     []heard
	kept     []heard  // heard, and still to be printed
	last     []string // what the last step printed
	code     string   // the newest code that anybody saw
	mute     bool
	fold     int64 // a chat whose messages are not shown
	seeds    byte
	joined   int  // people of the practice so far
	miles    bool // milestones are shown; else the practice does its calls unseen
}

func newTalk(t *testing.T, s Script, on World, lang string) *talk {
	words, err := locales.Load()
	if err != nil {
		t.Fatal(err)
	}
	return &talk{t: t, s: s, on: on, lang: lang, words: words, zones: scheduler.NewZones(),
		people: map[string]person{}, patients: map[string]chart.PatientID{}}
}

func (k *talk) fatal(format string, args ...any) {
	k.t.Helper()
	k.t.Fatalf("%s:%d: %s", k.s.path, k.at.line, fmt.Sprintf(format, args...))
}

func (k *talk) fail(format string, args ...any) {
	k.t.Helper()
	k.t.Errorf("%s:%d: %s", k.s.path, k.at.line, fmt.Sprintf(format, args...))
}
