package program_test

import (
	"errors"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/health"
	"duskdawn/bot/program"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
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
				time.Sleep(20 * time.Millisecond)
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

// Ten minutes of errors to what one patient is told, while everything else goes:
// a caution is repeated until the platform confirms it, and until then the card
// says that it was not delivered.
func TestACautionIsRepeatedUntilItIsConfirmed(t *testing.T) {
	t.Parallel()
	for name, kind := range map[string]standin.Kind{"its own error": standin.ServerError, "a front's": standin.BadGateway,
		"broken connections": standin.Dropped} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := talktest.Play(t)
			n, desk := s.Heard(stage.UserPatient), s.Heard(stage.UserAssistant)
			s.Platform.Inject(standin.Fault{Kind: kind, Method: "sendMessage", Chat: stage.UserPatient, Times: -1})
			if err := s.Say(t.Context(), stage.UserPatient, "I cannot breathe"); err != nil {
				t.Fatal(err)
			}
			card := s.BotSaid(stage.UserAssistant, desk)
			if !strings.Contains(card, "Wren-17") || !strings.Contains(card, "NOT DELIVERED") ||
				strings.Contains(card, "was told") {
				t.Errorf("the card says %q", card)
			}
			s.Goes(t, s.Hands.Now().Add(10*time.Minute))
			tries := s.Platform.Calls("sendMessage")
			s.Goes(t, s.Hands.Now().Add(time.Minute))
			if tries = s.Platform.Calls("sendMessage") - tries; tries < 4 || tries > 6 {
				t.Errorf("%d tries in the eleventh minute", tries)
			}
			s.Platform.Mend()
			s.Goes(t, s.Hands.Now().Add(15*time.Second))
			if got := s.BotSaid(stage.UserPatient, n); !strings.Contains(got, "911") || s.Heard(stage.UserPatient)-n != 2 {
				t.Errorf("fifteen seconds after it the patient heard %q", got)
			}
			desk = s.Heard(stage.UserAssistant)
			s.Goes(t, s.Hands.Now().Add(5*time.Minute)) // it rings again
			if card := s.BotSaid(stage.UserAssistant, desk); !strings.Contains(card, "was told") || strings.Contains(card, "NOT DEL") {
				t.Errorf("then the card says %q", card)
			}
		})
	}
}

// What is urgent is not repeated for ever: after four hours people have rung often.
func TestACautionThatIsTooLateIsNotSent(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	n, before := s.Heard(stage.UserPatient), s.Platform.Calls("sendMessage")
	s.Platform.Inject(standin.Fault{Kind: standin.ServerError, Method: "sendMessage", Chat: stage.UserPatient, Times: -1})
	if err := s.Say(t.Context(), stage.UserPatient, "I cannot breathe"); err != nil {
		t.Fatal(err)
	}
	s.Goes(t, s.Hands.Now().Add(scheduler.UrgentFor+time.Minute))
	tries := s.Platform.Calls("sendMessage") - before // those to staff as well
	s.Platform.Mend()
	s.Goes(t, s.Hands.Now().Add(10*time.Minute))
	if got := s.BotSaid(stage.UserPatient, n); strings.Contains(got, "911") {
		t.Errorf("after %d tries it came after all: %q", tries, got)
	}
	if tries > 200 {
		t.Errorf("%d tries", tries)
	}
}

// still waits until nothing moves while the clock stands: what is in doubt waits.
func still(t *testing.T, s *talktest.Scene) {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(time.Millisecond) {
		is, next, err := s.Runner.Quiet(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if is && s.Platform.Quiet() && s.Poller.Idle() && !next.IsZero() && next.Sub(s.Hands.Now()) < 30*time.Second {
			return
		}
	}
	t.Fatal("it does not stand still, or nothing waits")
}

// An answer whose receipt was lost is repeated within seconds, once; and where an
// emergency comes in between not at all: it would contradict the caution.
func TestAnAnswerInDoubtNeverFollowsACaution(t *testing.T) {
	t.Parallel()
	for _, kind := range []standin.Kind{standin.Lost, standin.Dropped, standin.TooMany} {
		s := talktest.Play(t)
		n := s.Heard(stage.UserPatient)
		s.Platform.Inject(standin.Fault{Kind: kind, Method: "sendMessage", Chat: stage.UserPatient, RetryAfter: 20})
		if _, err := s.Platform.Say(stage.UserPatient, "today"); err != nil {
			t.Fatal(err)
		}
		still(t, s)
		if err := s.Say(t.Context(), stage.UserPatient, "I cannot breathe"); err != nil {
			t.Fatal(err)
		}
		s.Goes(t, s.Hands.Now().Add(5*time.Minute))
		var after []string
		for _, m := range s.Platform.Messages(stage.UserPatient)[n:] {
			if m.Bot {
				after = append(after, m.Text)
			}
		}
		if len(after) == 0 || !strings.Contains(after[len(after)-1], "911") {
			t.Errorf("kind %d: the last that was heard: %q", kind, after)
		}
	}
	s := talktest.Play(t)
	n := s.Heard(stage.UserPatient)
	s.Platform.Inject(standin.Fault{Kind: standin.Dropped, Method: "sendMessage", Chat: stage.UserPatient})
	asked := s.Hands.Now()
	if err := s.Say(t.Context(), stage.UserPatient, "today"); err != nil {
		t.Fatal(err)
	}
	if s.Heard(stage.UserPatient)-n != 2 || s.Hands.Now().Sub(asked) > 3*time.Second {
		t.Errorf("after %v: %q", s.Hands.Now().Sub(asked), s.BotSaid(stage.UserPatient, n))
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
