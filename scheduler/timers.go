package scheduler

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"duskdawn/flows"
	"duskdawn/store"
)

const (
	timerBatch   = 256
	timerHold    = 30 * time.Second // how long a claimed timer stays hidden if its commit does not come
	timerWorkers = 32
)

// FireDue turns the timers that are due now into events, one pass: it claims a
// batch, handles it, and says how many it fired and when the next is due. It
// costs by what is due, not by who is enrolled.
func (r *Runner) FireDue(ctx context.Context) (fired int, next time.Time, err error) {
	now := r.clock.Now()
	due, err := r.claim(ctx, now)
	if err != nil {
		return 0, time.Time{}, err
	}
	if len(due) > 0 {
		defer r.leave()
		if err := r.fireAll(ctx, due, now); err != nil {
			return 0, time.Time{}, err
		}
		return len(due), now, nil
	}
	next, err = r.store.Next(ctx)
	if err != nil {
		return 0, time.Time{}, fmt.Errorf("reading the next timer: %w", err)
	}
	return 0, next, nil
}

// claim claims what is due, having entered where it is anything: what is
// claimed shows in the store no more, so it must show here.
func (r *Runner) claim(ctx context.Context, now time.Time) ([]store.Timer, error) {
	if next, err := r.store.Next(ctx); err != nil {
		return nil, fmt.Errorf("reading the next timer: %w", err)
	} else if next.IsZero() || next.After(now) {
		return nil, nil
	}
	r.enter()
	due, err := r.store.Claim(ctx, now, timerBatch, timerHold)
	if err != nil || len(due) == 0 {
		r.leave()
	}
	if err != nil {
		return nil, fmt.Errorf("claiming timers: %w", err)
	}
	return due, nil
}

// fireAll handles a batch: the timers of one aggregate in order, aggregates in parallel.
func (r *Runner) fireAll(ctx context.Context, due []store.Timer, now time.Time) error {
	lanes := make([][]store.Timer, timerWorkers)
	for _, t := range due {
		n := t.Ref.Shard() % timerWorkers
		lanes[n] = append(lanes[n], t)
	}
	var wg sync.WaitGroup
	errs := make([]error, timerWorkers)
	for n, lane := range lanes {
		if len(lane) == 0 {
			continue
		}
		wg.Go(func() {
			for _, t := range lane {
				if err := r.Safely(func() error { return r.fire(ctx, t, now) }); err != nil {
					errs[n] = err // the claim runs out and it fires again
				}
			}
		})
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// fire handles one timer. Its event id names the aggregate, the timer and the
// instant, so that a second run after a crash changes nothing.
func (r *Runner) fire(ctx context.Context, t store.Timer, now time.Time) error {
	if t.Damaged { // staff are told; its claim runs out, and it fires when it is repaired
		err := r.damaged(ctx, t.Ref, fmt.Errorf("a timer: %w", store.ErrCorrupt))
		r.logError(ctx, "timers", err)
		return nil
	}
	event := fmt.Sprintf("t/%d/%s/%s", t.At.Unix(), t.Ref, t.Name) // a store keeps those of one moment together
	scheduled := r.wall(t.Zone, t.At)
	late := int32(max(now.Sub(t.At)/time.Minute, 0))
	err := r.Handle(ctx, t.Ref, event, flows.Due{Name: t.Name, Arg: string(t.Body), Scheduled: scheduled, Late: late})
	if errors.Is(err, store.ErrCorrupt) {
		return nil // staff know; its claim runs out, and it fires when the record is repaired
	}
	return err
}
