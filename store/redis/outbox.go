package redis

import (
	"context"
	"strconv"
	"time"

	"duskdawn/store"

	"github.com/redis/go-redis/v9"
)

const (
	lane    = 1 << 49   // the first score of the next lane; scores are lane and order
	noScore = 1<<53 - 1 // above every score
)

// backlog is what each shard may have to lease and to list, at most: an item
// that expires may free the one behind it, and one whose lease ran out may be too late.
type backlog struct {
	ready, late, wait [store.Shards]int
	allReady, allLate int
}

func (s *Store) backlog(ctx context.Context, now time.Time) (b backlog, err error) {
	at := strconv.FormatInt(now.UnixMicro(), 10)
	var cmds [store.Shards][4]*redis.IntCmd
	if err := s.read(ctx, "reading the outbox", func(p redis.Pipeliner) {
		for i := range cmds {
			k := prefix(i)
			cmds[i] = [4]*redis.IntCmd{p.ZCard(ctx, k+"go"), p.ZCount(ctx, k+"wait", "-inf", at),
				p.ZCount(ctx, k+"late", "-inf", "("+at), p.ZCount(ctx, k+"told", "-inf", at)}
		}
	}); err != nil {
		return b, err
	}
	for i, c := range cmds {
		b.wait[i] = int(c[1].Val())
		b.ready[i] = int(c[0].Val() + c[1].Val() + c[2].Val())
		b.late[i] = int(c[1].Val() + c[2].Val() + c[3].Val())
		b.allReady += b.ready[i]
		b.allLate += b.late[i]
	}
	return b, nil
}

// Ready returns when Lease could return something.
func (s *Store) Ready(ctx context.Context, most store.Lane) (time.Time, error) {
	top := strconv.FormatInt((int64(most)+1)*lane-1, 10)
	var ready [store.Shards]*redis.IntCmd
	var wait [store.Shards]*redis.ZSliceCmd
	if err := s.read(ctx, "reading the outbox", func(p redis.Pipeliner) {
		for i := range store.Shards {
			ready[i] = p.ZCount(ctx, prefix(i)+"go", "-inf", top)
			wait[i] = p.ZRangeWithScores(ctx, prefix(i)+"wait", 0, 0)
		}
	}); err != nil {
		return time.Time{}, err
	}
	next := int64(noScore)
	for i := range store.Shards {
		if ready[i].Val() > 0 {
			next = 1
		}
		if w := wait[i].Val(); len(w) > 0 {
			next = min(next, int64(w[0].Score))
		}
	}
	l := &lease{n: 1, most: most}
	for set, more := range map[string]int64{"late": 1, "told": 0} {
		first, err := s.overdue(ctx, l, set, "+inf")
		if err != nil {
			return time.Time{}, err
		}
		if len(first) > 0 {
			next = min(next, int64(first[0].score)+more)
		}
	}
	if next == noScore {
		return time.Time{}, nil
	}
	return store.FromMicros(max(next, 1)), nil
}
