package scheduler

import (
	"fmt"
	"slices"

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

// veiled is an event as the journal keeps it. A code by which somebody joins is
// known there by its head and a keyed hash: whoever reads a journal or a copy of it
// cannot use it, and run again the events fit together as they did.
func (r *Runner) veiled(b flows.Body) flows.Body {
	veil := func(code *string) {
		if len(*code) > 2 {
			*code = (*code)[:2] + "-" + keyed(r.secret, "journal", *code)[:12]
		}
	}
	switch b := b.(type) {
	case flows.Enrol:
		veil(&b.Code)
		return b
	case flows.Join:
		veil(&b.Code)
		return b
	case flows.Order:
		veil(&b.Code)
		return b
	case flows.Said:
		veil(&b.Reading.Code)
		b.Among = slices.Clone(b.Among)
		for i := range b.Among {
			veil(&b.Among[i])
		}
		return b
	}
	return b
}
