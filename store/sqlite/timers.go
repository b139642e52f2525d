package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"iter"
	"time"

	"duskdawn/store"
)

const timerColumns = "t.ref, t.name, t.at, t.wall, t.zone, t.basis, t.body"

func scanTimer(rows *sql.Rows) (store.Timer, error) {
	var m store.Timer
	var ref string
	var at int64
	if err := rows.Scan(&ref, &m.Name, &at, &m.Wall, &m.Zone, &m.Basis, &m.Body); err != nil {
		return m, err
	}
	m.At, m.Body = store.FromMicros(at), body(m.Body)
	return m, setRef(&m.Ref, ref)
}

// Claim returns timers that are due and holds them, in two statements however many they are.
func (s *Store) Claim(ctx context.Context, now time.Time, n int, hold time.Duration) ([]store.Timer, error) {
	var out []store.Timer
	// Most passes find nothing: they cost a read and no sync.
	if next, err := s.Next(ctx); err != nil || next.IsZero() || next.After(now) || n <= 0 {
		return nil, err
	}
	err := s.writer.do(ctx, func(t *tx) error {
		out = nil
		at, until := now.UnixMicro(), store.Micros(now.Add(hold))
		if err := t.all(`SELECT `+timerColumns+` FROM (SELECT next, ref, name FROM due WHERE next <= ? ORDER BY next, ref, name LIMIT ?) d
			CROSS JOIN timer t ON t.ref = d.ref AND t.name = d.name ORDER BY d.next, d.ref, d.name`, []any{at, n}, func(rows *sql.Rows) error {
			m, err := scanTimer(rows)
			out = append(out, m)
			return err
		}); err != nil {
			return err
		}
		return t.exec(`UPDATE due SET next = ? WHERE (next, ref, name) IN
			(SELECT next, ref, name FROM due WHERE next <= ? ORDER BY next, ref, name LIMIT ?)`, until, at, n)
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// Next returns when the first timer is due.
func (s *Store) Next(ctx context.Context) (time.Time, error) {
	if err := s.alive(ctx); err != nil {
		return time.Time{}, err
	}
	var next int64
	err := s.reads.QueryRowContext(ctx, "SELECT next FROM due ORDER BY next LIMIT 1").Scan(&next)
	if errors.Is(err, sql.ErrNoRows) {
		return time.Time{}, nil
	}
	if err != nil {
		return time.Time{}, fmt.Errorf("reading the next timer: %w", err)
	}
	return store.FromMicros(next), nil
}

// Pending yields the timers of an aggregate by name.
func (s *Store) Pending(ctx context.Context, ref store.Ref) iter.Seq2[store.Timer, error] {
	return read(ctx, s, "SELECT "+timerColumns+" FROM timer t WHERE t.ref = ? ORDER BY t.name", []any{ref.String()}, scanTimer)
}
