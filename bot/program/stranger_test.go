package program_test

import (
	"strings"
	"testing"
	"time"

	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
)

// A flood of strangers delays nobody who is known, and is answered as far as the
// budget goes; a stranger with a code, or in danger, is heard in any case.
func TestAFloodOfStrangersDelaysNobody(t *testing.T) {
	t.Parallel()
	const many = 600
	s := talktest.Play(t)
	n := s.Heard(stage.Heron)
	for i := range many {
		user := stage.UserStranger + 1000 + int64(i)
		s.Platform.AddUser(standin.User{ID: user, Name: "s", Language: "en"})
		if _, err := s.Platform.Say(user, "hello"); err != nil {
			t.Fatal(err)
		}
	}
	inDanger, byNet := stage.UserStranger+1000+int64(many-1), stage.UserStranger+1000+int64(many-2)
	before, beforeNet := s.Heard(inDanger), s.Heard(byNet)
	const noPhrase = "it feels like my windpipe is shutting tight"
	if r := s.Words.Read(noPhrase); r.Features != 0 || !r.Dangerous() {
		t.Fatalf("%q is to be heard by no phrase: %+v", noPhrase, r)
	}
	for user, text := range map[int64]string{stage.Heron: "help", inDanger: "I cannot breathe", byNet: noPhrase} {
		if _, err := s.Platform.Say(user, text); err != nil {
			t.Fatal(err)
		}
	}
	asked := s.Hands.Now()
	for s.BotSaid(stage.Heron, n) == "" { // until it is taken from the platform the clock stands
		if s.Platform.Quiet() {
			s.Hands.Set(s.Hands.Now().Add(50 * time.Millisecond))
		}
		time.Sleep(5 * time.Millisecond)
		if s.Hands.Now().Sub(asked) > time.Minute {
			t.Fatal("no answer for a minute")
		}
	}
	if late := s.Hands.Now().Sub(asked); late > 2*time.Second {
		t.Errorf("the patient waited %v", late)
	}
	s.Goes(t, asked.Add(2*time.Minute))
	answered := 0
	for i := range many {
		for _, m := range s.Platform.Messages(stage.UserStranger + 1000 + int64(i)) {
			if m.Bot {
				answered++
				break
			}
		}
	}
	if answered < 90 || answered > 500 {
		t.Errorf("%d of %d strangers were answered", answered, many)
	}
	for user, since := range map[int64]int{inDanger: before, byNet: beforeNet} {
		if got := s.BotSaid(user, since-1); !strings.Contains(got, "911") {
			t.Errorf("a stranger in danger heard %q", got)
		}
	}
}
