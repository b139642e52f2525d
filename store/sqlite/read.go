package sqlite

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"iter"
	"strings"

	"duskdawn/store"
)

// prepared is a statement of the read pool, parsed once.
func (s *Store) prepared(ctx context.Context, text string) (*sql.Stmt, error) {
	if p, ok := s.texts.Load(text); ok {
		return p.(*sql.Stmt), nil
	}
	p, err := s.reads.PrepareContext(ctx, text)
	if err != nil {
		return nil, err
	}
	if kept, was := s.texts.LoadOrStore(text, p); was {
		return kept.(*sql.Stmt), p.Close()
	}
	return p, nil
}

// one reads one row into dest; sql.ErrNoRows where there is none.
func (s *Store) one(ctx context.Context, text string, args []any, dest ...any) error {
	if err := s.alive(ctx); err != nil {
		return err
	}
	p, err := s.prepared(ctx, text)
	if err != nil {
		return err
	}
	return p.QueryRowContext(ctx, args...).Scan(dest...)
}

// read yields the rows of a query on the read pool, under one snapshot.
func read[T any](ctx context.Context, s *Store, text string, args []any, scan func(*sql.Rows) (T, error)) iter.Seq2[T,
	error] {
	return func(yield func(T, error) bool) {
		var zero T
		if err := s.alive(ctx); err != nil {
			yield(zero, err)
			return
		}
		rows, err := s.reads.QueryContext(ctx, text, args...)
		if err != nil {
			yield(zero, fmt.Errorf("reading the store: %w", err))
			return
		}
		defer func() { _ = rows.Close() }()
		for rows.Next() {
			v, err := scan(rows)
			if err != nil {
				yield(zero, fmt.Errorf("reading a row: %w", err))
				return
			}
			if !yield(v, nil) {
				return
			}
		}
		if err := rows.Err(); err != nil {
			yield(zero, fmt.Errorf("reading the store: %w", err))
		}
	}
}

// Get returns the aggregate.
func (s *Store) Get(ctx context.Context, ref store.Ref) (store.Aggregate, error) {
	if err := s.alive(ctx); err != nil {
		return store.Aggregate{}, err
	}
	key := ref.String()
	a, ok, round := s.readCache.get(key)
	if ok {
		return a, nil
	}
	err := s.one(ctx, "SELECT rev, body FROM aggregate WHERE ref = ?", []any{key}, &a.Rev, &a.Body)
	if errors.Is(err, sql.ErrNoRows) {
		return store.Aggregate{}, store.ErrNotFound
	}
	if err == nil {
		a.Body, err = s.form.body(a.Body, store.BodyPlace(key, a.Rev))
	}
	if err != nil {
		return store.Aggregate{}, fmt.Errorf("reading an aggregate: %w", err)
	}
	s.readCache.keep(key, store.Aggregate{Rev: a.Rev, Body: bytes.Clone(a.Body)}, round)
	return a, nil
}

// Lookup returns the owner of an index entry.
func (s *Store) Lookup(ctx context.Context, key string) (ref store.Ref, err error) {
	var owner string
	err = s.one(ctx, "SELECT ref FROM entry WHERE key = ?", []any{key}, &owner)
	if errors.Is(err, sql.ErrNoRows) {
		return ref, store.ErrNotFound
	}
	if err != nil {
		return ref, fmt.Errorf("reading an index entry: %w", err)
	}
	return ref, setRef(&ref, owner)
}

// List yields the summaries that match.
func (s *Store) List(ctx context.Context, q store.Query) iter.Seq2[store.Summary, error] {
	var where []string
	var args []any
	add := func(on bool, text string, arg ...any) {
		if on {
			where, args = append(where, text), append(args, arg...)
		}
	}
	add(true, "1")
	add(q.Label != "", "label = ?", q.Label)
	add(q.State != "", "state = ?", q.State)
	add(q.Open, "class > 0")
	add(q.Silent != 0, "answered < ?", q.Silent)
	order := "ORDER BY deadline = 0, deadline, ref"
	if !q.After.IsZero() {
		add(true, "ref > ?", q.After.String())
		order = "ORDER BY ref"
	}
	limit := -1
	if q.Limit > 0 {
		limit = q.Limit
	}
	text := "SELECT ref, label, state, class, acked, deadline, answered, review, chat, step FROM summary WHERE " +
		strings.Join(where, " AND ") + " " + order + " LIMIT ?"
	return read(ctx, s, text, append(args, limit), func(rows *sql.Rows) (store.Summary, error) {
		var m store.Summary
		var ref string
		var deadline, review int64
		if err := rows.Scan(&ref, &m.Label, &m.State, &m.Class, &m.Acked, &deadline, &m.Answered, &review, &m.Chat,
			&m.Step); err != nil {
			return m, err
		}
		m.Deadline, m.Review = store.FromMicros(deadline), store.FromMicros(review)
		return m, setRef(&m.Ref, ref)
	})
}

// Refs yields every aggregate.
func (s *Store) Refs(ctx context.Context) iter.Seq2[store.Ref, error] {
	return read(ctx, s, `SELECT ref FROM aggregate UNION SELECT ref FROM place WHERE seq = 1
		UNION SELECT ref FROM journal WHERE id > (SELECT id FROM placed) AND seq = 1 ORDER BY ref`, nil, func(rows *sql.Rows) (ref store.Ref, err error) {
		var text string
		if err := rows.Scan(&text); err != nil {
			return ref, err
		}
		return ref, setRef(&ref, text)
	})
}

const rowColumns = "night, rev, source, at, body"

// scanRow reads a diary row behind the one whose it is.
func (f form) scanRow(rows *sql.Rows) (r store.Row, ref string, err error) {
	var at int64
	if err := rows.Scan(&ref, &r.Night, &r.Rev, &r.Source, &at, &r.Body); err != nil {
		return r, ref, err
	}
	r.At = store.FromMicros(at)
	r.Body, err = f.body(r.Body, r.Place(ref))
	return r, ref, err
}

// Diary yields a patient's rows.
func (s *Store) Diary(ctx context.Context, ref store.Ref) iter.Seq2[store.Row, error] {
	return read(ctx, s, "SELECT ref, "+rowColumns+" FROM diary WHERE ref = ? ORDER BY id", []any{ref.String()},
		func(rows *sql.Rows) (store.Row, error) {
			r, _, err := s.form.scanRow(rows)
			return r, err
		})
}

// Journal yields an aggregate's records.
func (s *Store) Journal(ctx context.Context, ref store.Ref) iter.Seq2[store.Record, error] {
	return read(ctx, s, "SELECT ref, "+recordColumns+" FROM record WHERE ref = ? ORDER BY seq", []any{ref.String()},
		func(rows *sql.Rows) (store.Record, error) {
			r, _, err := s.form.scanRecord(rows)
			return r, err
		})
}

const recordColumns = "seq, at, event, actor, role, practice, plan, rules, what, body, hash"

// scanRecord reads a record behind the one whose journal it is of.
func (f form) scanRecord(rows *sql.Rows) (r store.Record, ref string, err error) {
	var at int64
	var hash []byte
	if err := rows.Scan(&ref, &r.Seq, &at, &r.Event, &r.Actor, &r.Role, &r.Practice, &r.Plan, &r.Rules, &r.What, &r.Body,
		&hash); err != nil {
		return r, ref, err
	}
	r.At = store.FromMicros(at)
	copy(r.Hash[:], hash)
	r.Body, err = f.body(r.Body, r.Place(ref))
	return r, ref, err
}

func setRef(ref *store.Ref, text string) (err error) {
	*ref, err = store.ParseRef(text)
	return err
}
