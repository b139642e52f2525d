package memory

import (
	"context"
	"math"
	"time"

	"duskdawn/store"
)

// Lease returns what may go out and what is too late.
func (s *Store) Lease(ctx context.Context, now time.Time, n int, most store.Lane, hold time.Duration) (out,
	expired []store.Item, err error) {
	if err := s.enter(ctx); err != nil {
		return nil, nil, err
	}
	defer s.mu.Unlock()
	at, until := now.UnixMicro(), store.Micros(now.Add(hold))
	s.box.lapse(at)
	for _, it := range s.box.late(most, at, n) {
		it.State, it.since = store.Expired, until
		s.box.hold(it, until)
		expired = append(expired, copyItem(it))
	}
	out, damaged := s.box.take(at, until, n, store.LaneEvent, most)
	return out, append(expired, damaged...), nil
}

// LeaseBehind returns what may go out behind the replies.
func (s *Store) LeaseBehind(ctx context.Context, now time.Time, n int, most store.Lane,
	hold time.Duration) ([]store.Item, error) {
	if err := s.enter(ctx); err != nil {
		return nil, err
	}
	defer s.mu.Unlock()
	at := now.UnixMicro()
	s.box.lapse(at)
	until := store.Micros(now.Add(hold))
	out, damaged := s.box.take(at, until, n, store.LaneReply+1, most)
	for _, it := range damaged { // Lease lists it, as soon as it is asked
		s.box.release(s.box.items[it.ID])
	}
	return out, nil
}

// take leases the first n that may go, of the lanes from least to most. What cannot
// be read among them is Expired and held like what is too late.
func (b *outbox) take(at, until int64, n int, least, most store.Lane) (out, damaged []store.Item) {
	for it := range b.waiting(most) {
		if len(out) == n {
			break
		}
		if it.Lane < least || it.State != store.Pending || it.line.out != nil || !it.line.first(it) || it.late(at) ||
			store.Micros(it.NotBefore) > at {
			continue
		}
		if c := copyItem(it); c.Damaged {
			it.State, it.since, b.ends = store.Expired, until, 0
			b.hold(it, until)
			c.State = it.State
			damaged = append(damaged, c)
			continue
		}
		b.hold(it, until)
		it.Attempt++
		out = append(out, copyItem(it))
	}
	return out, damaged
}

// waiting yields what waits, by lane and then in order; nothing is settled meanwhile.
func (b *outbox) waiting(most store.Lane) func(func(*item) bool) {
	return func(yield func(*item) bool) {
		for lane := store.LaneEvent; lane <= most; lane++ {
			for _, it := range b.lanes[lane] {
				if !yield(it) {
					return
				}
			}
		}
	}
}

// lapse ends the leases that ran out.
func (b *outbox) lapse(at int64) {
	for it := range b.held {
		switch {
		case it.held > at:
		case it.withdrawn && it.State == store.Pending:
			b.settle(it, store.Cancelled, at)
		default:
			b.release(it)
		}
	}
}

// Ready returns when Lease could return something.
func (s *Store) Ready(ctx context.Context, most store.Lane) (time.Time, error) {
	if err := s.enter(ctx); err != nil {
		return time.Time{}, err
	}
	defer s.mu.Unlock()
	first := int64(math.MaxInt64)
	for it := range s.box.waiting(most) {
		if it.State == store.Expired {
			first = min(first, max(it.held, 1))
			continue
		}
		if it.held == 0 && !it.NotAfter.IsZero() {
			first = min(first, store.Micros(it.NotAfter)+1)
		}
		if it.line.first(it) {
			at := store.Micros(it.NotBefore)
			if it.line.out != nil {
				at = max(at, it.line.out.held)
			}
			first = min(first, max(at, 1))
		}
		if first <= 1 { // nothing is earlier
			break
		}
	}
	if first == math.MaxInt64 {
		return time.Time{}, nil
	}
	return time.UnixMicro(first).UTC(), nil
}

// Wrote notes that the request is about to be written.
func (s *Store) Wrote(ctx context.Context, id string) error {
	if err := s.enter(ctx); err != nil {
		return err
	}
	defer s.mu.Unlock()
	it := s.box.items[id]
	if it == nil || it.held == 0 || it.State != store.Pending {
		return store.ErrNotFound
	}
	it.Written = true
	return nil
}

// Waiting tells what waits.
func (s *Store) Waiting(ctx context.Context) (b store.Backlog, err error) {
	if err := s.enter(ctx); err != nil {
		return b, err
	}
	defer s.mu.Unlock()
	for it := range s.box.waiting(store.LaneAll) {
		if it.State == store.Pending {
			b.Add(it.Lane, 1, it.Ordered)
		}
	}
	return b, nil
}
