package program_test

import (
	"fmt"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
	"duskdawn/bot/telegram"
)

// Under a webhook, too, open questions are asked again after a time in which no
// process was there; after a short one they are not.
func TestUnderAWebhookOpenQuestionsAreAskedAgain(t *testing.T) {
	t.Parallel()
	for _, long := range []bool{true, false} {
		t.Run(fmt.Sprint(long), func(t *testing.T) {
			t.Parallel()
			s := talktest.Play(t)
			if err := s.Say(t.Context(), stage.UserPatient, "stop"); err != nil { // asks back with buttons
				t.Fatal(err)
			}
			s.Close()
			if long { // the lease that says "somebody was there" has run out
				if ok, err := s.Store.Lead(t.Context(), program.PolledName, program.PolledBy, 0); !ok || err != nil {
					t.Fatal(ok, err)
				}
			}
			n := s.Heard(stage.UserPatient)
			api, err := telegram.New(telegram.Options{Token: standin.Token, Transport: s.Platform.Transport()})
			if err != nil {
				t.Fatal(err)
			}
			p, err := program.Build(t.Context(), program.Parts{Store: s.Store, API: api, Clock: s.Hands})
			if err != nil {
				t.Fatal(err)
			}
			ended := make(chan struct{})
			ctx, stop := contextWithStop(t)
			go func() { defer close(ended); _ = p.Called(ctx) }()
			again := false
			for range 240 { // a second each: the platform waits two minutes at the most
				s.Hands.Set(s.Hands.Now().Add(time.Second))
				time.Sleep(5 * time.Millisecond)
				if again = s.Heard(stage.UserPatient) > n; again {
					break
				}
			}
			stop()
			<-ended
			if again != long {
				t.Errorf("asked again: %t", again)
			}
			if free, err := s.Store.Lead(t.Context(), program.CalledLease, "a restore", time.Second); free || err != nil {
				t.Errorf("a restore could begin: %t, %v", free, err)
			}
		})
	}
}
