package program_test

import (
	"strings"
	"testing"
	"time"

	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
	"duskdawn/scheduler"
)

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

// One lost try, and then the bot's own name cannot be asked for while messages go:
// the caution comes all the same.
func TestACautionNeedsNoName(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	n := s.Heard(stage.UserPatient)
	s.Platform.Inject(standin.Fault{Kind: standin.BadGateway, Method: "sendMessage", Chat: stage.UserPatient})
	s.Platform.Inject(standin.Fault{Kind: standin.ServerError, Method: "getMe", Times: -1})
	if err := s.Say(t.Context(), stage.UserPatient, "I cannot breathe"); err != nil {
		t.Fatal(err)
	}
	s.Goes(t, s.Hands.Now().Add(30*time.Second))
	if got := s.BotSaid(stage.UserPatient, n); !strings.Contains(got, "911") {
		t.Errorf("half a minute after it the patient heard %q", got)
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
