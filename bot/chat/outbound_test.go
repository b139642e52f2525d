package chat

import (
	"context"
	"errors"
	"testing"

	"duskdawn/bot/telegram"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/store"
)

// A card for which the store does not answer just now waits; one whose subject is
// gone for good is given up.
func TestACardWaitsForTheStore(t *testing.T) {
	body, err := store.Encode(message.Message{View: message.ViewEscalation})
	if err != nil {
		t.Fatal(err)
	}
	for err, want := range map[error]telegram.Outcome{errors.New("away"): telegram.NotWritten,
		store.ErrCorrupt: telegram.Rejected, store.ErrNotFound: telegram.Rejected} {
		o := Outbound{Practice: func(context.Context) (practice.Practice, error) { return practice.Practice{}, err }}
		got := o.Send(t.Context(), store.Item{Queue: "1", Body: body}, func() error { return nil })
		if got.Outcome != want {
			t.Errorf("%v: %v", err, got.Outcome)
		}
	}
}
