package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
)

// An update that cannot be read, in the middle of a batch: it alone is set
// aside, check shows it, staff are told whose it was and its sender is told to
// call; the others go on. Many of them are told once.
func TestAPoisonedUpdateIsToldToPeople(t *testing.T) {
	s := play(t)
	n, other, desk := s.heard(userPatient), s.heard(heron), s.heard(userAssistant)
	poison := json.RawMessage(fmt.Sprintf(`{"message_id": "seven", "chat": {"id": %d, "type": "private"}, "text": "I cannot breathe"}`, userPatient))
	s.platform.Inject(standin.Fault{Kind: standin.ServerError, Method: "getUpdates"}) // so that they come as one batch
	for range 3 {
		s.platform.Raw("message", poison)
	}
	s.platform.Raw("message", json.RawMessage(`"nothing at all"`))
	if err := s.say(t.Context(), heron, "today"); err != nil {
		t.Fatal(err)
	}
	if s.botSaid(heron, other) == "" {
		t.Error("the next message has no answer")
	}
	if !strings.Contains(s.botSaid(userPatient, n), "911") {
		t.Errorf("its sender hears %q", s.botSaid(userPatient, n))
	}
	told := s.botSaid(userAssistant, desk)
	if strings.Count(told, "Wren-17") != 1 || strings.Count(told, "nobody can tell whose") != 1 {
		t.Errorf("staff hear %q", told)
	}
	shown := ""
	err := checkStore(t.Context(), s.store, func(ok bool, what string, v ...any) {
		if !ok {
			shown += fmt.Sprintf(what, v...) + "\n"
		}
	})
	if err != nil || strings.Count(shown, "set aside") != 4 || strings.Contains(shown, "breathe") {
		t.Errorf("check shows %q, %v", shown, err)
	}
}

// What can still be read of an unreadable update.
func TestARemainderNamesItsChat(t *testing.T) {
	for raw, want := range map[string]telegram.Update{
		`{"update_id": 5, "message": {"message_id": "x", "chat": {"id": 7, "type": "private"}}}`: {ID: 5, Chat: 7,
			Private: true},
		`{"update_id": 5, "message": {"chat": {"id": 7, "type": "private"}, "date": "yesterday"}}`: {ID: 5, Chat: 7,
			Private: true},
		`{"update_id": 5, "edited_message": {"message_id": [], "chat": {"id": -7, "type": "group"}}}`: {ID: 5},
		`{"update_id": 5, "message": 3}`: {ID: 5},
	} {
		if got, err := telegram.Decode(json.RawMessage(raw)); err == nil || got != want {
			t.Errorf("%s: %+v, %v", raw, got, err)
		}
	}
}

// Under a webhook, too, open questions are asked again after a time in which no
// process was there; after a short one they are not.
func TestUnderAWebhookOpenQuestionsAreAskedAgain(t *testing.T) {
	for _, long := range []bool{true, false} {
		t.Run(fmt.Sprint(long), func(t *testing.T) {
			s := play(t)
			if err := s.say(t.Context(), userPatient, "stop"); err != nil { // asks back with buttons
				t.Fatal(err)
			}
			s.close()
			if long { // the lease that says "somebody was there" has run out
				if ok, err := s.store.Lead(t.Context(), polledName, polledBy, 0); !ok || err != nil {
					t.Fatal(ok, err)
				}
			}
			n := s.heard(userPatient)
			api, err := telegram.New(telegram.Options{Token: standin.Token, Transport: s.platform.Transport()})
			if err != nil {
				t.Fatal(err)
			}
			p, err := build(t.Context(), parts{store: s.store, api: api, clock: s.hands})
			if err != nil {
				t.Fatal(err)
			}
			ended := make(chan struct{})
			ctx, stop := contextWithStop(t)
			go func() { defer close(ended); _ = p.called(ctx) }()
			again := false
			for end := time.Now().Add(3 * time.Second); time.Now().Before(end) && !again; time.Sleep(5 * time.Millisecond) {
				s.hands.Set(s.hands.Now().Add(time.Second))
				again = s.heard(userPatient) > n
			}
			stop()
			<-ended
			if again != long {
				t.Errorf("asked again: %t", again)
			}
			if free, err := s.store.Lead(t.Context(), calledName, "a restore", time.Second); free || err != nil {
				t.Errorf("a restore could begin: %t, %v", free, err)
			}
		})
	}
}
