package scheduler

import (
	"context"
	"fmt"
	"math"
	"time"

	"duskdawn/store"
)

// What may be leased is bounded by what the flood limit would grant: a message
// leased beyond that would only be put back, and with ten thousand waiting that
// would be ten thousand writes for each one sent. Those that were leased and
// have not asked yet hold a place each. Lanes are strict, but bulk that was
// passed over for ten minutes has every second place.

// turn says what a pass of deliveries may lease: at most n, up to a lane, and
// not before at; the zero time for never.
type turn struct {
	at   time.Time
	n    int
	most store.Lane
	held bool // the platform asked bulk to wait
}

// turn finds whose turn it is at now. Events come first, since they ask for no
// place; then everything in order of its lane; and where bulk has no place
// left, or the platform holds it, red flags and replies alone.
func (r *Runner) turn(ctx context.Context, now time.Time, most store.Lane) (turn, error) {
	at, err := r.ready(ctx, most)
	if err != nil || at.IsZero() || at.After(now) || r.free || most == store.LaneEvent {
		return turn{at: at, n: math.MaxInt, most: most}, err
	}
	var t turn
	for _, lane := range []store.Lane{store.LaneEvent, most, store.LaneReply} {
		if lane > most {
			break
		}
		at, err := r.ready(ctx, lane)
		if err != nil {
			return t, err
		}
		room, wait := math.MaxInt, time.Duration(0)
		if lane != store.LaneEvent {
			if room, wait, err = r.store.Room(ctx, now, lane); err != nil {
				return t, fmt.Errorf("asking the flood limit: %w", err)
			}
			room -= int(r.asking.Load())
		}
		switch {
		case at.IsZero():
			continue
		case room <= 0:
			at = later(at, now.Add(wait))
			t.held = t.held || lane > store.LaneReply && wait > paceMost
		case !at.After(now):
			t.at, t.n, t.most = at, room, lane
			return t, nil
		}
		t.at = earliest(t.at, at)
	}
	return t, nil
}

// paceMost is longer than our own pace ever has bulk wait for its next place.
const paceMost = 2 * time.Second

// patience is how long bulk may be passed over by red flags and replies. From
// then on every second place is its, until none is left that waits.
const patience = 10 * time.Minute

// behind is since when bulk has been passed over; the loop's own.
type behind struct {
	since time.Time // when bulk last had its turn, or none waited
	had   bool      // the last place was its
}

// lease leases what a turn allows: by lane, but of bulk that was passed over for
// too long one goes first.
func (r *Runner) lease(ctx context.Context, now time.Time, most store.Lane, t turn, free int) (out,
	expired []store.Item, err error) {
	b := &r.behind
	if b.since.IsZero() || b.since.After(now) || t.held { // nobody passes over what the platform holds
		b.since = now
	}
	n := min(free, t.n)
	if !r.free && t.most != store.LaneEvent && most > store.LaneReply && now.Sub(b.since) > r.patience {
		if n = 1; b.had {
			b.had = false
		} else if out, err = r.store.LeaseBehind(ctx, now, n, most, leaseHold); err != nil {
			return nil, nil, err
		} else if len(out) > 0 {
			b.had = true
			for i, it := range out {
				b.since = later(b.since, it.Ordered) // those behind it are younger
				out[i].Lane = store.LaneReply        // for its place, too
			}
			return out, nil, nil
		} else {
			b.since = now
		}
	}
	if out, expired, err = r.store.Lease(ctx, now, n, t.most, leaseHold); err != nil {
		return nil, nil, err
	}
	if t.most > store.LaneReply && (len(out) < n || out[len(out)-1].Lane > store.LaneReply) {
		b.since = now
	}
	return out, expired, nil
}

func (r *Runner) ready(ctx context.Context, most store.Lane) (time.Time, error) {
	at, err := r.store.Ready(ctx, most)
	if err != nil {
		return time.Time{}, fmt.Errorf("reading the next delivery: %w", err)
	}
	return at, nil
}

// reserve asks the flood limit for the place of one message; the wait is 0 where it has one.
func (r *Runner) reserve(ctx context.Context, now time.Time, it store.Item) (time.Duration, error) {
	if r.free {
		return 0, nil
	}
	group := len(it.Queue) > 0 && it.Queue[0] == '-' // the platform's group chats have negative numbers
	wait, err := r.store.Reserve(ctx, now, it.Queue, group, it.Lane)
	if err != nil {
		return 0, fmt.Errorf("asking the flood limit: %w", err)
	}
	if wait > 0 {
		r.Stats.FloodWait.Add(int64(wait))
		r.full.Store(now.Add(wait).UnixMicro())
	}
	return wait, nil
}

// putBack lets a leased message wait, and has the loop see for how long.
func (r *Runner) putBack(ctx context.Context, now time.Time, it store.Item, wait time.Duration) error {
	defer r.Wake()
	return r.store.Settle(ctx, it.ID, store.Settlement{Outcome: store.Pending, Until: now.Add(wait), Written: it.Written,
		At: now, Attempt: it.Attempt})
}
