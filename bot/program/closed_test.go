package program_test

import (
	"strings"
	"testing"

	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
)

// The platform refuses an emergency's caution once, as for a chat that is closed:
// the card asks for a call, and when the person writes again the caution comes.
func TestARefusedCautionIsToldWhenThePersonWrites(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	n, desk := s.Heard(stage.UserPatient), s.Heard(stage.UserAssistant)
	s.Platform.Inject(standin.Fault{Kind: standin.Forbidden, Method: "sendMessage", Chat: stage.UserPatient, Times: 1})
	if err := s.Say(t.Context(), stage.UserPatient, "I have chest pain"); err != nil {
		t.Fatal(err)
	}
	if card := s.BotSaid(stage.UserAssistant, desk); !strings.Contains(card, "NOT DELIVERED") || !strings.Contains(card, "chat is closed") ||
		strings.Contains(card, "was told") {
		t.Errorf("the card says %q", card)
	}
	if err := s.Say(t.Context(), stage.UserPatient, "hello"); err != nil {
		t.Fatal(err)
	}
	if got := s.BotSaid(stage.UserPatient, n); !strings.Contains(got, "911") {
		t.Errorf("the patient heard %q", got)
	}
}

// What is refused of an older message, whose card is shown anew, says nothing of the
// chat: nobody of the practice is out of reach for it.
func TestARefusedEditMarksNobody(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	if err := s.Say(t.Context(), stage.UserPatient, "please call me"); err != nil {
		t.Fatal(err)
	}
	s.Platform.Inject(standin.Fault{Kind: standin.Forbidden, Method: "editMessageText", Times: -1})
	edits := s.Platform.Calls("editMessageText")
	for _, m := range s.Platform.Messages(stage.UserAssistant) {
		if m.Bot && len(m.Buttons) > 0 && m.Buttons[0][0].Label == "I take it" {
			if _, err := s.Platform.Tap(stage.UserAssistant, stage.UserAssistant, m.ID, m.Buttons[0][0].Data); err != nil {
				t.Fatal(err)
			}
		}
	}
	s.Hush(t)
	if s.Platform.Calls("editMessageText") == edits {
		t.Fatal("no card was shown anew")
	}
	pr, err := s.Practice(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, who := range pr.Staff {
		if who.Unreach {
			t.Errorf("%s counts as out of reach", who.Label)
		}
	}
}
