package scheduler

import (
	"fmt"

	"duskdawn/flows"
	"duskdawn/store"
)

// Recorded is a line of a journal read back: the event as it was handled, and
// what was noted with it.
type Recorded struct {
	Event flows.Event
	Logs  []flows.Log
	Rival bool // another program was seen to poll then
}

// ReadRecord reads a line of a journal.
func ReadRecord(r store.Record) (Recorded, error) {
	var f journalForm
	if err := store.Decode(r.Body, &f); err != nil {
		return Recorded{}, fmt.Errorf("line %d of a journal: %w", r.Seq, err)
	}
	body, err := store.DecodeBody(f.Body)
	if err != nil {
		return Recorded{}, fmt.Errorf("line %d of a journal: %w", r.Seq, err)
	}
	e := flows.Event{ID: r.Event, At: r.At, Wall: f.Wall, Office: f.Office, Doubt: f.Doubt, Body: body}
	copy(e.Seed[:], f.Seed)
	return Recorded{Event: e, Logs: f.Logs, Rival: f.Rival}, nil
}
