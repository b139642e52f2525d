package main

import (
	"os"
	"testing"
	"time"

	"duskdawn/bot/setup"
	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/scheduler"
	"duskdawn/store/memory"
)

func TestSmoke(t *testing.T) {
	ctx := t.Context()
	s, err := newStage(ctx, memory.New(), time.Date(2026, 11, 2, 15, 0, 0, 0, time.UTC), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer s.close()
	raw, err := os.ReadFile("../testdata/setup/practice.toml")
	if err != nil {
		t.Fatal(err)
	}
	pr, faults := setup.Practice(raw, s.words.Languages())
	t.Log(faults)
	if err := bringPractice(ctx, s.runner, pr, raw); err != nil {
		t.Fatal(err)
	}
	code := flows.NewCode(flows.StaffHead, [16]byte{1, 2, 3})
	err = s.runner.Handle(ctx, scheduler.PracticeRef(), "x", flows.StaffChange{Op: flows.StaffAdd, Staff: flows.Staff{ID: "sclinic01", Label: "Dr Marsh", Role: flows.Clinician},
		Code: flows.Code{Hash: s.runner.StaffKey(code), Staff: "sclinic01", Ends: s.clock.Now().Add(time.Minute * 15).Unix()}})
	if err != nil {
		t.Fatal(err)
	}
	s.platform.AddUser(standin.User{ID: 501, Name: "Dr Marsh", Language: "en"})
	say := func(who int64, text string) {
		t.Helper()
		n := len(s.platform.Messages(who))
		if _, err := s.platform.Say(who, text); err != nil {
			t.Fatal(err)
		}
		if err := s.quiet(ctx); err != nil {
			t.Fatal(err)
		}
		for _, m := range s.platform.Messages(who)[n:] {
			t.Logf("bot=%v %q %v %v", m.Bot, m.Text, m.Buttons, m.Keyboard)
		}
	}
	say(501, "/start "+code)
	say(501, "help")
	say(501, "queue")
	say(501, "enrol")
	say(501, "cancel")
}
