package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"iter"
	"time"

	"duskdawn/store"
)

// Lead takes, renews or gives up a lease by the machine's clock.
func (s *Store) Lead(ctx context.Context, what, who string, ttl time.Duration) (ok bool, err error) {
	err = s.writer.do(ctx, func(t *tx) error {
		now := time.Now()
		if ttl <= 0 {
			n, err := t.change("DELETE FROM lead WHERE what = ? AND who = ? AND until > ?", what, who, now.UnixMicro())
			ok = n == 1
			return err
		}
		n, err := t.change(`INSERT INTO lead (what, who, until) VALUES (?1, ?2, ?3)
			ON CONFLICT (what) DO UPDATE SET who = ?2, until = ?3 WHERE who = ?2 OR until <= ?4`,
			what, who, now.Add(ttl).UnixMicro(), now.UnixMicro())
		ok = n == 1
		return err
	})
	return ok, err
}

// purgeStep is how many rows go in one transaction, so that updates pass between.
const purgeStep = 500

// Purge forgets what is older than before.
func (s *Store) Purge(ctx context.Context, before time.Time) error {
	at := store.Micros(before)
	var seq, last int64
	if err := s.alive(ctx); err != nil {
		return err
	}
	if err := s.reads.QueryRowContext(ctx, "SELECT ifnull(max(seq), 0) FROM outbox").Scan(&last); err != nil {
		return fmt.Errorf("purging the outbox: %w", err)
	}
	for ; seq < last; seq += purgeStep {
		if err := s.writer.do(ctx, func(t *tx) error {
			return t.exec("DELETE FROM outbox WHERE seq > ? AND seq <= ? AND state <> 0 AND held = 0 AND settled < ?", seq,
				seq+purgeStep, at)
		}); err != nil {
			return err
		}
	}
	for event, ref, more := "", "", true; more; {
		if err := s.writer.do(ctx, func(t *tx) error {
			nextEvent, nextRef := event, ref
			found, err := t.get("SELECT event, ref FROM seen WHERE (event, ref) > (?, ?) ORDER BY event, ref LIMIT 1 OFFSET ?",
				[]any{event, ref, purgeStep}, &nextEvent, &nextRef)
			if err != nil {
				return err
			}
			if more = found; !found {
				return t.exec("DELETE FROM seen WHERE (event, ref) > (?, ?) AND at < ?", event, ref, at)
			}
			if err := t.exec("DELETE FROM seen WHERE (event, ref) > (?, ?) AND (event, ref) <= (?, ?) AND at < ?",
				event, ref, nextEvent, nextRef, at); err != nil {
				return err
			}
			event, ref = nextEvent, nextRef
			return nil
		}); err != nil {
			return err
		}
	}
	return s.purgeFlood(ctx, before)
}

// purgeFlood forgets buckets that say nothing any more.
func (s *Store) purgeFlood(ctx context.Context, before time.Time) error {
	return s.writer.do(ctx, func(t *tx) error {
		var idle []string
		if err := t.all("SELECT queue, state FROM flood", nil, func(rows *sql.Rows) error {
			var queue string
			var raw []byte
			if err := rows.Scan(&queue, &raw); err != nil {
				return err
			}
			if store.ReadBucket(queue, raw).Idle(before) {
				idle = append(idle, queue)
			}
			return nil
		}); err != nil {
			return err
		}
		for _, queue := range idle {
			if err := t.exec("DELETE FROM flood WHERE queue = ?", queue); err != nil {
				return err
			}
		}
		return nil
	})
}

// SetAside keeps an update that cannot be handled.
func (s *Store) SetAside(ctx context.Context, id, class string, raw []byte, at time.Time) error {
	place := store.Aside{ID: id, Class: class, At: at}.Place()
	return s.writer.do(ctx, func(t *tx) error {
		return t.exec("INSERT INTO aside (id, class, raw, at) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING", id, class,
			store.Wrap(place, raw), store.Micros(at))
	})
}

// Asides yields what was set aside.
func (s *Store) Asides(ctx context.Context) iter.Seq2[store.Aside, error] {
	return read(ctx, s, "SELECT id, class, raw, at FROM aside ORDER BY at, id", nil, s.form.scanAside)
}

func (f form) scanAside(rows *sql.Rows) (a store.Aside, err error) {
	var at int64
	if err := rows.Scan(&a.ID, &a.Class, &a.Raw, &at); err != nil {
		return a, err
	}
	a.At = store.FromMicros(at)
	a.Raw, err = f.body(a.Raw, a.Place())
	return a, err
}
