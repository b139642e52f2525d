package store

import (
	"context"
	"fmt"
	"time"
)

// Audited is what the journals of a store say.
type Audited struct {
	Journals, Records int
	Last              time.Time // of the newest record; zero where there is none
}

// Audit reads every journal and checks its chain. ErrBroken names the journal
// that was altered, by its aggregate, which is a pseudonym or a chat's number.
func Audit(ctx context.Context, s Aggregates) (a Audited, err error) {
	for ref, err := range s.Refs(ctx) {
		if err != nil {
			return a, fmt.Errorf("listing journals: %w", err)
		}
		var c Chain
		for r, err := range s.Journal(ctx, ref) {
			if err != nil {
				return a, fmt.Errorf("reading a journal: %w", err)
			}
			if err := c.Next(r); err != nil {
				return a, fmt.Errorf("the journal of %s: %w", ref, err)
			}
			a.Records++
			if r.At.After(a.Last) {
				a.Last = r.At
			}
		}
		if c.seq > 0 {
			a.Journals++
		}
	}
	return a, nil
}
