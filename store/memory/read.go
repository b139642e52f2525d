package memory

import (
	"bytes"
	"cmp"
	"context"
	"iter"
	"maps"
	"slices"

	"duskdawn/store"
)

// opened yields a list like each, every body of it out of its envelope.
func opened[T any](ctx context.Context, s *Store, take func() []T, open func(*T) ([]byte, *[]byte)) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		for v, err := range each(ctx, s, take) {
			if err == nil {
				place, body := open(&v)
				var inner []byte
				inner, err = store.Unwrap(place, *body)
				*body = bytes.Clone(inner)
			}
			if !yield(v, err) || err != nil {
				return
			}
		}
	}
}

// each yields a list that take copies under the lock, so that whoever reads it
// may call the store meanwhile.
func each[T any](ctx context.Context, s *Store, take func() []T) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		if err := s.enter(ctx); err != nil {
			var zero T
			yield(zero, err)
			return
		}
		list := take()
		s.mu.Unlock()
		for _, v := range list {
			if !yield(v, nil) {
				return
			}
		}
	}
}

// List yields the summaries that match.
func (s *Store) List(ctx context.Context, q store.Query) iter.Seq2[store.Summary, error] {
	return each(ctx, s, func() []store.Summary {
		var out []store.Summary
		for _, a := range s.aggregates {
			if a.summary != nil && q.Match(*a.summary) {
				out = append(out, *a.summary)
			}
		}
		slices.SortFunc(out, q.Compare)
		if q.Limit > 0 && len(out) > q.Limit {
			out = out[:q.Limit]
		}
		return out
	})
}

// Refs yields every aggregate.
func (s *Store) Refs(ctx context.Context) iter.Seq2[store.Ref, error] {
	return each(ctx, s, func() []store.Ref {
		var out []store.Ref
		for ref, a := range s.aggregates {
			if a.Rev > 0 || len(a.journal) > 0 {
				out = append(out, ref)
			}
		}
		slices.SortFunc(out, store.Ref.Compare)
		return out
	})
}

// Diary yields a patient's rows.
func (s *Store) Diary(ctx context.Context, ref store.Ref) iter.Seq2[store.Row, error] {
	return opened(ctx, s, func() []store.Row {
		if a := s.aggregates[ref]; a != nil {
			return slices.Clone(a.diary)
		}
		return nil
	}, func(r *store.Row) ([]byte, *[]byte) { return r.Place(ref.String()), &r.Body })
}

// Journal yields an aggregate's records.
func (s *Store) Journal(ctx context.Context, ref store.Ref) iter.Seq2[store.Record, error] {
	return opened(ctx, s, func() []store.Record {
		if a := s.aggregates[ref]; a != nil {
			return slices.Clone(a.journal)
		}
		return nil
	}, func(r *store.Record) ([]byte, *[]byte) { return r.Place(ref.String()), &r.Body })
}

// Pending yields the timers of an aggregate by name.
func (s *Store) Pending(ctx context.Context, ref store.Ref) iter.Seq2[store.Timer, error] {
	return opened(ctx, s, func() []store.Timer {
		a := s.aggregates[ref]
		if a == nil {
			return nil
		}
		var out []store.Timer
		for _, name := range slices.Sorted(maps.Keys(a.timers)) {
			out = append(out, a.timers[name].Timer)
		}
		return out
	}, func(t *store.Timer) ([]byte, *[]byte) { return t.Place(), &t.Body })
}

// Doubtful yields the items settled as in doubt.
func (s *Store) Doubtful(ctx context.Context) iter.Seq2[store.Item, error] {
	return opened(ctx, s, func() []store.Item {
		var out []store.Item
		for _, it := range s.box.items {
			if it.State == store.Doubt {
				out = append(out, it.Item)
			}
		}
		slices.SortFunc(out, func(a, b store.Item) int {
			return cmp.Or(a.Ordered.Compare(b.Ordered), cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.ID, b.ID))
		})
		return out
	}, func(it *store.Item) ([]byte, *[]byte) { return it.Place(), &it.Body })
}

// Asides yields what was set aside.
func (s *Store) Asides(ctx context.Context) iter.Seq2[store.Aside, error] {
	return opened(ctx, s, func() []store.Aside {
		out := slices.Clone(s.asides)
		slices.SortFunc(out, store.Aside.Compare)
		return out
	}, func(a *store.Aside) ([]byte, *[]byte) { return a.Place(), &a.Raw })
}
