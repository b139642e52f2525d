package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"iter"
	"time"

	"duskdawn/store"
)

const timerColumns = "ref, name, at, wall, zone, basis, body"

// scanTimer reads a timer behind the columns that first takes, and whose it is as
// written; one whose row cannot be read has no body, and is Damaged.
func (f form) scanTimer(rows *sql.Rows, first ...any) (m store.Timer, ref string, err error) {
	var at int64
	if err := rows.Scan(append(first, &ref, &m.Name, &at, &m.Wall, &m.Zone, &m.Basis, &m.Body)...); err != nil {
		return m, ref, err
	}
	m.At = store.FromMicros(at)
	if err = setRef(&m.Ref, ref); err == nil {
		m.Body, err = f.body(m.Body, m.Place())
	}
	if err != nil {
		m.Body, m.Damaged = nil, true
	}
	return m, ref, nil
}

// setTimers clears and sets an aggregate's timers.
func (t *tx) setTimers(key string, c store.Change) error {
	for _, name := range c.Clear {
		if err := t.clearTimer(key, name); err != nil {
			return err
		}
	}
	for _, m := range c.Set {
		if err := t.clearTimer(key, m.Name); err != nil {
			return err
		}
		at := store.Micros(m.At)
		if err := t.exec("INSERT INTO timer (ref, name, at) VALUES (?, ?, ?)", key, m.Name, at); err != nil {
			return err
		}
		if err := t.exec("INSERT INTO due ("+timerColumns+") VALUES (?, ?, ?, ?, ?, ?, ?)",
			key, m.Name, at, m.Wall, m.Zone, m.Basis, store.Wrap(m.Place(), m.Body)); err != nil {
			return err
		}
	}
	return nil
}

func (t *tx) clearTimer(key, name string) error {
	var at int64
	found, err := t.write("DELETE FROM timer WHERE ref = ? AND name = ? RETURNING at", []any{key, name}, &at)
	if err != nil || !found {
		return err
	}
	n, err := t.change("DELETE FROM due WHERE at = ? AND ref = ? AND name = ?", at, key, name)
	if err != nil || n > 0 {
		return err
	}
	return t.exec("DELETE FROM held WHERE ref = ? AND name = ?", key, name)
}

// claimable are the first n timers that may be claimed at ?1, as next and the
// columns of a timer; ?2 is n.
const claimable = `SELECT * FROM (
	SELECT * FROM (SELECT at AS next, ` + timerColumns + ` FROM due WHERE at <= ?1 ORDER BY at, ref, name LIMIT ?2)
	UNION ALL
	SELECT * FROM (SELECT until AS next, ` + timerColumns + ` FROM held WHERE until <= ?1 ORDER BY until, ref, name LIMIT ?2))
	ORDER BY next, ref, name LIMIT ?2`

// Claim returns timers that are due and holds them.
func (s *Store) Claim(ctx context.Context, now time.Time, n int, hold time.Duration) ([]store.Timer, error) {
	// Most passes find nothing: they cost a read and no sync.
	if next, err := s.Next(ctx); err != nil || next.IsZero() || next.After(now) || n <= 0 {
		return nil, err
	}
	var out []store.Timer
	err := s.writer.do(ctx, func(t *tx) (err error) {
		out, err = t.claim(now.UnixMicro(), store.Micros(now.Add(hold)), n)
		return err
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

func (t *tx) claim(now, until int64, n int) ([]store.Timer, error) {
	var out []store.Timer
	var next int64 // of the last one, with whom all before it go
	var ref string
	if err := t.all(claimable, []any{now, n}, func(rows *sql.Rows) error {
		m, whose, err := newest.scanTimer(rows, &next)
		out, ref = append(out, m), whose
		return err
	}); err != nil || len(out) == 0 {
		return nil, err
	}
	name := out[len(out)-1].Name
	for _, text := range []string{
		"UPDATE held SET until = ?1 WHERE (until, ref, name) <= (?2, ?3, ?4)",
		"INSERT INTO held (until, " + timerColumns + ") SELECT ?1, " + timerColumns + " FROM due WHERE (at, ref, name) <= (?2, ?3, ?4)",
		"DELETE FROM due WHERE (at, ref, name) <= (?2, ?3, ?4) AND ?1 = ?1",
	} {
		if err := t.exec(text, until, next, ref, name); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Next returns when the first timer is due.
func (s *Store) Next(ctx context.Context) (time.Time, error) {
	var next sql.NullInt64
	if err := s.one(ctx, `SELECT min(next) FROM (
		SELECT min(at) AS next FROM due UNION ALL SELECT min(until) FROM held)`, nil, &next); err != nil {
		return time.Time{}, fmt.Errorf("reading the next timer: %w", err)
	}
	if !next.Valid {
		return time.Time{}, nil
	}
	return store.FromMicros(max(next.Int64, 1)), nil
}

// Pending yields the timers of an aggregate by name.
func (s *Store) Pending(ctx context.Context, ref store.Ref) iter.Seq2[store.Timer, error] {
	return read(ctx, s, `SELECT `+timerColumns+` FROM timer JOIN due USING (ref, name, at) WHERE ref = ?1
		UNION ALL SELECT `+timerColumns+` FROM held WHERE ref = ?1 ORDER BY name`, []any{ref.String()},
		func(rows *sql.Rows) (store.Timer, error) {
			m, _, err := s.form.scanTimer(rows)
			if m.Damaged {
				err = store.ErrCorrupt
			}
			return m, err
		})
}
