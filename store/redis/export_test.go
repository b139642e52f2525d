package redis

import (
	"context"
	"testing"
)

// Rows are a store's rows, past the store.
type Rows struct {
	t  testing.TB
	s  *Store
	at map[string]found // where each was found
}

type found struct {
	prefix string
	row
}

// RowsOf gives the rows of a store.
func RowsOf(t testing.TB, s *Store) Rows { return Rows{t, s, map[string]found{}} }

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
	r.each(func(prefix string, x row) { out[x.name], r.at[x.name] = []byte(x.row), found{prefix, x} })
	return out
}

// Put writes bytes in the place of a row that All found.
func (r Rows) Put(name string, b []byte) {
	r.t.Helper()
	x, ok := r.at[name]
	if !ok {
		r.t.Fatalf("no row is called %q", name)
	}
	err := error(nil)
	if x.list {
		err = r.s.c.LSet(context.Background(), x.prefix+x.key, int64(x.row.at.(int)), x.lead+string(b)).Err()
	} else {
		err = r.s.c.HSet(context.Background(), x.prefix+x.key, x.row.at, string(b)).Err()
	}
	if err != nil {
		r.t.Fatal(err)
	}
}
