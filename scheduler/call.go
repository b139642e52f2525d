package scheduler

import (
	"context"
	"time"

	"duskdawn/flows"
	"duskdawn/store"
)

// callPause is the longest that a call which was not made waits for its next try.
const callPause = time.Minute

// deliverCall makes one try of an outside call. A mark is committed before it, so
// that a crash in between leaves a call in doubt. What is in doubt is made once
// more and no oftener: told twice is better than not told, for an emergency. What
// surely was not made is tried again until it is too late.
//
// The patient's flow hears what came of it before the item is settled: a crash
// between the two tells it again, and the journal is the record.
func (r *Runner) deliverCall(ctx context.Context, it store.Item) error {
	var form callForm
	if err := store.Decode(it.Body, &form); err != nil {
		return r.store.Settle(ctx, it.ID, store.Settlement{Outcome: store.Rejected, At: r.clock.Now(), Attempt: it.Attempt})
	}
	missed := flows.Missed{Key: orderedKey(it)}
	if r.calls == nil {
		return r.called(ctx, it, missed, store.Rejected)
	}
	if err := r.store.Wrote(ctx, it.ID); err != nil {
		return err
	}
	outcome, why := r.calls.Call(ctx, string(rune(form.Class)), int(form.Number), it.Ordered)
	now := r.clock.Now()
	if why != "" {
		r.log.Error("call", "class", why)
	}
	switch {
	case outcome == store.Sent:
		return r.called(ctx, it, flows.Delivered{Key: orderedKey(it)}, store.Sent)
	case outcome == store.Doubt && it.Written:
		return r.called(ctx, it, missed, store.Doubt)
	}
	return r.record(ctx, it, store.Settlement{Outcome: store.Pending, At: now, Attempt: it.Attempt,
		Until: now.Add(min(backOff(it.Attempt), callPause)), Written: outcome == store.Doubt || it.Written})
}

// called tells the flow what came of a call, and settles it.
func (r *Runner) called(ctx context.Context, it store.Item, what flows.Body, o store.Outcome) error {
	if err := r.Handle(ctx, it.Ref, "call/"+it.ID, what); err != nil {
		return err
	}
	return r.record(ctx, it, store.Settlement{Outcome: o, At: r.clock.Now(), Attempt: it.Attempt})
}
