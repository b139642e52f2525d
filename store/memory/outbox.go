package memory

import (
	"bytes"
	"cmp"
	"context"
	"slices"
	"time"

	"duskdawn/store"
)

// item is a stored item. held is the end of its lease, 0 where it has none;
// what is Expired and held waits for its owner to be told.
type item struct {
	store.Item
	held      int64
	leased    bool  // it was and is not settled: also after the lease ran out
	since     int64 // the end of the hold under which it was listed as Expired
	withdrawn bool
	done      bool // settled, at that instant
	settled   int64
}

// late tells whether the item is too late to go out.
func (it *item) late(at int64) bool {
	end := store.Micros(it.NotAfter)
	return it.State == store.Expired || end != 0 && end < at
}

// outbox has every item by its id, and in lanes, in order, those that wait.
type outbox struct {
	items map[string]*item
	lanes [store.LaneAll + 1][]*item
	seq   int64
}

func (b *outbox) add(it store.Item) {
	if b.items[it.ID] != nil {
		return
	}
	b.seq++
	it.Seq = b.seq
	kept := &item{Item: it}
	b.items[it.ID] = kept
	b.lanes[it.Lane] = append(b.lanes[it.Lane], kept)
}

// free gives the ids of what a change may hand over: where nothing waits in the line.
func (b *outbox) free(c store.Change, ref store.Ref, at time.Time) (ids []string) {
	for _, i := range c.Eligible(at) {
		it := c.Out[i]
		waits := b.items[it.ID] != nil
		for o := range b.waiting(store.LaneAll) {
			waits = waits || o.Ref == ref && o.Queue == it.Queue && o.State == store.Pending
		}
		if !waits && len(ids) < c.Hand.N {
			ids = append(ids, it.ID)
		}
	}
	return ids
}

// hand leases one item and gives it.
func (b *outbox) hand(id string, at int64, hold time.Duration) store.Item {
	it := b.items[id]
	it.held, it.leased = store.Micros(store.FromMicros(at).Add(hold)), true
	it.Attempt++
	return copyItem(it)
}

// settle ends an item's time in the outbox.
func (b *outbox) settle(it *item, as store.Outcome, at int64) {
	it.State, it.held, it.leased, it.done, it.settled = as, 0, false, true, at
	lane := b.lanes[it.Lane]
	b.lanes[it.Lane] = slices.DeleteFunc(lane, func(o *item) bool { return o == it })
}

func (b *outbox) withdraw(ref store.Ref, key string, at int64) {
	for _, lane := range b.lanes {
		for _, it := range slices.Clone(lane) {
			if it.Ref != ref || it.Key != key || it.State != store.Pending {
				continue
			}
			if it.held != 0 {
				it.withdrawn = true
			} else {
				b.settle(it, store.Cancelled, at)
			}
		}
	}
}

func (b *outbox) purge(before int64) {
	for id, it := range b.items {
		if it.done && it.settled < before {
			delete(b.items, id)
		}
	}
}

// stream is what one aggregate orders for one queue.
type stream struct {
	ref   store.Ref
	queue string
}

// Lease returns what may go out and what is too late.
func (s *Store) Lease(ctx context.Context, now time.Time, n int, most store.Lane, hold time.Duration) (out, expired []store.Item, err error) {
	if err := s.enter(ctx); err != nil {
		return nil, nil, err
	}
	defer s.mu.Unlock()
	at, until := now.UnixMicro(), store.Micros(now.Add(hold))
	s.box.lapse(at)
	busy := map[stream]bool{}
	for it := range s.box.waiting(store.LaneAll) {
		if it.State == store.Pending && it.held != 0 {
			busy[stream{it.Ref, it.Queue}] = true
		}
	}
	for _, it := range s.box.late(most, at, n) {
		it.State, it.held, it.since, it.leased = store.Expired, until, until, true
		expired = append(expired, copyItem(it))
	}
	first := map[stream]store.Lane{} // lanes whose oldest item was met
	for it := range s.box.waiting(most) {
		line := stream{it.Ref, it.Queue}
		if it.State != store.Pending || len(out) == n {
			continue
		}
		if lane, ok := first[line]; busy[line] || ok && lane == it.Lane {
			continue
		}
		first[line] = it.Lane
		if it.late(at) || store.Micros(it.NotBefore) > at {
			continue
		}
		it.held, it.leased, busy[line] = until, true, true
		it.Attempt++
		out = append(out, copyItem(it))
	}
	return out, expired, nil
}

// waiting yields what waits, by lane and then in order.
func (b *outbox) waiting(most store.Lane) func(func(*item) bool) {
	return func(yield func(*item) bool) {
		for lane := store.LaneEvent; lane <= most; lane++ {
			for _, it := range slices.Clone(b.lanes[lane]) {
				if !yield(it) {
					return
				}
			}
		}
	}
}

// late gives the first n that are too late to go out: the longest overdue
// first, and last those that were listed before.
func (b *outbox) late(most store.Lane, at int64, n int) []*item {
	var out []*item
	for it := range b.waiting(most) {
		if it.held == 0 && it.late(at) {
			out = append(out, it)
		}
	}
	slices.SortFunc(out, func(a, b *item) int {
		if a.since != 0 && a.since == b.since { // listed together before
			return cmp.Or(cmp.Compare(a.Lane, b.Lane), cmp.Compare(a.ID, b.ID))
		}
		return cmp.Or(cmp.Compare(a.since, b.since), a.NotAfter.Compare(b.NotAfter), cmp.Compare(a.Lane, b.Lane), cmp.Compare(a.ID, b.ID))
	})
	return out[:min(n, len(out))]
}

// lapse ends the leases that ran out.
func (b *outbox) lapse(at int64) {
	for it := range b.waiting(store.LaneAll) {
		if it.held == 0 || it.held > at {
			continue
		}
		it.held = 0
		if it.withdrawn && it.State == store.Pending {
			b.settle(it, store.Cancelled, at)
		}
	}
}

// Ready returns when Lease could return something.
func (s *Store) Ready(ctx context.Context, most store.Lane) (time.Time, error) {
	if err := s.enter(ctx); err != nil {
		return time.Time{}, err
	}
	defer s.mu.Unlock()
	busy := map[stream]int64{}
	for it := range s.box.waiting(store.LaneAll) {
		if it.State == store.Pending && it.held != 0 {
			busy[stream{it.Ref, it.Queue}] = it.held
		}
	}
	var first time.Time
	consider := func(us int64) {
		if t := time.UnixMicro(us).UTC(); first.IsZero() || t.Before(first) {
			first = t
		}
	}
	met := map[stream]store.Lane{}
	for it := range s.box.waiting(most) {
		line := stream{it.Ref, it.Queue}
		switch {
		case it.State == store.Expired:
			consider(max(it.held, 1))
			continue
		case it.held == 0 && !it.NotAfter.IsZero():
			consider(store.Micros(it.NotAfter) + 1)
		}
		if lane, ok := met[line]; !it.withdrawn && (!ok || lane != it.Lane) {
			met[line] = it.Lane
			consider(max(store.Micros(it.NotBefore), busy[line], 1))
		}
	}
	return first, nil
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

// Settle ends a lease.
func (s *Store) Settle(ctx context.Context, id string, t store.Settlement) error {
	if err := s.enter(ctx); err != nil {
		return err
	}
	defer s.mu.Unlock()
	it := s.box.items[id]
	if it == nil || !it.leased || t.Attempt != 0 && t.Attempt != it.Attempt {
		return store.ErrNotFound
	}
	if t.Text != nil {
		s.aggregates[it.Ref].note([]store.Record{it.Shown(t)})
	}
	at := store.Micros(t.At)
	switch {
	case it.State == store.Expired:
		s.box.settle(it, store.Expired, at)
	case t.Outcome == store.Pending && it.withdrawn:
		it.Written = t.Written
		s.box.settle(it, store.Cancelled, at)
	case t.Outcome == store.Pending:
		it.held, it.leased, it.Written, it.NotBefore = 0, false, t.Written, store.FromMicros(store.Micros(t.Until))
	default:
		it.Written = it.Written || t.Written
		it.Message = t.Message
		s.box.settle(it, t.Outcome, at)
	}
	return nil
}

// Reserve asks the flood limiter.
func (s *Store) Reserve(ctx context.Context, now time.Time, queue string, group bool, lane store.Lane) (time.Duration, error) {
	if err := s.enter(ctx); err != nil {
		return 0, err
	}
	defer s.mu.Unlock()
	wait, all, own := store.Reserve(now, group, lane, s.buckets[""], s.buckets[queue])
	if wait == 0 {
		s.buckets[""], s.buckets[queue] = all, own
	}
	return wait, nil
}

// Room asks the flood limiter, and counts nothing.
func (s *Store) Room(ctx context.Context, now time.Time, lane store.Lane) (int, time.Duration, error) {
	if err := s.enter(ctx); err != nil {
		return 0, 0, err
	}
	defer s.mu.Unlock()
	n, wait := store.Room(now, lane, s.buckets[""])
	return n, wait, nil
}

// HoldOff shuts a queue, or all, for a time.
func (s *Store) HoldOff(ctx context.Context, queue string, until time.Time) error {
	if err := s.enter(ctx); err != nil {
		return err
	}
	defer s.mu.Unlock()
	s.buckets[queue] = s.buckets[queue].HoldOff(until)
	return nil
}

func copyItem(it *item) store.Item {
	out := it.Item
	out.Body = bytes.Clone(out.Body)
	return out
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
