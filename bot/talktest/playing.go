package talktest

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/memory"
	"duskdawn/store/sqlite"
)

// Scene is the invented practice, three weeks in, for a test to play on.
type Scene struct{ *stage.Scene }

// order gives an order of the clinician's to a user's patient.
func (s *Scene) order(t *testing.T, user int64, o flows.Order) {
	t.Helper()
	p, err := s.ByChat(user)
	if err != nil {
		t.Fatal(err)
	}
	s.orderOf(t, p.ID, o)
}

// orderOf is order for a patient's id.
func (s *Scene) orderOf(t *testing.T, id chart.PatientID, o flows.Order) {
	t.Helper()
	o.Actor, o.Chat = flows.Actor{ID: s.Doctor.ID, Name: s.Doctor.Label, Chat: s.Doctor.Chat, Role: s.Doctor.Role},
		s.Doctor.Chat
	if err := s.Runner.Handle(t.Context(), scheduler.PatientRef(id),
		fmt.Sprintf("attack/%d/%d", o.Op, time.Now().UnixNano()), o); err != nil {
		t.Fatal(err)
	}
	s.Hush(t)
}

// Hush waits until nothing is due, sendable or in flight.
func (s *Scene) Hush(t *testing.T) {
	t.Helper()
	if err := s.Quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
}

// Hears posts something and gives what the chat then hears.
func (s *Scene) Hears(t *testing.T, user int64, text string) string {
	t.Helper()
	n := s.Heard(user)
	if err := s.Say(t.Context(), user, text); err != nil {
		t.Fatal(err)
	}
	return s.BotSaid(user, n)
}

// unsent counts messages that the platform refused or that could not be put
// into words.
func (s *Scene) unsent() (n int64) {
	for lane := store.LaneUrgent; lane <= store.LaneAll; lane++ {
		n += s.Runner.Stats.Tries(lane, store.Rejected)
	}
	return n
}

// enrolAs enrols, joins and confirms a patient whose plan is one of the
// scenario's with some lines replaced.
func (s *Scene) enrolAs(t *testing.T, user int64, lines map[string]string) chart.PatientID {
	t.Helper()
	raw, err := stage.Scenario.ReadFile("scenario/two.toml")
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for line := range strings.Lines(string(raw)) {
		key, _, _ := strings.Cut(line, " ")
		if v, ok := lines[key]; ok {
			line = fmt.Sprintf("%s = '''%s'''\n", key, v)
			delete(lines, key)
		}
		b.WriteString(line)
	}
	for key, v := range lines {
		fmt.Fprintf(&b, "%s = '''%s'''\n", key, v)
	}
	pr, err := s.Practice(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	e, faults := setup.Plan([]byte(b.String()), &pr, s.Runner.Today(pr.Zone))
	if setup.Refused(faults) {
		t.Logf("%q refused: %v", e.Label, faults)
		return ""
	}
	id, code, err := program.Enrol(t.Context(), s.Runner, s.Doctor, e, false)
	if err != nil {
		t.Fatal(err)
	}
	s.Platform.AddUser(standin.User{ID: user, Name: "p", Language: "en"})
	s.Hears(t, user, "/start "+code)
	s.Hears(t, user, "yes")
	s.Hears(t, user, "yes")
	s.orderOf(t, id, flows.Order{Op: flows.OrderConfirm})
	return id
}

// Play plays the three weeks in memory.
func Play(t *testing.T) *Scene {
	t.Helper()
	return PlayOn(t, memory.New())
}

// PlayOn is play on a store.
func PlayOn(t *testing.T, st store.Store) *Scene {
	t.Helper()
	s, err := stage.NewScene(t.Context(), st, nil)
	if err != nil {
		t.Fatal(err)
	}
	p := &Scene{s}
	t.Cleanup(func() { p.Close() })
	return p
}

// Journal counts how often each event of messages is in a patient's journal.
func (s *Scene) Journal(t *testing.T, user int64) map[string]int {
	t.Helper()
	p, err := s.ByChat(user)
	if err != nil {
		t.Fatal(err)
	}
	n := map[string]int{}
	for r, err := range s.Store.Journal(t.Context(), scheduler.PatientRef(p.ID)) {
		if err != nil {
			t.Fatal(err)
		}
		if r.What != store.WhatShown {
			n[r.Event]++
		}
	}
	return n
}

// OnFile is a scene on a file, which a restart opens again.
func OnFile(t *testing.T) (*Scene, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "d.db")
	st, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Lock: true})
	if err != nil {
		t.Fatal(err)
	}
	s := PlayOn(t, st)
	t.Cleanup(func() { s.Close(); _ = s.Store.Close() })
	return s, path
}

// Restart ends the program and starts it again on the same file, platform and clock.
func (s *Scene) Restart(t *testing.T, path string) {
	t.Helper()
	s.Close()
	if err := s.Store.Close(); err != nil {
		t.Fatal(err)
	}
	st, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Lock: true})
	if err != nil {
		t.Fatal(err)
	}
	if s.Stage, err = stage.Raise(t.Context(), s.Platform, s.Hands, program.Parts{Store: st}); err != nil {
		t.Fatal(err)
	}
}

// Goes takes the clock to an instant.
func (s *Scene) Goes(t *testing.T, to time.Time) {
	t.Helper()
	if err := s.Move(t.Context(), to); err != nil {
		t.Fatal(err)
	}
}

// At is an hour of the scene's first day where the practice is.
func At(hour, minute int) time.Time { return time.Date(2026, 3, 2, hour+5, minute, 0, 0, time.UTC) }

// Evenings counts the evening's question among what botSaid would give.
func (s *Scene) Evenings(user int64, after int) int {
	n := 0
	for _, m := range s.Platform.Messages(user)[after:] {
		if m.Bot && strings.HasPrefix(m.Text, "Evening check-in.") {
			n++
		}
	}
	return n
}

// Begin is a scene in which n patients were fitted today: no day is played yet.
func Begin(t *testing.T, st store.Store, platform *standin.Server, hands *scheduler.ManualClock, n int) *Scene {
	t.Helper()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	ctx := t.Context()
	up, err := stage.Raise(ctx, platform, hands, program.Parts{Store: st, Free: true})
	must(err)
	s := &Scene{&stage.Scene{Stage: up}}
	raw, err := stage.Scenario.ReadFile("scenario/practice.toml")
	must(err)
	pr, _ := setup.Practice(raw, s.Words.Languages())
	must(program.BringPractice(ctx, s.Runner, pr, raw))
	s.Doctor, err = s.JoinStaff(ctx, practice.Staff{ID: "sclinician", Label: "Dr Osprey", Role: practice.Clinician},
		stage.UserClinician)
	must(err)
	plan, err := stage.Scenario.ReadFile("scenario/one.toml")
	must(err)
	pr, err = s.Practice(ctx)
	must(err)
	for i := range n {
		who := stage.Persona{User: stage.UserPatient + int64(i), Lang: "en"}
		e, _ := setup.Plan([]byte(strings.Replace(string(plan), "Wren-17", fmt.Sprintf("Siskin-%03d", i), 1)), &pr,
			s.Runner.Today(pr.Zone))
		must(s.Admit(ctx, &who, e))
	}
	return s
}

// Astray is a clock set wrong by so much.
type Astray struct {
	scheduler.Clock
	By time.Duration
}

func (a Astray) Now() time.Time { return a.Clock.Now().Add(a.By) }

func (a Astray) Until(t time.Time) (<-chan struct{}, func()) {
	return a.Clock.Until(t.Add(-a.By))
}
