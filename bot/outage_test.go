package main

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store/sqlite"
)

// onFile is a scene on a file, which a restart opens again.
func onFile(t *testing.T) (*scene, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "d.db")
	st, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Lock: true})
	if err != nil {
		t.Fatal(err)
	}
	s, err := newScene(t.Context(), st, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.close(); _ = s.store.Close() })
	return s, path
}

// restart ends the program and starts it again on the same file, platform and clock.
func (s *scene) restart(t *testing.T, path string) {
	t.Helper()
	s.close()
	if err := s.store.Close(); err != nil {
		t.Fatal(err)
	}
	st, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Lock: true})
	if err != nil {
		t.Fatal(err)
	}
	if s.stage, err = raiseStage(t.Context(), s.platform, s.hands, parts{store: st}); err != nil {
		t.Fatal(err)
	}
}

// goes takes the clock to an instant.
func (s *scene) goes(t *testing.T, to time.Time) {
	t.Helper()
	if err := s.move(t.Context(), to); err != nil {
		t.Fatal(err)
	}
}

// at is an hour of the scene's first day where the practice is.
func at(hour, minute int) time.Time { return time.Date(2026, 3, 2, hour+5, minute, 0, 0, time.UTC) }

func (s *scene) evenings(user int64, after int) int {
	n := 0
	for _, m := range s.platform.Messages(user)[after:] {
		if m.Bot && strings.HasPrefix(m.Text, "Evening check-in.") {
			n++
		}
	}
	return n
}

const heron = userPatient + 1 // settled into stepping, reads English

// 429: the wait that the platform asked for is kept across a restart.
func TestAWaitThatWasAskedForOutlivesARestart(t *testing.T) {
	s, path := onFile(t)
	n := s.heard(heron)
	s.platform.Inject(standin.Fault{Kind: standin.TooMany, Method: "sendMessage", Chat: heron, RetryAfter: 120})
	if err := s.say(t.Context(), heron, "today"); err != nil {
		t.Fatal(err)
	}
	asked := s.hands.Now()
	s.restart(t, path)
	s.goes(t, asked.Add(110*time.Second))
	if got := s.botSaid(heron, n); got != "" {
		t.Fatalf("after the restart it did not wait: %q", got)
	}
	s.goes(t, asked.Add(125*time.Second))
	if got := s.heard(heron) - n; got != 2 { // the question and its one answer
		t.Errorf("%d messages", got)
	}
}

// Two processes on one store: what the platform asked of one binds the other.
func TestAWaitBindsEveryProcess(t *testing.T) {
	s := play(t)
	other, err := raiseStage(t.Context(), s.platform, s.hands, parts{store: s.store})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(other.close)
	n := s.heard(heron)
	s.platform.Inject(standin.Fault{Kind: standin.TooMany, Method: "sendMessage", Chat: heron, RetryAfter: 120})
	if err := s.say(t.Context(), heron, "today"); err != nil {
		t.Fatal(err)
	}
	asked := s.hands.Now()
	both := func(to time.Time) {
		s.goes(t, to)
		if err := other.quiet(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	both(asked.Add(110 * time.Second))
	if got := s.botSaid(heron, n); got != "" {
		t.Fatalf("one of them did not wait: %q", got)
	}
	both(asked.Add(125 * time.Second))
	if got := s.heard(heron) - n; got != 2 {
		t.Errorf("%d messages", got)
	}
}

// Three chats are slowed down at once: that is all of us. What nobody asked for
// waits, in every chat; a red flag of a fourth reaches its staff, one by one.
func TestASlowedDownBotHoldsBulkAlone(t *testing.T) {
	s := play(t)
	s.goes(t, at(20, 59))
	before := map[int64]int{}
	for i := range 3 {
		user := userStranger + 10 + int64(i)
		s.platform.AddUser(standin.User{ID: user, Name: "p", Language: "en"})
		if err := s.platform.Open(user); err != nil {
			t.Fatal(err)
		}
		before[user] = s.heard(user)
		s.platform.Inject(standin.Fault{Kind: standin.TooMany, Method: "sendMessage", Chat: user, RetryAfter: 300})
		if err := s.say(t.Context(), user, "hello"); err != nil {
			t.Fatal(err)
		}
	}
	asked := s.hands.Now()
	n, wren, desk, doctor := s.heard(heron), s.heard(userPatient), s.heard(userAssistant), s.heard(userClinician)
	s.goes(t, at(21, 1))
	if err := s.say(t.Context(), userPatient, "I cannot breathe"); err != nil {
		t.Fatal(err)
	}
	s.goes(t, s.hands.Now().Add(5*time.Second))
	for who, got := range map[string]string{"the patient": s.botSaid(userPatient, wren),
		"the assistant": s.botSaid(userAssistant, desk), "the clinician": s.botSaid(userClinician, doctor)} {
		if !strings.Contains(got, "911") && !strings.Contains(got, "Wren-17") {
			t.Errorf("five seconds after the red flag %s heard %q", who, got)
		}
	}
	s.goes(t, asked.Add(290*time.Second))
	if got := s.botSaid(heron, n); got != "" {
		t.Errorf("a prompt went out: %q", got)
	}
	for user, n := range before {
		if got := s.heard(user) - n; got != 1 {
			t.Errorf("%d heard %d messages before its wait was over", user, got-1)
		}
	}
	s.goes(t, asked.Add(310*time.Second))
	if s.evenings(heron, n) != 1 {
		t.Errorf("after it the evening's question came %d times", s.evenings(heron, n))
	}
	for user, n := range before {
		if got := s.heard(user) - n; got != 2 {
			t.Errorf("%d messages for %d", got, user)
		}
	}
}

// Ten minutes in which the platform answers nothing but errors: what was due
// and what was written then comes afterwards, once. Without asking first whether
// the platform is there, the one repeat of what is in doubt would be spent on it.
func TestTenMinutesOfServerErrors(t *testing.T) {
	for name, kind := range map[string]standin.Kind{"its own": standin.ServerError, "of a front": standin.BadGateway,
		"broken connections": standin.Dropped} {
		t.Run(name, func(t *testing.T) {
			s := play(t)
			s.goes(t, at(20, 58))
			n, desk, wren := s.heard(heron), s.heard(userAssistant), s.heard(userPatient)
			s.platform.Inject(standin.Fault{Kind: kind, Times: -1})
			s.platform.Inject(standin.Fault{Kind: kind, Method: "getUpdates", Times: -1})
			if _, err := s.platform.Say(userPatient, "I cannot breathe"); err != nil {
				t.Fatal(err)
			}
			for range 20 {
				s.hands.Set(s.hands.Now().Add(30 * time.Second))
				time.Sleep(20 * time.Millisecond)
			}
			if got := s.botSaid(heron, n) + s.botSaid(userPatient, wren); got != "" {
				t.Fatalf("something got through: %q", got)
			}
			s.platform.Mend()
			if err := s.quiet(t.Context()); err != nil {
				t.Fatal(err)
			}
			s.goes(t, s.hands.Now().Add(3*time.Minute))
			if got := s.evenings(heron, n); got != 1 {
				t.Errorf("the evening's question came %d times", got)
			}
			if !strings.Contains(s.botSaid(userPatient, wren), "911") {
				t.Errorf("the red flag was answered %q", s.botSaid(userPatient, wren))
			}
			if !strings.Contains(s.botSaid(userAssistant, desk), "Wren-17") {
				t.Error("staff were not told of the red flag")
			}
			for x := range s.store.Doubtful(t.Context()) {
				t.Errorf("given up in doubt: lane %d", x.Lane)
			}
		})
	}
}

// 401 while it runs: the program ends and says why; what was written waits, and
// comes once when the token works again.
func TestARevokedTokenLosesNothing(t *testing.T) {
	s, path := onFile(t)
	n := s.heard(heron)
	s.platform.Inject(standin.Fault{Kind: standin.Unauthorized, Times: -1})
	if err := s.say(t.Context(), heron, "today"); err != nil {
		t.Fatal(err)
	}
	if !s.refused() {
		t.Error("the program does not know")
	}
	s.platform.Inject(standin.Fault{Kind: standin.Unauthorized, Method: "getUpdates", Times: -1})
	if _, err := s.platform.Say(heron, "help"); err != nil {
		t.Fatal(err)
	}
	select {
	case <-s.ended:
	case <-time.After(20 * time.Second):
		t.Fatal("the program goes on")
	}
	if err := context.Cause(s.ctx); !errors.Is(err, telegram.ErrRevoked) {
		t.Errorf("it ended because %v", err)
	}
	if got := s.botSaid(heron, n); got != "" {
		t.Fatalf("%q was sent", got)
	}
	s.platform.Mend()
	s.restart(t, path)
	s.goes(t, s.hands.Now().Add(2*time.Minute))
	if got := s.heard(heron) - n; got != 4 {
		t.Errorf("%d messages of two questions and two answers: %q", got, s.botSaid(heron, n))
	}
}

// One 401 or 404 to one message, or ten minutes of them: nobody is silenced. What
// is urgent goes out as soon as the platform takes it, also that of somebody else.
func TestA401OrA404ToOneSendSilencesNobody(t *testing.T) {
	for name, kind := range map[string]standin.Kind{"401": standin.Unauthorized, "404": standin.NotFound} {
		t.Run(name, func(t *testing.T) {
			s := play(t)
			n, desk, wren := s.heard(heron), s.heard(userAssistant), s.heard(userPatient)
			s.platform.Inject(standin.Fault{Kind: kind, Method: "sendMessage", Chat: heron, Times: -1})
			if err := s.say(t.Context(), heron, "today"); err != nil {
				t.Fatal(err)
			}
			if err := s.say(t.Context(), userPatient, "I cannot breathe"); err != nil {
				t.Fatal(err)
			}
			if got := s.botSaid(userPatient, wren); !strings.Contains(got, "911") {
				t.Errorf("the other patient heard %q", got)
			}
			if !strings.Contains(s.botSaid(userAssistant, desk), "Wren-17") {
				t.Error("staff do not know of the red flag")
			}
			s.goes(t, s.hands.Now().Add(10*time.Minute))
			s.platform.Mend()
			s.goes(t, s.hands.Now().Add(2*time.Minute))
			if got := s.heard(heron) - n; got != 2 {
				t.Errorf("%d messages of a question and its answer", got)
			}
		})
	}
}

// 403 for one patient, and no word from the platform before: staff are told the
// same day, no more is sent there, and everybody else goes on.
func TestARefusedChatReachesStaff(t *testing.T) {
	s := play(t)
	s.goes(t, at(20, 58))
	desk, other, n := s.heard(userAssistant), s.heard(userPatient), s.heard(heron)
	s.platform.Inject(standin.Fault{Kind: standin.Forbidden, Method: "sendMessage", Chat: heron, Times: -1})
	s.goes(t, at(21, 5))
	if got := s.evenings(userPatient, other); got != 1 {
		t.Errorf("another patient was asked %d times", got)
	}
	s.goes(t, at(23, 59))
	s.goes(t, at(24+8, 30)) // the office opens
	if !strings.Contains(s.botSaid(userAssistant, desk), "Heron-04") {
		t.Error("staff were not told")
	}
	s.platform.Mend()
	s.goes(t, at(24+22, 0))
	if got := s.botSaid(heron, n); got != "" {
		t.Errorf("a chat that refuses was written to: %q", got)
	}
	if err := s.say(t.Context(), heron, "today"); err != nil {
		t.Fatal(err)
	}
	if s.botSaid(heron, n) == "" {
		t.Error("whoever is there again hears nothing")
	}
}

// The staff group gets another number: what was on its way to the old one, and
// all that follows, goes to the new one.
func TestAStaffGroupThatMoved(t *testing.T) {
	s := play(t)
	code := flows.NewCode(flows.GroupHead, [16]byte{7})
	err := s.runner.Handle(t.Context(), scheduler.PracticeRef(), "group", flows.StaffChange{Op: flows.StaffGroup,
		Code: practice.Code{Hash: s.runner.StaffKey(code), Ends: s.hands.Now().Add(codeLife).Unix()}})
	if err != nil {
		t.Fatal(err)
	}
	group := s.platform.AddGroup("Tern Quay", userClinician, userAssistant)
	s.platform.Admin(group)
	if _, err := s.platform.Post(standin.Post{Chat: group, From: userClinician, Text: "/start " + code}); err != nil {
		t.Fatal(err)
	}
	if err := s.quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	if pr, err := s.practice(t.Context()); err != nil || pr.Group != group {
		t.Fatalf("the group did not get in: %v", err)
	}
	s.platform.Inject(standin.Fault{Kind: standin.TooMany, Method: "sendMessage", Chat: group, RetryAfter: 60})
	if err := s.say(t.Context(), heron, "I cannot breathe"); err != nil {
		t.Fatal(err)
	}
	moved, err := s.platform.Migrate(group)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.goes(t, s.hands.Now().Add(2*time.Minute))
	if got := s.botSaid(moved, 0); !strings.Contains(got, "Heron-04") {
		t.Errorf("the new group hears %q", got)
	}
	n := s.heard(moved)
	if err := s.say(t.Context(), userPatient, "I cannot breathe"); err != nil {
		t.Fatal(err)
	}
	if got := s.botSaid(moved, n); !strings.Contains(got, "Wren-17") {
		t.Errorf("and then %q", got)
	}
}

// A second program polled over the evening: that evening's question is ours not to
// have asked; when the other is gone nothing comes in a burst, and the next
// evening is asked once.
func TestAfterASecondPollerPromptsComeOnce(t *testing.T) {
	s := play(t)
	s.goes(t, at(20, 50))
	n := s.heard(heron)
	s.conflict()
	s.goes(t, at(21, 40))
	s.rival.gone()
	if err := s.quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.goes(t, at(24+3, 0))
	if got := s.heard(heron) - n; got > 1 {
		t.Errorf("%d messages that night: %q", got, s.botSaid(heron, n))
	}
	s.goes(t, at(24+20, 59))
	n = s.heard(heron)
	s.goes(t, at(24+21, 5))
	if got := s.evenings(heron, n); got != 1 {
		t.Errorf("the next evening was asked %d times", got)
	}
}
