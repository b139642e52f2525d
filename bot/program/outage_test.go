package program_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
)

// Ten minutes in which the platform answers nothing but errors: what was due
// and what was written then comes afterwards, once. Without asking first whether
// the platform is there, the one repeat of what is in doubt would be spent on it.
func TestTenMinutesOfServerErrors(t *testing.T) {
	t.Parallel()
	for name, kind := range map[string]standin.Kind{"its own": standin.ServerError, "of a front": standin.BadGateway,
		"broken connections": standin.Dropped} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := talktest.Play(t)
			s.Goes(t, talktest.At(20, 58))
			n, desk, wren := s.Heard(stage.Heron), s.Heard(stage.UserAssistant), s.Heard(stage.UserPatient)
			s.Platform.Inject(standin.Fault{Kind: kind, Times: -1})
			s.Platform.Inject(standin.Fault{Kind: kind, Method: "getUpdates", Times: -1})
			if _, err := s.Platform.Say(stage.UserPatient, "I cannot breathe"); err != nil {
				t.Fatal(err)
			}
			for range 20 {
				s.Hands.Set(s.Hands.Now().Add(30 * time.Second))
				tried(t, s) // on a busy machine the clock would run away from what is tried
			}
			if got := s.BotSaid(stage.Heron, n) + s.BotSaid(stage.UserPatient, wren); got != "" {
				t.Fatalf("something got through: %q", got)
			}
			s.Platform.Mend()
			if err := s.Quiet(t.Context()); err != nil {
				t.Fatal(err)
			}
			s.Goes(t, s.Hands.Now().Add(3*time.Minute))
			if got := s.Evenings(stage.Heron, n); got != 1 {
				t.Errorf("the evening's question came %d times", got)
			}
			if !strings.Contains(s.BotSaid(stage.UserPatient, wren), "911") {
				t.Errorf("the red flag was answered %q", s.BotSaid(stage.UserPatient, wren))
			}
			if !strings.Contains(s.BotSaid(stage.UserAssistant, desk), "Wren-17") {
				t.Error("staff were not told of the red flag")
			}
			for x := range s.Store.Doubtful(t.Context()) {
				t.Errorf("given up in doubt: lane %d", x.Lane)
			}
		})
	}
}

// tried waits until all that is to be tried at the clock's now has been.
func tried(t *testing.T, s *talktest.Scene) {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(time.Millisecond) {
		is, _, err := s.Runner.Quiet(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if is {
			return
		}
	}
	t.Fatal("what is to be tried is not")
}

// 401 while it runs: the program ends and says why; what was written waits, and
// comes once when the token works again.
func TestARevokedTokenLosesNothing(t *testing.T) {
	t.Parallel()
	s, path := talktest.OnFile(t)
	n := s.Heard(stage.Heron)
	s.Platform.Inject(standin.Fault{Kind: standin.Unauthorized, Times: -1})
	if err := s.Say(t.Context(), stage.Heron, "today"); err != nil {
		t.Fatal(err)
	}
	if !s.Refused() {
		t.Error("the program does not know")
	}
	s.Platform.Inject(standin.Fault{Kind: standin.Unauthorized, Method: "getUpdates", Times: -1})
	if _, err := s.Platform.Say(stage.Heron, "help"); err != nil {
		t.Fatal(err)
	}
	select {
	case <-s.Over():
	case <-time.After(20 * time.Second):
		t.Fatal("the program goes on")
	}
	if err := s.Why(); !errors.Is(err, telegram.ErrRevoked) {
		t.Errorf("it ended because %v", err)
	}
	if got := s.BotSaid(stage.Heron, n); got != "" {
		t.Fatalf("%q was sent", got)
	}
	s.Platform.Mend()
	s.Restart(t, path)
	s.Goes(t, s.Hands.Now().Add(2*time.Minute))
	if got := s.Heard(stage.Heron) - n; got != 4 {
		t.Errorf("%d messages of two questions and two answers: %q", got, s.BotSaid(stage.Heron, n))
	}
}

// One 401 or 404 to one message, or ten minutes of them: nobody is silenced. What
// is urgent goes out as soon as the platform takes it, also that of somebody else.
func TestA401OrA404ToOneSendSilencesNobody(t *testing.T) {
	t.Parallel()
	for name, kind := range map[string]standin.Kind{"401": standin.Unauthorized, "404": standin.NotFound} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := talktest.Play(t)
			n, desk, wren := s.Heard(stage.Heron), s.Heard(stage.UserAssistant), s.Heard(stage.UserPatient)
			s.Platform.Inject(standin.Fault{Kind: kind, Method: "sendMessage", Chat: stage.Heron, Times: -1})
			if err := s.Say(t.Context(), stage.Heron, "today"); err != nil {
				t.Fatal(err)
			}
			if err := s.Say(t.Context(), stage.UserPatient, "I cannot breathe"); err != nil {
				t.Fatal(err)
			}
			if got := s.BotSaid(stage.UserPatient, wren); !strings.Contains(got, "911") {
				t.Errorf("the other patient heard %q", got)
			}
			if !strings.Contains(s.BotSaid(stage.UserAssistant, desk), "Wren-17") {
				t.Error("staff do not know of the red flag")
			}
			s.Goes(t, s.Hands.Now().Add(10*time.Minute))
			s.Platform.Mend()
			s.Goes(t, s.Hands.Now().Add(2*time.Minute))
			if got := s.Heard(stage.Heron) - n; got != 2 {
				t.Errorf("%d messages of a question and its answer", got)
			}
		})
	}
}

// 403 for one patient, and no word from the platform before: staff are told the
// same day, no more is sent there, and everybody else goes on.
func TestARefusedChatReachesStaff(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	s.Goes(t, talktest.At(20, 58))
	desk, other, n := s.Heard(stage.UserAssistant), s.Heard(stage.UserPatient), s.Heard(stage.Heron)
	s.Platform.Inject(standin.Fault{Kind: standin.Forbidden, Method: "sendMessage", Chat: stage.Heron, Times: -1})
	s.Goes(t, talktest.At(21, 5))
	if got := s.Evenings(stage.UserPatient, other); got != 1 {
		t.Errorf("another patient was asked %d times", got)
	}
	s.Goes(t, talktest.At(23, 59))
	s.Goes(t, talktest.At(24+8, 30)) // the office opens
	if !strings.Contains(s.BotSaid(stage.UserAssistant, desk), "Heron-04") {
		t.Error("staff were not told")
	}
	s.Platform.Mend()
	s.Goes(t, talktest.At(24+22, 0))
	if got := s.BotSaid(stage.Heron, n); got != "" {
		t.Errorf("a chat that refuses was written to: %q", got)
	}
	if err := s.Say(t.Context(), stage.Heron, "today"); err != nil {
		t.Fatal(err)
	}
	if s.BotSaid(stage.Heron, n) == "" {
		t.Error("whoever is there again hears nothing")
	}
}

// The staff group gets another number: what was on its way to the old one, and
// all that follows, goes to the new one.
func TestAStaffGroupThatMoved(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	code := flows.NewCode(flows.GroupHead, [16]byte{7})
	err := s.Runner.Handle(t.Context(), scheduler.PracticeRef(), "group", flows.StaffChange{Op: flows.StaffGroup,
		Code: practice.Code{Hash: s.Runner.StaffKey(code), Ends: s.Hands.Now().Add(program.CodeLife).Unix()}})
	if err != nil {
		t.Fatal(err)
	}
	group := s.Platform.AddGroup("Tern Quay", stage.UserClinician, stage.UserAssistant)
	s.Platform.Admin(group)
	if _, err := s.Platform.Post(standin.Post{Chat: group, From: stage.UserClinician, Text: "/start " + code}); err != nil {
		t.Fatal(err)
	}
	if err := s.Quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	if pr, err := s.Practice(t.Context()); err != nil || pr.Group != group {
		t.Fatalf("the group did not get in: %v", err)
	}
	s.Platform.Inject(standin.Fault{Kind: standin.TooMany, Method: "sendMessage", Chat: group, RetryAfter: 60})
	if err := s.Say(t.Context(), stage.Heron, "I cannot breathe"); err != nil {
		t.Fatal(err)
	}
	moved, err := s.Platform.Migrate(group)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.Goes(t, s.Hands.Now().Add(2*time.Minute))
	if got := s.BotSaid(moved, 0); !strings.Contains(got, "Heron-04") {
		t.Errorf("the new group hears %q", got)
	}
	n := s.Heard(moved)
	if err := s.Say(t.Context(), stage.UserPatient, "I cannot breathe"); err != nil {
		t.Fatal(err)
	}
	if got := s.BotSaid(moved, n); !strings.Contains(got, "Wren-17") {
		t.Errorf("and then %q", got)
	}
}

// A second program polled over the evening: that evening's question is ours not to
// have asked; when the other is gone nothing comes in a burst, and the next
// evening is asked once.
func TestAfterASecondPollerPromptsComeOnce(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	s.Goes(t, talktest.At(20, 50))
	n := s.Heard(stage.Heron)
	s.Conflict()
	s.Goes(t, talktest.At(21, 40))
	s.ConflictEnds()
	if err := s.Quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.Goes(t, talktest.At(24+3, 0))
	if got := s.Heard(stage.Heron) - n; got > 1 {
		t.Errorf("%d messages that night: %q", got, s.BotSaid(stage.Heron, n))
	}
	s.Goes(t, talktest.At(24+20, 59))
	n = s.Heard(stage.Heron)
	s.Goes(t, talktest.At(24+21, 5))
	if got := s.Evenings(stage.Heron, n); got != 1 {
		t.Errorf("the next evening was asked %d times", got)
	}
}
