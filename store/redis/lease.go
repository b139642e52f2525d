package redis

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"duskdawn/store"

	"github.com/redis/go-redis/v9"
)

// lease is what one call of Lease asks for, and what it got.
type lease struct {
	now, until   int64
	n            int
	least, most  store.Lane
	out, expired []leased
}

// leased is an item as a script gave it, and since when it was listed as Expired before.
type leased struct {
	store.Item
	since int64
}

// Lease returns what may go out and what is too late. Where all shards together
// have no more than is asked for, each gives what it has; otherwise it is first
// looked which of them come first.
func (s *Store) Lease(ctx context.Context, now time.Time, n int, most store.Lane, hold time.Duration) (out,
	expired []store.Item, err error) {
	l := &lease{now: now.UnixMicro(), until: store.Micros(now.Add(hold)), n: n, most: most}
	if n <= 0 {
		return nil, nil, ctx.Err()
	}
	b, err := s.backlog(ctx, now)
	if err != nil || b.allReady+b.allLate == 0 {
		return nil, nil, err
	}
	if b.allReady <= n && b.allLate <= n {
		err = s.leaseFrom(ctx, l, b.late, b.ready, noScore)
	} else {
		err = s.leaseFirst(ctx, l, b)
	}
	if err == nil {
		err = s.spoil(ctx, l, l.until)
	}
	if err != nil {
		return nil, nil, err
	}
	return inOrder(s.held(ctx, l.out)), inOrder(l.expired), nil
}

// spoil moves what was leased and cannot be read to what is too late, so that its
// owner is told, held until then.
func (s *Store) spoil(ctx context.Context, l *lease, until int64) error {
	whole := l.out[:0]
	for _, it := range l.out {
		if !it.Damaged {
			whole = append(whole, it)
			continue
		}
		if _, err := s.run(ctx, "leasing what cannot be read", s.scripts.spoil, prefix(store.ShardOf(it.ID)), it.ID, until, l.now); err != nil {
			return err
		}
		it.State = store.Expired
		l.expired = append(l.expired, it)
	}
	l.out = whole
	return nil
}

// held leaves out what only a master knows to be leased: with that master the
// lease would be lost, and what was sent under it would be sent again. It comes
// back when its lease runs out. What is urgent goes out even so.
func (s *Store) held(ctx context.Context, items []leased) []leased {
	if s.replicas == 0 {
		return items
	}
	var known [store.Shards]bool
	var wg sync.WaitGroup
	asked := map[int]bool{}
	for _, it := range items {
		shard := it.Ref.Shard()
		if it.Lane <= store.LaneUrgent || asked[shard] {
			continue
		}
		asked[shard] = true
		wg.Go(func() { known[shard] = s.confirmed(ctx, prefix(shard), func(redis.Pipeliner) {}) == nil })
	}
	wg.Wait()
	return slices.DeleteFunc(items, func(it leased) bool { return it.Lane > store.LaneUrgent && !known[it.Ref.Shard()] })
}

// leaseFirst leases from more than was asked for, in order over all shards.
func (s *Store) leaseFirst(ctx context.Context, l *lease, b backlog) error {
	// First leases that ran out end, and what waited for its time may go.
	if err := s.leaseFrom(ctx, l, [store.Shards]int{}, b.wait, -1); err != nil {
		return err
	}
	if b.allLate > 0 {
		if err := s.listOverdue(ctx, l); err != nil {
			return err
		}
	}
	return s.takeFirst(ctx, l)
}

// LeaseBehind returns what may go out behind the replies.
func (s *Store) LeaseBehind(ctx context.Context, now time.Time, n int, most store.Lane,
	hold time.Duration) ([]store.Item, error) {
	l := &lease{now: now.UnixMicro(), until: store.Micros(now.Add(hold)), n: n, least: store.LaneReply + 1, most: most}
	if n <= 0 {
		return nil, ctx.Err()
	}
	b, err := s.backlog(ctx, now)
	if err != nil || b.allReady == 0 {
		return nil, err
	}
	if err := s.leaseFrom(ctx, l, [store.Shards]int{}, b.wait, -1); err != nil {
		return nil, err
	}
	if err := s.takeFirst(ctx, l); err != nil {
		return nil, err
	}
	if err := s.spoil(ctx, l, 1); err != nil { // Lease lists it, as soon as it is asked
		return nil, err
	}
	return inOrder(s.held(ctx, l.out)), nil
}

// takeFirst leases the first of those that may go, over all shards.
func (s *Store) takeFirst(ctx context.Context, l *lease) error {
	for len(l.out) < l.n {
		before := len(l.out)
		ready, last, err := s.front(ctx, l)
		if err != nil || last < 0 {
			return err
		}
		if err := s.leaseFrom(ctx, l, [store.Shards]int{}, ready, last); err != nil {
			return err
		}
		if len(l.out) > before {
			continue
		}
		// All in front are too late, and listed by the next call: look behind them.
		if ready, last, err = s.look(ctx, l); err != nil || last < 0 {
			return err
		}
		if err := s.leaseFrom(ctx, l, [store.Shards]int{}, ready, last); err != nil {
			return err
		}
	}
	return nil
}

// listOverdue lists those that are the longest overdue.
func (s *Store) listOverdue(ctx context.Context, l *lease) error {
	for _, set := range []struct{ name, most string }{{"late", "(" + strconv.FormatInt(l.now, 10)},
		{"told", strconv.FormatInt(l.now, 10)}} {
		places, err := s.overdue(ctx, l, set.name, set.most)
		if err != nil {
			return err
		}
		var late [store.Shards]int
		for shard, k := range perShard(places) {
			late[shard] = k
		}
		if err := s.leaseFrom(ctx, l, late, [store.Shards]int{}, -1); err != nil {
			return err
		}
	}
	return nil
}

// front reads which of all shards' items come first: how many of each shard,
// and the last one's score; -1 where there is none. It asks each shard for few,
// and answers as far as those reach.
func (s *Store) front(ctx context.Context, l *lease) (ready [store.Shards]int, last int64, err error) {
	room := l.n - len(l.out)
	ask := max(4, room/8)
	var cmds [store.Shards]*redis.ZSliceCmd
	if err := s.read(ctx, "reading the outbox", func(p redis.Pipeliner) {
		for i := range cmds {
			cmds[i] = p.ZRangeByScoreWithScores(ctx, prefix(i)+"go",
				&redis.ZRangeBy{Min: strconv.FormatInt(int64(l.least)*lane, 10), Max: strconv.FormatInt((int64(l.most)+1)*lane-1,
					10), Count: int64(ask)})
		}
	}); err != nil {
		return ready, -1, err
	}
	var places []place
	known := float64(noScore) // how far every shard's answer reaches
	for i, c := range cmds {
		for _, z := range c.Val() {
			places = append(places, place{shard: i, score: z.Score})
		}
		if n := len(c.Val()); n == ask {
			known = min(known, c.Val()[n-1].Score)
		}
	}
	ready, last = firstOf(places, room, known)
	return ready, last, nil
}

// firstOf counts the first places by shard, at most n and none above a score.
func firstOf(places []place, n int, most float64) (ready [store.Shards]int, last int64) {
	slices.SortFunc(places, func(a, b place) int {
		return cmp.Or(cmp.Compare(a.score, b.score),
			cmp.Compare(a.shard, b.shard))
	})
	last = -1
	for _, p := range places[:min(n, len(places))] {
		if p.score <= most {
			ready[p.shard]++
			last = int64(p.score)
		}
	}
	return ready, last
}

// look finds which of all shards' items come first: how many of each shard, and
// the last one's score; -1 where there is none.
func (s *Store) look(ctx context.Context, l *lease) (ready [store.Shards]int, last int64, err error) {
	room := l.n - len(l.out)
	var calls []*call
	for i := range store.Shards {
		calls = append(calls, &call{script: s.scripts.lease, prefix: prefix(i),
			args: []any{token(), l.now, l.until, int(l.most), 0, room, int64(noScore), 1, int(l.least)}})
	}
	if err := s.runAll(ctx, "reading the outbox", calls); err != nil {
		return ready, -1, err
	}
	var places []place
	for i, c := range calls {
		both, err := list(c.reply)
		if err != nil || len(both) != 2 {
			return ready, -1, fmt.Errorf("reading the outbox: %w", store.ErrCorrupt)
		}
		scores, err := list(both[1])
		if err != nil {
			return ready, -1, err
		}
		for _, score := range scores {
			places = append(places, place{shard: i, score: float64(number(score))})
		}
	}
	ready, last = firstOf(places, room, noScore)
	return ready, last, nil
}

// overdue gives the first of those that are too late, in the lanes asked for.
func (s *Store) overdue(ctx context.Context, l *lease, set, most string) ([]place, error) {
	room := l.n - len(l.expired)
	if room <= 0 {
		return nil, nil
	}
	for ask := room; ; ask *= 4 {
		places, err := s.first(ctx, "reading what is too late", set, most, ask)
		if err != nil {
			return nil, err
		}
		var fit []place
		for _, p := range places {
			if p.member[0] <= byte('0'+l.most) && len(fit) < room {
				fit = append(fit, p)
			}
		}
		if len(fit) == room || len(places) < ask {
			return fit, nil
		}
	}
}

// leaseFrom runs the script in every shard that has something to give.
func (s *Store) leaseFrom(ctx context.Context, l *lease, late, ready [store.Shards]int, last int64) error {
	var calls []*call
	for i := range store.Shards {
		if late[i]+ready[i] > 0 {
			calls = append(calls, &call{script: s.scripts.lease, prefix: prefix(i),
				args: []any{token(), l.now, l.until, int(l.most), late[i], ready[i], last, 0, int(l.least)}})
		}
	}
	if err := s.runAll(ctx, "leasing", calls); err != nil {
		return err
	}
	for _, c := range calls {
		both, err := list(c.reply)
		if err != nil || len(both) != 2 {
			return fmt.Errorf("leasing: %w", store.ErrCorrupt)
		}
		if l.expired, err = s.form.readItems(l.expired, both[0], store.Expired); err != nil {
			return err
		}
		if l.out, err = s.form.readItems(l.out, both[1], store.Pending); err != nil {
			return err
		}
	}
	return nil
}

// readItems reads items from a script's answer. One whose row cannot be read is
// Damaged, and has what the script knows of it.
func (f form) readItems(into []leased, reply any, state store.Outcome) ([]leased, error) {
	rows, err := list(reply)
	if err != nil {
		return nil, err
	}
	for _, r := range rows {
		v, err := list(r)
		if err != nil || len(v) != 10 {
			return nil, fmt.Errorf("reading an item: %w", store.ErrCorrupt)
		}
		id := text(v[6])
		it, err := f.decodeItem(id, []byte(text(v[1])))
		if err != nil {
			it = store.Item{ID: id, Lane: store.Lane(number(v[7])), Damaged: true}
			ref, queue, _ := strings.Cut(text(v[8]), "\x00")
			it.Ref, _ = store.ParseRef(ref) // none where that is damaged too
			_, it.Key, _ = strings.Cut(text(v[9]), "\x00")
			it.Queue = queue
		}
		it.State, it.Seq, it.Attempt, it.Written = state, number(v[2]), int(number(v[3])), text(v[4]) == "1"
		it.NotBefore = store.FromMicros(number(v[5]))
		into = append(into, leased{it, number(v[0])})
	}
	return into, nil
}
