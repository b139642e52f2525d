package redis

import (
	"cmp"
	"context"
	"fmt"
	"iter"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"duskdawn/store"

	"github.com/redis/go-redis/v9"
)

// place is a member of a shard's sorted set.
type place struct {
	shard  int
	score  float64 // whole, below 2^53
	member string
}

// first reads up to n places of each shard, up to a score, and gives the n first of all.
func (s *Store) first(ctx context.Context, what, set, most string, n int) ([]place, error) {
	cmds := make([]*redis.ZSliceCmd, store.Shards)
	if err := s.read(ctx, what, func(p redis.Pipeliner) {
		for i := range cmds {
			cmds[i] = p.ZRangeByScoreWithScores(ctx, prefix(i)+set, &redis.ZRangeBy{Min: "-inf", Max: most, Count: int64(n)})
		}
	}); err != nil {
		return nil, err
	}
	var out []place
	for i, c := range cmds {
		for _, z := range c.Val() {
			out = append(out, place{i, z.Score, z.Member.(string)})
		}
	}
	slices.SortFunc(out, func(a, b place) int {
		return cmp.Or(cmp.Compare(a.score, b.score),
			cmp.Compare(a.member, b.member))
	})
	return out[:min(n, len(out))], nil
}

// perShard counts places by shard.
func perShard(places []place) map[int]int {
	out := map[int]int{}
	for _, p := range places {
		out[p.shard]++
	}
	return out
}

// Claim looks which timers of all shards are due first and claims as many in each.
func (s *Store) Claim(ctx context.Context, now time.Time, n int, hold time.Duration) ([]store.Timer, error) {
	if n <= 0 {
		return nil, ctx.Err()
	}
	due, err := s.first(ctx, "reading due timers", "due", strconv.FormatInt(now.UnixMicro(), 10), n)
	if err != nil {
		return nil, err
	}
	order := map[string]int{}
	for i, d := range due {
		order[d.member] = i
	}
	var calls []*call
	for shard, k := range perShard(due) {
		calls = append(calls, &call{script: s.scripts.claim, prefix: prefix(shard),
			args: []any{token(), now.UnixMicro(), store.Micros(now.Add(hold)), k}})
	}
	if err := s.runAll(ctx, "claiming timers", calls); err != nil {
		return nil, err
	}
	var out []store.Timer
	for _, c := range calls {
		pairs, err := list(c.reply)
		if err != nil {
			return nil, err
		}
		for i := 0; i+1 < len(pairs); i += 2 {
			ref, name, _ := strings.Cut(text(pairs[i]), "\x00")
			t, err := s.form.decodeTimer(ref, name, []byte(text(pairs[i+1])))
			t.Damaged = err != nil
			out = append(out, t)
		}
	}
	slices.SortFunc(out, func(a, b store.Timer) int {
		return cmp.Compare(order[a.Ref.String()+"\x00"+a.Name], order[b.Ref.String()+"\x00"+b.Name])
	})
	return out, nil
}

// Next returns when the first timer of all shards is due.
func (s *Store) Next(ctx context.Context) (time.Time, error) {
	first, err := s.first(ctx, "reading the next timer", "due", "+inf", 1)
	if err != nil || len(first) == 0 {
		return time.Time{}, err
	}
	return store.FromMicros(max(int64(first[0].score), 1)), nil
}

// Pending yields the timers of an aggregate by name.
func (s *Store) Pending(ctx context.Context, ref store.Ref) iter.Seq2[store.Timer, error] {
	return func(yield func(store.Timer, error) bool) {
		var all *redis.MapStringStringCmd
		if err := s.read(ctx, "reading timers", func(p redis.Pipeliner) {
			all = p.HGetAll(ctx, prefix(ref.Shard())+"timers:"+ref.String())
		}); err != nil {
			yield(store.Timer{}, err)
			return
		}
		blobs := all.Val()
		for _, name := range slices.Sorted(maps.Keys(blobs)) {
			t, err := s.form.decodeTimer(ref.String(), name, []byte(blobs[name]))
			if !yield(t, err) || err != nil {
				return
			}
		}
	}
}

// list reads a script's answer that is a list.
func list(reply any) ([]any, error) {
	if l, ok := reply.([]any); ok {
		return l, nil
	}
	return nil, fmt.Errorf("a script answered %T: %w", reply, store.ErrCorrupt)
}

func text(v any) string {
	s, _ := v.(string)
	return s
}

func number(v any) int64 {
	if n, ok := v.(int64); ok {
		return n
	}
	n, _ := strconv.ParseInt(text(v), 10, 64)
	return n
}
