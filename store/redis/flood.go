package redis

import (
	"context"
	"time"

	"duskdawn/store"

	"github.com/redis/go-redis/v9"
)

// Reserve asks the flood limiter: the arithmetic is done here, and counts if
// nobody else's came between.
func (s *Store) Reserve(ctx context.Context, now time.Time, queue string, group bool,
	lane store.Lane) (wait time.Duration, err error) {
	if lane == store.LaneEvent {
		return 0, s.usable(ctx)
	}
	err = s.swap(ctx, []string{"", queue}, func(b []store.Bucket) bool {
		wait, b[0], b[1] = store.Reserve(now, group, lane, b[0], b[1])
		return wait == 0
	})
	return wait, err
}

// Room asks the flood limiter, and counts nothing.
func (s *Store) Room(ctx context.Context, now time.Time, lane store.Lane) (n int, wait time.Duration, err error) {
	err = s.swap(ctx, []string{""}, func(b []store.Bucket) bool {
		n, wait = store.Room(now, lane, b[0])
		return false
	})
	return n, wait, err
}

// Granted returns when the newest message was granted.
func (s *Store) Granted(ctx context.Context) (at time.Time, err error) {
	err = s.swap(ctx, []string{""}, func(b []store.Bucket) bool {
		at = b[0].Newest()
		return false
	})
	return at, err
}

// HoldOff shuts a queue, or all, for a time.
func (s *Store) HoldOff(ctx context.Context, queue string, until time.Time) error {
	return s.swap(ctx, []string{queue}, func(b []store.Bucket) bool {
		b[0] = b[0].HoldOff(until)
		return true
	})
}

// swap reads buckets, changes them and writes them back if they are still the same.
func (s *Store) swap(ctx context.Context, queues []string, change func([]store.Bucket) bool) error {
	s.flood.Lock()
	defer s.flood.Unlock()
	for {
		var cmd *redis.SliceCmd
		if err := s.read(ctx, "reading the flood limiter",
			func(p redis.Pipeliner) { cmd = p.HMGet(ctx, floodPrefix+floodKey, queues...) }); err != nil {
			return err
		}
		buckets := make([]store.Bucket, len(queues))
		for i, raw := range cmd.Val() {
			buckets[i] = store.ReadBucket(queues[i], []byte(text(raw)))
		}
		if !change(buckets) {
			return nil
		}
		args := []any{token()}
		for i, raw := range cmd.Val() {
			fresh, err := buckets[i].Row(queues[i])
			if err != nil {
				return err
			}
			args = append(args, queues[i], text(raw), fresh)
		}
		reply, err := s.run(ctx, "asking the flood limiter", s.scripts.swap, floodPrefix, args...)
		if err != nil || number(reply) == 1 {
			return err
		}
	}
}

// usable reports whether the store may be used.
func (s *Store) usable(ctx context.Context) error {
	if s.closed.Load() {
		return store.ErrClosed
	}
	return ctx.Err()
}
