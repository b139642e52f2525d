package chat

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/locales"
	"duskdawn/store"
	"duskdawn/store/memory"
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

// The picture of a course is drawn for whom its words are for: who was taken off
// the staff while it waited, and the group, get neither.
func TestACourseIsForStaffAlone(t *testing.T) {
	st := memory.New()
	p := flows.Patient{ID: "07TESTTESTTESTTEST", Label: "Heron"}
	err := st.Update(t.Context(), store.Ref{Kind: store.Patient, ID: string(p.ID)}, "x", time.Now(),
		func(store.Aggregate) (store.Change, error) {
			body, err := store.EncodePatient(&p)
			return store.Change{Body: body}, err
		})
	if err != nil {
		t.Fatal(err)
	}
	words, err := locales.Load()
	if err != nil {
		t.Fatal(err)
	}
	body, err := store.Encode(message.Message{View: message.ViewCourse, Media: flows.MediaCourseWhole, Subject: p.ID})
	if err != nil {
		t.Fatal(err)
	}
	pr := practice.Practice{Lang: "en", Staff: []practice.Staff{{ID: "s1", Role: practice.Assistant, Chat: 1},
		{ID: "s2", Role: practice.Clinician, Chat: 2, Removed: true}}}
	for chat, want := range map[string]bool{"1": true, "2": false, "-4000001": false} {
		drawn := false
		o := Outbound{Store: st, Words: words,
			Practice: func(context.Context) (practice.Practice, error) { return pr, nil },
			Media: func(context.Context, message.Message, string) (*telegram.File, error) {
				drawn = true
				return nil, nil
			}}
		m, err := o.message(t.Context(), store.Item{Queue: chat, Body: body})
		if err != nil || drawn != want || strings.Contains(m.Text, "Heron") != want {
			t.Errorf("chat %s: drawn %v, %v: %q", chat, drawn, err, m.Text)
		}
	}
}
