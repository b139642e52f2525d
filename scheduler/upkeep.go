package scheduler

import (
	"context"
	"fmt"
	"time"

	"duskdawn/store"
)

// upkeepEvery is how often seen events and settled messages are forgotten, and patients counted.
const upkeepEvery = 6 * time.Hour

// upkeep forgets, now and then, what is older than the platform could deliver again.
func (r *Runner) upkeep(ctx context.Context) {
	for ctx.Err() == nil {
		now := r.clock.Now()
		if err := r.store.Purge(ctx, now.Add(-store.SeenFor)); err != nil {
			r.logError(ctx, "purge", err)
		}
		for ctx.Err() == nil && r.clock.Now().Sub(now) < upkeepEvery { // a real clock waits a minute at a time
			done, stop := r.clock.Until(now.Add(upkeepEvery))
			select {
			case <-ctx.Done():
			case <-done:
			}
			stop()
		}
		if err := r.census(ctx); err != nil {
			r.logError(ctx, "census", err)
		}
	}
}

// Replan resolves the wall time of every waiting timer again whose zone keeps
// other clocks now than when it was planned, and says how many it moved. A
// timer keeps its wall time: the evening stays the evening. It is done before
// the first timer fires, so that none is moved while it is handled.
func (r *Runner) Replan(ctx context.Context) (moved int, err error) {
	refs := []store.Ref{PracticeRef()}
	for s, err := range r.store.List(ctx, store.Query{}) {
		if err != nil {
			return 0, fmt.Errorf("listing patients: %w", err)
		}
		refs = append(refs, s.Ref)
	}
	for _, ref := range refs {
		var again []store.Timer
		for t, err := range r.store.Pending(ctx, ref) {
			if err != nil {
				return moved, fmt.Errorf("reading timers: %w", err)
			}
			if t.Wall == "" || t.Basis == r.zone(t.Zone).Basis() {
				continue
			}
			w, err := parseWall(t.Wall)
			if err != nil {
				return moved, err
			}
			t.At, t.Basis = r.zone(t.Zone).Instant(w), r.zone(t.Zone).Basis()
			again = append(again, t)
		}
		if len(again) == 0 {
			continue
		}
		event := fmt.Sprintf("replan/%s/%d", again[0].Basis, again[0].At.Unix())
		err := r.store.Update(ctx, ref, event, r.clock.Now(), func(a store.Aggregate) (store.Change, error) {
			return store.Change{Set: again}, nil
		})
		if err != nil {
			return moved, fmt.Errorf("planning timers again: %w", err)
		}
		moved += len(again)
	}
	return moved, nil
}
