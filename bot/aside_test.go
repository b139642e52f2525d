package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"testing"

	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
	"duskdawn/bot/telegram"
)

// An update that cannot be read, in the middle of a batch: it alone is set
// aside, check shows it, staff are told whose it was and its sender is told to
// call; the others go on. Many of them are told once.
func TestAPoisonedUpdateIsToldToPeople(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	n, other, desk := s.Heard(stage.UserPatient), s.Heard(stage.Heron), s.Heard(stage.UserAssistant)
	poison := json.RawMessage(fmt.Sprintf(`{"message_id": "seven", "chat": {"id": %d, "type": "private"}, "text": "I cannot breathe"}`, stage.UserPatient))
	s.Platform.Inject(standin.Fault{Kind: standin.ServerError, Method: "getUpdates"}) // so that they come as one batch
	for range 3 {
		s.Platform.Raw("message", poison)
	}
	s.Platform.Raw("message", json.RawMessage(`"nothing at all"`))
	if err := s.Say(t.Context(), stage.Heron, "today"); err != nil {
		t.Fatal(err)
	}
	if s.BotSaid(stage.Heron, other) == "" {
		t.Error("the next message has no answer")
	}
	if !strings.Contains(s.BotSaid(stage.UserPatient, n), "911") {
		t.Errorf("its sender hears %q", s.BotSaid(stage.UserPatient, n))
	}
	told := s.BotSaid(stage.UserAssistant, desk)
	if strings.Count(told, "Wren-17") != 1 || strings.Count(told, "nobody can tell whose") != 1 {
		t.Errorf("staff hear %q", told)
	}
	shown := ""
	err := checkStore(t.Context(), app{out: io.Discard}, s.Store, func(ok bool, what string, v ...any) {
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
	t.Parallel()
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
