package program_test

import (
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/stage"
	"duskdawn/bot/talktest"
	"duskdawn/flows"
	"duskdawn/scheduler"
)

// A process that takes over from another within moments asks nothing again: no
// tap can have been lost. Where nobody polled before, it must.
func TestAHandoverAsksNothingAgain(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	if got := s.Away(); got != program.LeastGap {
		t.Errorf("at the first start of all the gap is %v", got)
	}
	if err := s.Say(t.Context(), stage.UserPatient, "stop"); err != nil { // asks back with buttons
		t.Fatal(err)
	}
	n := s.Heard(stage.UserPatient)
	next := s.Sibling()
	next.Gap(t.Context(), 0)
	next.Regain(t.Context())
	if err := s.Quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := s.Heard(stage.UserPatient) - n; got != 0 {
		t.Errorf("%d messages after a handover", got)
	}
	next.Gap(t.Context(), 3*time.Minute)
	next.Regain(t.Context())
	if err := s.Quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	if s.Heard(stage.UserPatient) == n {
		t.Error("nothing is asked again after a gap")
	}
}

// Another program was met by a process that died: whoever polls next takes that
// back, and prompts go on.
func TestWhoTakesOverForgetsAnotherProgram(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	if err := s.Runner.Handle(t.Context(), scheduler.PracticeRef(), "rival",
		flows.Manage{Op: flows.ManageRival}); err != nil {
		t.Fatal(err)
	}
	if pr, err := s.Practice(t.Context()); err != nil || !pr.Rival {
		t.Fatalf("the practice does not know: %v", err)
	}
	s.Yield() // as where another process led meanwhile
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(10 * time.Millisecond) {
		if pr, err := s.Practice(t.Context()); err == nil && !pr.Rival {
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
	t.Parallel()
	s := talktest.Play(t)
	n := s.Heard(stage.UserClinician)
	s.Runner.SetDraining(true)
	s.Conflict() // as where the one before us was just stopped
	time.Sleep(100 * time.Millisecond)
	if got := s.Heard(stage.UserClinician) - n; got != 0 {
		t.Fatalf("%d messages while the intake is drained", got)
	}
	s.ConflictLasts()
	s.Conflict()
	for end := time.Now().Add(20 * time.Second); s.Heard(stage.UserClinician) == n; time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("nobody is told")
		}
		s.Hands.Set(s.Hands.Now().Add(time.Second)) // cards that were just sent have used the chat's share
	}
}
