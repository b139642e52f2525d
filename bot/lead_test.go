package main

import (
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/scheduler"
)

// A process that takes over from another within moments asks nothing again: no
// tap can have been lost. Where nobody polled before, it must.
func TestAHandoverAsksNothingAgain(t *testing.T) {
	s := play(t)
	if got := time.Duration(s.away.Load()); got != leastGap {
		t.Errorf("at the first start of all the gap is %v", got)
	}
	if err := s.say(t.Context(), userPatient, "stop"); err != nil { // asks back with buttons
		t.Fatal(err)
	}
	n := s.heard(userPatient)
	next := &program{store: s.store, words: s.words, runner: s.runner, api: s.api, clock: s.clock, zones: s.zones,
		log: s.log}
	next.gap(t.Context(), 0)
	next.regain(t.Context())
	if err := s.quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := s.heard(userPatient) - n; got != 0 {
		t.Errorf("%d messages after a handover", got)
	}
	next.gap(t.Context(), 3*time.Minute)
	next.regain(t.Context())
	if err := s.quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	if s.heard(userPatient) == n {
		t.Error("nothing is asked again after a gap")
	}
}

// Another program was met by a process that died: whoever polls next takes that
// back, and prompts go on.
func TestWhoTakesOverForgetsAnotherProgram(t *testing.T) {
	s := play(t)
	if err := s.runner.Handle(t.Context(), scheduler.PracticeRef(), "rival",
		flows.Manage{Op: flows.ManageRival}); err != nil {
		t.Fatal(err)
	}
	if pr, err := s.practice(t.Context()); err != nil || !pr.Rival {
		t.Fatalf("the practice does not know: %v", err)
	}
	s.leader.until.Store(0) // as where another process led meanwhile
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(10 * time.Millisecond) {
		if pr, err := s.practice(t.Context()); err == nil && !pr.Rival {
			return
		}
		if time.Now().After(end) {
			t.Fatal("the practice still holds its prompts back")
		}
	}
}

// Another program takes all that waits, so that the intake is never drained:
// after a while the timers fire all the same, and staff are told why prompts wait.
func TestAConflictThatLastsEndsTheWaitForTheIntake(t *testing.T) {
	s := play(t)
	n := s.heard(userClinician)
	s.runner.SetDraining(true)
	s.conflict() // as where the one before us was just stopped
	time.Sleep(100 * time.Millisecond)
	if got := s.heard(userClinician) - n; got != 0 {
		t.Fatalf("%d messages while the intake is drained", got)
	}
	s.rival.mu.Lock()
	s.rival.since = s.rival.since.Add(-2 * drainMost)
	s.rival.mu.Unlock()
	s.conflict()
	for end := time.Now().Add(20 * time.Second); s.heard(userClinician) == n; time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("nobody is told")
		}
	}
}
