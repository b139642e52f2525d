package memory

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
	"time"

	"duskdawn/store"
)

// item is a stored item. held is the end of its lease, 0 where it has none;
// what is Expired and held waits for its owner to be told.
type item struct {
	store.Item
	line      *line
	held      int64
	leased    bool  // it was and is not settled: also after the lease ran out
	since     int64 // the end of the hold under which it was listed as Expired
	withdrawn bool
	done      bool // settled, at that instant
	settled   int64
}

// late reports whether the item is too late to go out.
func (it *item) late(at int64) bool {
	end := store.Micros(it.NotAfter)
	return it.State == store.Expired || end != 0 && end < at
}

// line is what one aggregate orders for one queue: what waits of each lane, in
// order, and the one that is out.
type line struct {
	lanes [store.LaneAll + 1][]*item
	out   *item
}

// first reports whether the item is the oldest of its lane that may go out.
func (l *line) first(it *item) bool {
	for _, o := range l.lanes[it.Lane] {
		if o.State == store.Pending && !o.withdrawn {
			return o == it
		}
	}
	return false
}

// outbox has every item by its id, and in lanes, in order, those that wait.
type outbox struct {
	items map[string]*item
	lanes [store.LaneAll + 1][]*item
	lines map[store.Ref]map[string]*line
	held  map[*item]struct{}
	seq   int64
	ends  int64 // nothing that waits is too late before then
}

func (b *outbox) add(it store.Item) {
	if b.items[it.ID] != nil {
		return
	}
	b.seq++
	it.Seq = b.seq
	l := b.lines[it.Ref][it.Queue]
	if l == nil {
		l = &line{}
		if b.lines[it.Ref] == nil {
			b.lines[it.Ref] = map[string]*line{}
		}
		b.lines[it.Ref][it.Queue] = l
	}
	it.Body = store.Wrap(it.Place(), it.Body)
	kept := &item{Item: it, line: l}
	b.items[it.ID] = kept
	b.lanes[it.Lane] = append(b.lanes[it.Lane], kept)
	l.lanes[it.Lane] = append(l.lanes[it.Lane], kept)
	if end := store.Micros(it.NotAfter); end != 0 {
		b.ends = min(b.ends, end)
	}
}

// hold and release begin and end a lease.
func (b *outbox) hold(it *item, until int64) {
	it.held, it.leased = until, true
	b.held[it] = struct{}{}
	if it.State == store.Pending {
		it.line.out = it
	}
}

func (b *outbox) release(it *item) {
	it.held = 0
	delete(b.held, it)
	if it.line.out == it {
		it.line.out = nil
	}
}

// free gives the ids of what a change may hand over: where nothing waits in the line.
func (b *outbox) free(c store.Change, ref store.Ref, at time.Time) (ids []string) {
	for _, i := range c.Eligible(at) {
		it := c.Out[i]
		waits := b.items[it.ID] != nil
		if l := b.lines[ref][it.Queue]; l != nil {
			for _, lane := range l.lanes {
				waits = waits || slices.ContainsFunc(lane, func(o *item) bool { return o.State == store.Pending })
			}
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
	b.hold(it, store.Micros(store.FromMicros(at).Add(hold)))
	it.Attempt++
	return copyItem(it)
}

// settle ends an item's time in the outbox.
func (b *outbox) settle(it *item, as store.Outcome, at int64) {
	b.release(it)
	it.State, it.leased, it.done, it.settled = as, false, true, at
	b.lanes[it.Lane] = without(b.lanes[it.Lane], it)
	it.line.lanes[it.Lane] = without(it.line.lanes[it.Lane], it)
	for _, lane := range it.line.lanes {
		if len(lane) > 0 {
			return
		}
	}
	if delete(b.lines[it.Ref], it.Queue); len(b.lines[it.Ref]) == 0 {
		delete(b.lines, it.Ref)
	}
}

// without takes an item out of a list that is in order.
func without(in []*item, it *item) []*item {
	i, found := slices.BinarySearchFunc(in, it.Seq, func(o *item, seq int64) int { return cmp.Compare(o.Seq, seq) })
	if !found {
		return in
	}
	return slices.Delete(in, i, i+1)
}

func (b *outbox) withdraw(ref store.Ref, key string, at int64) {
	for _, l := range b.lines[ref] {
		for _, lane := range l.lanes {
			for _, it := range slices.Clone(lane) {
				switch {
				case it.Key != key || it.State != store.Pending:
				case it.held != 0:
					it.withdrawn = true
				default:
					b.settle(it, store.Cancelled, at)
				}
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

// late gives the first n that are too late to go out: the longest overdue
// first, and last those that were listed before.
func (b *outbox) late(most store.Lane, at int64, n int) []*item {
	if at <= b.ends {
		return nil
	}
	var out []*item
	b.ends = math.MaxInt64
	for it := range b.waiting(store.LaneAll) {
		if it.held == 0 && it.Lane <= most && it.late(at) {
			out = append(out, it)
		}
		if end := store.Micros(it.NotAfter); end != 0 {
			b.ends = min(b.ends, end)
		} else if it.State == store.Expired { // it cannot be read
			b.ends = 0
		}
	}
	slices.SortFunc(out, func(a, b *item) int {
		if a.since != 0 && a.since == b.since { // listed together before
			return cmp.Or(cmp.Compare(a.Lane, b.Lane), cmp.Compare(a.ID, b.ID))
		}
		return cmp.Or(cmp.Compare(a.since, b.since), a.NotAfter.Compare(b.NotAfter), cmp.Compare(a.Lane, b.Lane),
			cmp.Compare(a.ID, b.ID))
	})
	return out[:min(n, len(out))]
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
		s.aggregates[it.Ref].note(it.Ref, []store.Record{it.Shown(t)})
	}
	at := store.Micros(t.At)
	switch {
	case it.State == store.Expired:
		s.box.settle(it, store.Expired, at)
	case t.Outcome == store.Pending && it.withdrawn:
		it.Written = t.Written
		s.box.settle(it, store.Cancelled, at)
	case t.Outcome == store.Pending:
		s.box.release(it)
		it.leased, it.Written, it.NotBefore = false, t.Written, store.FromMicros(store.Micros(t.Until))
	default:
		it.Written = it.Written || t.Written
		it.Message = t.Message
		s.box.settle(it, t.Outcome, at)
	}
	return nil
}

// Reserve asks the flood limiter.
func (s *Store) Reserve(ctx context.Context, now time.Time, queue string, group bool, lane store.Lane) (time.Duration,
	error) {
	if err := s.enter(ctx); err != nil {
		return 0, err
	}
	defer s.mu.Unlock()
	wait, all, own := store.Reserve(now, group, lane, s.bucket(""), s.bucket(queue))
	if wait > 0 {
		return wait, nil
	}
	return 0, errors.Join(s.keepBucket("", all), s.keepBucket(queue, own))
}

// bucket reads what the flood limiter remembers of a queue.
func (s *Store) bucket(queue string) store.Bucket {
	if row := s.buckets[queue]; row != nil {
		return store.ReadBucket(queue, *row)
	}
	return store.Bucket{}
}

func (s *Store) keepBucket(queue string, b store.Bucket) error {
	row, err := b.Row(queue)
	s.buckets[queue] = &row
	return err
}

// Room asks the flood limiter, and counts nothing.
func (s *Store) Room(ctx context.Context, now time.Time, lane store.Lane) (int, time.Duration, error) {
	if err := s.enter(ctx); err != nil {
		return 0, 0, err
	}
	defer s.mu.Unlock()
	n, wait := store.Room(now, lane, s.bucket(""))
	return n, wait, nil
}

// Granted returns when the newest message was granted.
func (s *Store) Granted(ctx context.Context) (time.Time, error) {
	if err := s.enter(ctx); err != nil {
		return time.Time{}, err
	}
	defer s.mu.Unlock()
	return s.bucket("").Newest(), nil
}

// HoldOff shuts a queue, or all, for a time.
func (s *Store) HoldOff(ctx context.Context, queue string, until time.Time) error {
	if err := s.enter(ctx); err != nil {
		return err
	}
	defer s.mu.Unlock()
	return s.keepBucket(queue, s.bucket(queue).HoldOff(until))
}

// copyItem gives an item with its body out of the envelope, Damaged where that cannot be read.
func copyItem(it *item) store.Item {
	out := it.Item
	body, err := store.Unwrap(it.Place(), it.Body)
	out.Body, out.Damaged = bytes.Clone(body), err != nil
	return out
}
