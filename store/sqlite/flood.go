package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"duskdawn/store"
)

// bucket reads what the flood limiter remembers of a queue.
func (t *tx) bucket(queue string) (b store.Bucket, err error) {
	var raw []byte
	if _, err := t.get("SELECT state FROM flood WHERE queue = ?", []any{queue}, &raw); err != nil {
		return b, err
	}
	return store.ReadBucket(queue, raw), nil
}

func (t *tx) keepBucket(queue string, b store.Bucket) error {
	raw, err := b.Row(queue)
	if err != nil {
		return err
	}
	return t.exec("INSERT INTO flood (queue, state) VALUES (?, ?) ON CONFLICT (queue) DO UPDATE SET state = excluded.state", queue, raw)
}

// Reserve asks the flood limiter.
func (s *Store) Reserve(ctx context.Context, now time.Time, queue string, group bool,
	lane store.Lane) (wait time.Duration, err error) {
	if lane == store.LaneEvent {
		return 0, s.alive(ctx)
	}
	err = s.writer.do(ctx, func(t *tx) error {
		all, err := t.bucket("")
		if err != nil {
			return err
		}
		own, err := t.bucket(queue)
		if err != nil {
			return err
		}
		if wait, all, own = store.Reserve(now, group, lane, all, own); wait > 0 {
			return nil
		}
		if err := t.keepBucket("", all); err != nil {
			return err
		}
		return t.keepBucket(queue, own)
	})
	return wait, err
}

// Room asks the flood limiter, and counts nothing.
func (s *Store) Room(ctx context.Context, now time.Time, lane store.Lane) (int, time.Duration, error) {
	all, err := s.readAll(ctx)
	if err != nil {
		return 0, 0, err
	}
	n, wait := store.Room(now, lane, all)
	return n, wait, nil
}

// Granted returns when the newest message was granted.
func (s *Store) Granted(ctx context.Context) (time.Time, error) {
	all, err := s.readAll(ctx)
	return all.Newest(), err
}

// readAll reads the bucket of all.
func (s *Store) readAll(ctx context.Context) (all store.Bucket, err error) {
	if err := s.alive(ctx); err != nil {
		return all, err
	}
	var raw []byte
	if err := s.reads.QueryRowContext(ctx, "SELECT state FROM flood WHERE queue = ''").Scan(&raw); err != nil &&
		!errors.Is(err, sql.ErrNoRows) {
		return all, fmt.Errorf("reading the flood limiter: %w", err)
	}
	return store.ReadBucket("", raw), nil
}

// HoldOff shuts a queue, or all, for a time.
func (s *Store) HoldOff(ctx context.Context, queue string, until time.Time) error {
	return s.writer.do(ctx, func(t *tx) error {
		b, err := t.bucket(queue)
		if err != nil {
			return err
		}
		return t.keepBucket(queue, b.HoldOff(until))
	})
}
