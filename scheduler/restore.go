package scheduler

import (
	"context"
	"errors"
	"fmt"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/store"
)

// A copy that was put back is a new epoch: what patients did since is not in it,
// and the platform does not say it again. So nothing of the copy goes out, and
// nothing that nobody asked for before the owner releases it.

// farAhead is later than anything waits for, so that a lease at that instant
// takes everything.
const farAhead = 100 * 365 * 24 * time.Hour

// voidHold is how long a lease of what is voided may take to be settled.
const voidHold = time.Minute

// Restored is what became of a store that was put back.
type Restored struct {
	Since    time.Time // the copy's last commit
	Epoch    int32
	Patients int // whose advice is void and whose setting is in doubt
	Void     int // messages of the copy: in doubt, or too late
}

// Restore begins a new epoch in a store that was put back from a copy and that
// nobody serves from. Interrupted, it may be run again.
func (r *Runner) Restore(ctx context.Context) (done Restored, err error) {
	audited, err := store.Audit(ctx, r.store)
	if err != nil {
		return done, err
	}
	done.Since = audited.Last
	pr, err := r.Practice(ctx)
	if err != nil {
		return done, err
	}
	done.Epoch = pr.Epoch + 1
	event := fmt.Sprintf("restore/%d", done.Epoch)
	if err := r.Handle(ctx, PracticeRef(), event, flows.Restored{Epoch: done.Epoch,
		Since: r.wall(pr.Zone, done.Since)}); err != nil {
		return done, err
	}
	if done.Void, err = r.void(ctx, done.Since); err != nil {
		return done, err
	}
	done.Patients, err = r.tellRestored(ctx, event, done.Epoch)
	return done, err
}

// Release is the owner's word that the copy was looked at: the program speaks
// again, and each patient is asked for the setting first. Run again it asks
// those whom an interrupted one did not reach.
func (r *Runner) Release(ctx context.Context) (asked int, err error) {
	pr, err := r.Practice(ctx)
	if err != nil {
		return 0, err
	}
	event := fmt.Sprintf("release/%d", pr.Epoch)
	if err := r.Handle(ctx, PracticeRef(), event, flows.Manage{Op: flows.ManageRelease,
		Actor: flows.Actor{ID: practice.OwnerID, Role: practice.Owner}}); err != nil {
		return 0, err
	}
	return r.tellRestored(ctx, event, pr.Epoch)
}

// tellRestored tells every patient of the epoch, once an event.
func (r *Runner) tellRestored(ctx context.Context, event string, epoch int32) (n int, err error) {
	for s, err := range r.store.List(ctx, store.Query{}) {
		if err != nil {
			return n, fmt.Errorf("listing patients: %w", err)
		}
		if err := r.Handle(ctx, s.Ref, event, flows.Restored{Epoch: epoch}); err != nil {
			return n, err
		}
		n++
	}
	return n, nil
}

// void settles every message of the copy without sending it. Most were sent
// after the copy was made; which, nobody knows any more. What one aggregate had
// to tell another is told, and what follows from that is void as well.
func (r *Runner) void(ctx context.Context, since time.Time) (n int, err error) {
	// first as of then, so that what had an end counts as in doubt too
	for _, at := range []time.Time{since, r.clock.Now().Add(farAhead)} {
		for !at.IsZero() {
			out, expired, err := r.store.Lease(ctx, at, timerBatch, store.LaneAll, voidHold)
			if err != nil {
				return n, fmt.Errorf("leasing: %w", err)
			}
			if len(out)+len(expired) == 0 {
				break
			}
			for _, it := range out {
				if it.Lane == store.LaneEvent && it.Queue != callQueue {
					err = r.deliverTell(ctx, it)
				} else {
					n++
					err = r.store.Settle(ctx, it.ID, store.Settlement{Outcome: store.Doubt, Written: true, At: r.clock.Now(),
						Attempt: it.Attempt})
				}
				if err != nil && !errors.Is(err, store.ErrNotFound) {
					return n, fmt.Errorf("voiding: %w", err)
				}
			}
			for _, it := range expired {
				n++
				if err := r.store.Settle(ctx, it.ID, store.Settlement{Outcome: store.Expired, At: r.clock.Now(),
					Attempt: it.Attempt}); err != nil && !errors.Is(err, store.ErrNotFound) {
					return n, fmt.Errorf("voiding: %w", err)
				}
			}
		}
	}
	return n, nil
}
