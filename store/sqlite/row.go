package sqlite

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"iter"

	"duskdawn/store"

	"modernc.org/sqlite"
)

// form is a version of the schema, as the rows of a file are stored.
type form int

const (
	enveloped form = 3 // from here on bodies lie in envelopes
	flooded   form = 4 // and the flood limiter's too
	newest    form = 4
)

// formOf reads which form a file has.
func formOf(ctx context.Context, db interface {
	QueryRowContext(context.Context, string, ...any) *sql.Row
}) (f form, err error) {
	err = db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&f)
	return f, err
}

// body gives a column's blob as callers know it.
func (f form) body(raw, place []byte) ([]byte, error) {
	if f >= enveloped {
		return store.Unwrap(place, raw)
	}
	if len(raw) == 0 {
		return nil, nil
	}
	return raw, nil
}

// The engine learns to wrap, for the step of the schema that brings envelopes:
// envelope(body, kind, parts...).
func init() {
	sqlite.MustRegisterScalarFunction("envelope", -1, func(_ *sqlite.FunctionContext, args []driver.Value) (driver.Value, error) {
		if len(args) < 2 {
			return nil, errors.New("envelope wants a body and a kind")
		}
		body, ok := args[0].([]byte)
		kind, named := args[1].(string)
		if !named || !ok && args[0] != nil {
			return nil, fmt.Errorf("envelope of %T and %T", args[0], args[1])
		}
		parts := make([]any, 0, len(args)-2)
		for _, a := range args[2:] {
			parts = append(parts, any(a))
		}
		return store.Wrap(store.Place(kind, parts...), body), nil
	})
}

// Damaged yields the rows that are not as they were stored.
func (s *Store) Damaged(ctx context.Context) iter.Seq2[string, error] {
	return func(yield func(string, error) bool) {
		if s.form < enveloped { // nothing would show it
			return
		}
		for _, rows := range []iter.Seq2[string, error]{
			read(ctx, s, "SELECT value FROM meta WHERE key = 'secret'", nil, func(rows *sql.Rows) (string, error) {
				var raw []byte
				err := rows.Scan(&raw)
				_, bad := s.form.body(raw, store.Place(store.RowSecret))
				return called(err, bad, store.RowSecret)
			}),
			read(ctx, s, "SELECT ref, rev, body FROM aggregate", nil, func(rows *sql.Rows) (string, error) {
				var ref string
				var rev int64
				var raw []byte
				err := rows.Scan(&ref, &rev, &raw)
				_, bad := s.form.body(raw, store.BodyPlace(ref, rev))
				return called(err, bad, store.RowBody, ref)
			}),
			read(ctx, s, "SELECT ref, "+rowColumns+" FROM diary", nil, func(rows *sql.Rows) (string, error) {
				r, ref, bad := s.form.scanRow(rows)
				return called(nil, bad, store.RowDiary, ref, r.Night, r.Rev)
			}),
			read(ctx, s, "SELECT ref, "+recordColumns+" FROM journal", nil, func(rows *sql.Rows) (string, error) {
				r, ref, bad := s.form.scanRecord(rows)
				return called(nil, bad, store.RowJournal, ref, r.Seq)
			}),
			read(ctx, s, "SELECT "+timerColumns+" FROM due UNION ALL SELECT "+timerColumns+" FROM held", nil,
				func(rows *sql.Rows) (string, error) {
					m, ref, err := s.form.scanTimer(rows)
					return called(err, damage(m.Damaged), store.RowTimer, ref, m.Name)
				}),
			read(ctx, s, "SELECT "+itemColumns+" FROM outbox", nil, func(rows *sql.Rows) (string, error) {
				it, err := s.form.scanItem(rows)
				return called(err, damage(it.Damaged), store.RowItem, it.ID)
			}),
			read(ctx, s, "SELECT id, class, raw, at FROM aside", nil, func(rows *sql.Rows) (string, error) {
				a, bad := s.form.scanAside(rows)
				return called(nil, bad, store.RowAside, a.ID)
			}),
			read(ctx, s, "SELECT queue, state FROM flood", nil, func(rows *sql.Rows) (string, error) {
				var queue string
				var raw []byte
				err := rows.Scan(&queue, &raw)
				if s.form < flooded {
					return "", err
				}
				_, bad := store.Unwrap(store.FloodPlace(queue), raw)
				return called(err, bad, store.RowFlood, queue)
			}),
		} {
			for name, err := range rows {
				if name == "" && err == nil {
					continue
				}
				if !yield(name, err) || err != nil {
					return
				}
			}
		}
	}
}

func damage(is bool) error {
	if is {
		return store.ErrCorrupt
	}
	return nil
}

// called gives the name of a row that is damaged, "" of one that is whole.
func called(err, bad error, kind string, parts ...any) (string, error) {
	switch {
	case err != nil:
		return "", err
	case bad == nil:
		return "", nil
	case errors.Is(bad, store.ErrCorrupt), errors.Is(bad, store.ErrNewer):
		return store.RowName(kind, parts...), nil
	}
	return "", bad
}
