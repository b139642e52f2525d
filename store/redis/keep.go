package redis

import (
	"context"
	"fmt"
	"iter"
	"slices"
	"strconv"
	"time"

	"duskdawn/store"

	"github.com/redis/go-redis/v9"
)

// Lead takes, renews or gives up a lease by the server's clock.
func (s *Store) Lead(ctx context.Context, what, who string, ttl time.Duration) (bool, error) {
	ms := int64(0)
	if ttl > 0 {
		ms = max(ttl.Milliseconds(), 1)
	}
	reply, err := s.run(ctx, "leading", s.scripts.lead, allPrefix, what, who, ms, token())
	return number(reply) == 1, err
}

// purgeStep is how much is forgotten in one script, so that others pass between.
const purgeStep = 500

// Purge forgets what is older than before.
func (s *Store) Purge(ctx context.Context, before time.Time) error {
	for shard := range store.Shards {
		p := prefix(shard)
		for {
			reply, err := s.run(ctx, "purging the outbox", s.scripts.purge, p, store.Micros(before), purgeStep)
			if err != nil {
				return err
			}
			if number(reply) < purgeStep {
				break
			}
		}
		if err := s.scan(ctx, p+seenKey, func(_, value string) bool {
			at, err := strconv.ParseInt(value[min(len(value), len(token())):], 10, 64)
			return err == nil && at < store.Micros(before)
		}); err != nil {
			return err
		}
	}
	return s.scan(ctx, floodPrefix+floodKey, func(queue, value string) bool {
		return store.ReadBucket(queue, []byte(value)).Idle(before)
	})
}

// scan goes through a hash and deletes the fields that old says are.
func (s *Store) scan(ctx context.Context, key string, old func(field, value string) bool) error {
	for cursor := uint64(0); ; {
		var cmd *redis.ScanCmd
		if err := s.read(ctx, "purging", func(p redis.Pipeliner) {
			cmd = p.HScan(ctx, key, cursor, "",
				purgeStep)
		}); err != nil {
			return err
		}
		fields, next := cmd.Val()
		var gone []string
		for i := 0; i+1 < len(fields); i += 2 {
			if old(fields[i], fields[i+1]) {
				gone = append(gone, fields[i])
			}
		}
		if len(gone) > 0 {
			if err := s.read(ctx, "purging", func(p redis.Pipeliner) { p.HDel(ctx, key, gone...) }); err != nil {
				return err
			}
		}
		if cursor = next; cursor == 0 {
			return nil
		}
	}
}

// SetAside keeps an update that cannot be handled.
func (s *Store) SetAside(ctx context.Context, id, class string, raw []byte, at time.Time) error {
	blob, err := enclosed(asideForm{id, class, raw, store.Micros(at)}, store.RowAside, id)
	if err != nil {
		return err
	}
	const what = "setting an update aside"
	if s.looks {
		return fmt.Errorf("%s: %w", what, errLook)
	}
	put := func(p redis.Pipeliner) { p.HSetNX(ctx, allPrefix+"aside", id, blob) }
	if s.replicas == 0 {
		return s.read(ctx, what, put)
	}
	return s.retry(ctx, what, func() error { return s.confirmed(ctx, allPrefix, put) })
}

// Asides yields what was set aside.
func (s *Store) Asides(ctx context.Context) iter.Seq2[store.Aside, error] {
	return func(yield func(store.Aside, error) bool) {
		var cmd *redis.MapStringStringCmd
		if err := s.read(ctx, "reading what was set aside",
			func(p redis.Pipeliner) { cmd = p.HGetAll(ctx, allPrefix+"aside") }); err != nil {
			yield(store.Aside{}, err)
			return
		}
		var out []store.Aside
		for id, b := range cmd.Val() {
			a, err := s.form.decodeAside(id, []byte(b))
			if err != nil {
				yield(store.Aside{}, fmt.Errorf("reading what was set aside: %w", err))
				return
			}
			out = append(out, a)
		}
		slices.SortFunc(out, store.Aside.Compare)
		for _, a := range out {
			if !yield(a, nil) {
				return
			}
		}
	}
}

// Time is the clock of the server that keeps what all share: every process sees the same.
func (s *Store) Time(ctx context.Context) (time.Time, error) {
	var reply *redis.Cmd
	if err := s.read(ctx, "reading the server's clock", func(p redis.Pipeliner) {
		reply = p.Eval(ctx, "return redis.call('TIME')", []string{allPrefix + "meta"})
	}); err != nil {
		return time.Time{}, err
	}
	parts, err := reply.Int64Slice()
	if err != nil || len(parts) != 2 {
		return time.Time{}, fmt.Errorf("reading the server's clock: %w", store.ErrCorrupt)
	}
	return time.Unix(parts[0], parts[1]*1000), nil
}
