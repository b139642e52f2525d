package redis

import (
	"context"
	"testing"
)

// Rows are a store's rows, past the store.
type Rows struct {
	t testing.TB
	s *Store
}

// RowsOf gives the rows of a store.
func RowsOf(t testing.TB, s *Store) Rows { return Rows{t, s} }

func (r Rows) each(do func(prefix string, x row)) {
	r.t.Helper()
	if err := r.s.eachRow(context.Background(), func(prefix string, x row) error { do(prefix, x); return nil }); err != nil {
		r.t.Fatal(err)
	}
}

// All gives every row's envelope.
func (r Rows) All() map[string][]byte {
	r.t.Helper()
	out := map[string][]byte{}
	r.each(func(_ string, x row) { out[x.name] = []byte(x.row) })
	return out
}

// Put writes bytes in a row's place.
func (r Rows) Put(name string, b []byte) {
	r.t.Helper()
	n := 0
	r.each(func(prefix string, x row) {
		if x.name != name {
			return
		}
		n++
		err := error(nil)
		if x.list {
			err = r.s.c.LSet(context.Background(), prefix+x.key, int64(x.at.(int)), x.lead+string(b)).Err()
		} else {
			err = r.s.c.HSet(context.Background(), prefix+x.key, x.at, string(b)).Err()
		}
		if err != nil {
			r.t.Fatal(err)
		}
	})
	if n != 1 {
		r.t.Fatalf("%d rows are called %q", n, name)
	}
}
