package program_test

import (
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/health"
	"duskdawn/bot/program"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
)

// 429: the wait that the platform asked for is kept across a restart.
func TestAWaitThatWasAskedForOutlivesARestart(t *testing.T) {
	t.Parallel()
	s, path := talktest.OnFile(t)
	n := s.Heard(stage.Heron)
	s.Platform.Inject(standin.Fault{Kind: standin.TooMany, Method: "sendMessage", Chat: stage.Heron, RetryAfter: 120})
	if err := s.Say(t.Context(), stage.Heron, "today"); err != nil {
		t.Fatal(err)
	}
	asked := s.Hands.Now()
	s.Restart(t, path)
	s.Goes(t, asked.Add(110*time.Second))
	if got := s.BotSaid(stage.Heron, n); got != "" {
		t.Fatalf("after the restart it did not wait: %q", got)
	}
	s.Goes(t, asked.Add(125*time.Second))
	if got := s.Heard(stage.Heron) - n; got != 2 { // the question and its one answer
		t.Errorf("%d messages", got)
	}
}

// Two processes on one store: what the platform asked of one binds the other.
func TestAWaitBindsEveryProcess(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	other, err := stage.Raise(t.Context(), s.Platform, s.Hands, program.Parts{Store: s.Store})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(other.Close)
	n := s.Heard(stage.Heron)
	s.Platform.Inject(standin.Fault{Kind: standin.TooMany, Method: "sendMessage", Chat: stage.Heron, RetryAfter: 120})
	if err := s.Say(t.Context(), stage.Heron, "today"); err != nil {
		t.Fatal(err)
	}
	asked := s.Hands.Now()
	both := func(to time.Time) {
		s.Goes(t, to)
		if err := other.Quiet(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	both(asked.Add(110 * time.Second))
	if got := s.BotSaid(stage.Heron, n); got != "" {
		t.Fatalf("one of them did not wait: %q", got)
	}
	both(asked.Add(125 * time.Second))
	if got := s.Heard(stage.Heron) - n; got != 2 {
		t.Errorf("%d messages", got)
	}
}

// Three chats are slowed down at once: that is all of us. What nobody asked for
// waits, in every chat; a red flag of a fourth reaches its staff, one by one.
func TestASlowedDownBotHoldsBulkAlone(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	s.Goes(t, talktest.At(20, 59))
	before := map[int64]int{}
	for i := range 3 {
		user := stage.UserStranger + 10 + int64(i)
		s.Platform.AddUser(standin.User{ID: user, Name: "p", Language: "en"})
		if err := s.Platform.Open(user); err != nil {
			t.Fatal(err)
		}
		before[user] = s.Heard(user)
		s.Platform.Inject(standin.Fault{Kind: standin.TooMany, Method: "sendMessage", Chat: user, RetryAfter: 300})
		if err := s.Say(t.Context(), user, "hello"); err != nil {
			t.Fatal(err)
		}
	}
	asked := s.Hands.Now()
	n, wren, desk, doctor := s.Heard(stage.Heron), s.Heard(stage.UserPatient), s.Heard(stage.UserAssistant), s.Heard(stage.UserClinician)
	s.Goes(t, talktest.At(21, 1))
	if err := s.Say(t.Context(), stage.UserPatient, "I cannot breathe"); err != nil {
		t.Fatal(err)
	}
	s.Goes(t, s.Hands.Now().Add(5*time.Second))
	for who, got := range map[string]string{"the patient": s.BotSaid(stage.UserPatient, wren),
		"the assistant": s.BotSaid(stage.UserAssistant, desk), "the clinician": s.BotSaid(stage.UserClinician, doctor)} {
		if !strings.Contains(got, "911") && !strings.Contains(got, "Wren-17") {
			t.Errorf("five seconds after the red flag %s heard %q", who, got)
		}
	}
	s.Goes(t, asked.Add(290*time.Second))
	if got := s.BotSaid(stage.Heron, n); got != "" {
		t.Errorf("a prompt went out: %q", got)
	}
	for user, n := range before {
		if got := s.Heard(user) - n; got != 1 {
			t.Errorf("%d heard %d messages before its wait was over", user, got-1)
		}
	}
	s.Goes(t, asked.Add(310*time.Second))
	if s.Evenings(stage.Heron, n) != 1 {
		t.Errorf("after it the evening's question came %d times", s.Evenings(stage.Heron, n))
	}
	for user, n := range before {
		if got := s.Heard(user) - n; got != 2 {
			t.Errorf("%d messages for %d", got, user)
		}
	}
}

// A platform that asks one chat for ten hours is asked again: for what is urgent
// within half a minute, for the rest within five, also after a restart; and who
// watches is told.
func TestAWaitOfHoursIsBounded(t *testing.T) {
	t.Parallel()
	s, path := talktest.OnFile(t)
	n := s.Heard(stage.Heron)
	s.Platform.Inject(standin.Fault{Kind: standin.TooMany, Method: "sendMessage", Chat: stage.Heron, RetryAfter: 36_000})
	if err := s.Say(t.Context(), stage.Heron, "today"); err != nil {
		t.Fatal(err)
	}
	asked := s.Hands.Now()
	if code, body := readyz(t, s.Program); code != 503 || !strings.Contains(body, "flood: the platform asked for a wait of 10h0m0s") {
		t.Errorf("%d: it says %s", code, body)
	}
	s.Restart(t, path)
	if err := s.Say(t.Context(), stage.Heron, "I cannot breathe"); err != nil {
		t.Fatal(err)
	}
	s.Goes(t, asked.Add(32*time.Second))
	if got := s.BotSaid(stage.Heron, n); !strings.Contains(got, "911") {
		t.Errorf("half a minute later the patient heard %q", got)
	}
	s.Platform.Inject(standin.Fault{Kind: standin.TooMany, Method: "sendMessage", Chat: stage.UserPatient, RetryAfter: 36_000})
	wren := s.Heard(stage.UserPatient)
	if err := s.Say(t.Context(), stage.UserPatient, "today"); err != nil {
		t.Fatal(err)
	}
	s.Goes(t, s.Hands.Now().Add(5*time.Minute+5*time.Second))
	if got := s.Heard(stage.UserPatient) - wren; got != 2 {
		t.Errorf("five minutes later %d messages", got)
	}
}

// readyz asks what /readyz would say.
func readyz(t *testing.T, p *program.Program) (int, string) {
	t.Helper()
	w := httptest.NewRecorder()
	health.Handler(p.Well()).ServeHTTP(w, httptest.NewRequest("GET", "/", nil))
	return w.Code, w.Body.String()
}
