package scheduler

import (
	"context"
	"errors"
	"fmt"

	"duskdawn/flows"
	"duskdawn/store"
)

// tellOpen hands an event to every patient with something open, once each. Where
// it is interrupted it begins again, and those who had it are left out by its id.
func (r *Runner) tellOpen(ctx context.Context, it store.Item, body flows.Body) error {
	var refs []store.Ref // the list is not read while patients change
	for s, err := range r.store.List(ctx, store.Query{Open: true}) {
		if err != nil {
			return fmt.Errorf("listing patients: %w", err)
		}
		refs = append(refs, s.Ref)
	}
	for _, ref := range refs {
		if err := r.Handle(ctx, ref, "tell/"+it.ID+"/"+ref.ID, body); err != nil && !errors.Is(err, store.ErrCorrupt) {
			return err
		}
	}
	return r.store.Settle(ctx, it.ID, store.Settlement{Outcome: store.Sent, At: r.clock.Now(), Attempt: it.Attempt})
}
