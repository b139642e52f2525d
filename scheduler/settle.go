package scheduler

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"duskdawn/flows"
	"duskdawn/store"
)

// settle ends a try by what the platform said.
func (r *Runner) settle(ctx context.Context, it store.Item, res Result, wrote bool) error {
	now := r.clock.Now()
	s := store.Settlement{Outcome: res.Outcome, Message: res.Message, Written: wrote, Text: res.Text, At: now,
		Attempt: it.Attempt}
	r.Stats.count(it.Lane, res.Outcome)
	switch res.Outcome {
	case store.Pending:
		s.Written = it.Written // this try surely did nothing
		if res.Wait > 0 {
			r.Stats.FloodWait.Add(int64(res.Wait))
			r.holds.add(res.Wait)
			until := now.Add(min(res.Wait, store.HoldMost))
			if err := r.store.HoldOff(ctx, it.Queue, until); err != nil {
				return err
			}
			if end, all := r.storms.add(it.Queue, now, until); all { // the platform is slowing us down, not one chat
				if err := r.store.HoldOff(ctx, "", end); err != nil {
					return err
				}
			}
			if s.Until = until; it.Lane == store.LaneUrgent {
				s.Until = now.Add(min(res.Wait, store.UrgentHold))
			}
		} else {
			s.Until = now.Add(pauseOf(it, now))
		}
	case store.Doubt:
		switch {
		case it.Lane == store.LaneUrgent && !it.Once: // until it is confirmed, or too late to matter
			s.Outcome, s.Until = store.Pending, now.Add(pauseOf(it, now))
		case !it.Once && (!it.Written || now.Sub(it.Ordered) < doubtFor(it.Lane)): // the same absolute text
			s.Outcome, s.Until = store.Pending, now.Add(doubtPause(it, now))
		}
	case store.Sent:
		r.delivered(ctx, it, res.Message)
	case store.Blocked:
		if err := r.bounce(ctx, it, res.Class); err != nil {
			return err
		}
	}
	if s.Outcome != store.Sent && s.Outcome != store.Doubt {
		s.Text = nil // nobody was shown it
	}
	return r.record(ctx, it, s)
}

// delivered tells a patient's flow that a card, or a message of which cards
// speak, reached its chat. It is told before the message is settled, so that a
// crash between the two tells it again; where that fails the card goes on asking
// for a call, or stays as it was sent.
func (r *Runner) delivered(ctx context.Context, it store.Item, message int64) {
	key := orderedKey(it)
	d := flows.Delivered{Key: key}
	switch {
	case it.Ref.Kind != store.Patient:
		return
	case strings.HasPrefix(key, flows.KeyCard):
		d.Chat, _ = strconv.ParseInt(it.Queue, 10, 64)
		d.Message = message
	case !strings.HasPrefix(key, flows.KeyTold):
		return
	}
	if err := r.Handle(ctx, it.Ref, "delivered/"+it.ID, d); err != nil {
		r.logError(ctx, "delivery", err)
	}
}

// record settles a try. What the platform took must not go out once more only
// because the store was away just then, so it goes on until the store is back,
// also when the lease has run out meanwhile: Run leaves it the time.
func (r *Runner) record(ctx context.Context, it store.Item, s store.Settlement) error {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), settleFor)
	defer cancel()
	for {
		err := r.store.Settle(ctx, it.ID, s)
		switch {
		case err == nil, errors.Is(err, store.ErrNotFound):
			return nil
		case errors.Is(err, store.ErrClosed), ctx.Err() != nil:
			return fmt.Errorf("settling: %w", err)
		}
		r.logError(ctx, "settling", err)
		r.pause(ctx)
	}
}

// bounce tells whoever the chat belongs to that it cannot be reached, before
// the delivery is settled, so that a crash between the two tells it again.
func (r *Runner) bounce(ctx context.Context, it store.Item, class string) error {
	chat, _ := strconv.ParseInt(it.Queue, 10, 64)
	ref := PracticeRef()
	if it.Ref.Kind == store.Patient {
		a, err := r.store.Get(ctx, it.Ref)
		if err != nil && !errors.Is(err, store.ErrNotFound) {
			return err
		}
		if p, err := store.DecodePatient(a.Body); err == nil && p.Chat == chat {
			ref = it.Ref
		}
	}
	return r.Handle(ctx, ref, "bounce/"+it.ID, flows.Bounce{Chat: chat, Why: class})
}
