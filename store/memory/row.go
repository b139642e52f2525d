package memory

import (
	"context"
	"iter"
	"maps"
	"slices"

	"duskdawn/store"
)

// row is one stored row: where it stands, and the bytes of its envelope.
type row struct {
	place []byte
	bytes *[]byte
}

// rows gives every stored row by its name; it is called under the lock.
func (s *Store) rows() map[string]row {
	out := map[string]row{store.RowSecret: {store.Place(store.RowSecret), &s.secret}}
	for ref, a := range s.aggregates {
		key := ref.String()
		if a.Rev > 0 {
			out[store.RowName(store.RowBody, key)] = row{store.BodyPlace(key, a.Rev), &a.Body}
		}
		for i := range a.diary {
			r := &a.diary[i]
			out[store.RowName(store.RowDiary, key, r.Night, r.Rev)] = row{r.Place(key), &r.Body}
		}
		for i := range a.journal {
			r := &a.journal[i]
			out[store.RowName(store.RowJournal, key, r.Seq)] = row{r.Place(key), &r.Body}
		}
	}
	for key, t := range s.timers {
		out[store.RowName(store.RowTimer, key.ref, key.name)] = row{t.Place(), &t.Body}
	}
	for id, it := range s.box.items {
		out[store.RowName(store.RowItem, id)] = row{it.Place(), &it.Body}
	}
	for i := range s.asides {
		a := &s.asides[i]
		out[store.RowName(store.RowAside, a.ID)] = row{a.Place(), &a.Raw}
	}
	for queue, b := range s.buckets {
		out[store.RowName(store.RowFlood, queue)] = row{store.FloodPlace(queue), b}
	}
	return out
}

// Damaged yields the rows that are not as they were stored.
func (s *Store) Damaged(ctx context.Context) iter.Seq2[string, error] {
	return each(ctx, s, func() (out []string) {
		rows := s.rows()
		for _, name := range slices.Sorted(maps.Keys(rows)) {
			if _, err := store.Unwrap(rows[name].place, *rows[name].bytes); err != nil {
				out = append(out, name)
			}
		}
		return out
	})
}
