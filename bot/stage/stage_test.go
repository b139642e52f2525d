package stage

import (
	"os"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store/memory"
)

// TestAClinicianJoins takes the whole program through its first minute.
func TestAClinicianJoins(t *testing.T) {
	ctx := t.Context()
	s, err := New(ctx, memory.New(), time.Date(2026, 11, 2, 15, 0, 0, 0, time.UTC), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	raw, err := os.ReadFile("../../testdata/setup/practice.toml")
	if err != nil {
		t.Fatal(err)
	}
	pr, faults := setup.Practice(raw, s.Words.Languages())
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	if err := program.BringPractice(ctx, s.Runner, pr, raw); err != nil {
		t.Fatal(err)
	}
	code := flows.NewCode(flows.StaffHead, [16]byte{1, 2, 3})
	err = s.Runner.Handle(ctx, scheduler.PracticeRef(), "x",
		flows.StaffChange{Op: flows.StaffAdd, Staff: practice.Staff{ID: "sclinic01", Label: "Dr Marsh",
			Role: practice.Clinician},
			Code: practice.Code{Hash: s.Runner.StaffKey(code), Staff: "sclinic01",
				Ends: s.Clock.Now().Add(time.Minute * 15).Unix()}})
	if err != nil {
		t.Fatal(err)
	}
	s.Platform.AddUser(standin.User{ID: 501, Name: "Dr Marsh", Language: "en"})
	say := func(who int64, text string) (answer string) {
		t.Helper()
		n := len(s.Platform.Messages(who))
		if _, err := s.Platform.Say(who, text); err != nil {
			t.Fatal(err)
		}
		if err := s.Quiet(ctx); err != nil {
			t.Fatal(err)
		}
		for _, m := range s.Platform.Messages(who)[n:] {
			if m.Bot {
				answer += m.Text + "\n"
			}
		}
		return answer
	}
	if got := say(501, "/start "+code); !strings.Contains(got, "Dr Marsh") || !strings.Contains(got, pr.Name) {
		t.Errorf("the welcome is %q", got)
	}
	if got := say(501, "queue"); got == "" {
		t.Error("an empty queue has no answer")
	}
	s.Platform.AddUser(standin.User{ID: 502, Name: "somebody"})
	if got := say(502, "/start "+code); got == "" || strings.Contains(got, "Dr Marsh") {
		t.Errorf("a used code is answered %q", got)
	}
}
