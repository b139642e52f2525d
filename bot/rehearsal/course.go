package rehearsal

import (
	"context"
	"time"
)

// Course is the program that is rehearsed, as far as the page must know it.
// Its methods are called from several goroutines; Set and Quiet by one at a time.
type Course interface {
	// Now is where the clock stands.
	Now() time.Time
	// Next is when the next waiting thing is due; false when nothing waits.
	Next() (time.Time, bool)
	// Chats lists who can be played, in the order to show them.
	Chats() []Chat
	// Set moves the clock forward to t. It is called for each waiting thing
	// in turn, and never with a time before Now.
	Set(t time.Time)
	// Quiet returns when no update is unconfirmed, nothing due waits, nothing
	// can be sent and nothing is in flight; or with the context's error.
	Quiet(ctx context.Context) error
}

// Chat is one person to play in one chat.
type Chat struct {
	ID      int64  `json:"id"`      // of this entry: a person in a group is another entry than another person
	Who     string `json:"who"`     // the invented person
	Role    string `json:"role"`    // patient, clinician, assistant, ...
	Patient string `json:"patient"` // the patient's label, if the person is one
	Zone    string `json:"zone,omitempty"`

	Room int64 `json:"-"` // the stand-in's chat; 0 is the person's private one
	User int64 `json:"-"` // the stand-in's user
}

func (c Chat) room() int64 {
	if c.Room != 0 {
		return c.Room
	}
	return c.User
}
