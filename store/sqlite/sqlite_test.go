package sqlite_test

import (
	"context"
	"path/filepath"
	"testing"

	"duskdawn/store"
	"duskdawn/store/sqlite"
	"duskdawn/store/storetest"
)

func open(t testing.TB, path string) *sqlite.Store {
	t.Helper()
	s, err := sqlite.Open(context.Background(), sqlite.Options{Path: path})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func fresh(t testing.TB) store.Store { return open(t, filepath.Join(t.TempDir(), "store.db")) }

func BenchmarkSQLite(b *testing.B) { storetest.Bench(b, fresh) }

func TestSQLite(t *testing.T) {
	storetest.Run(t, storetest.Backend{
		Open:  fresh,
		Again: func(t testing.TB, s store.Store) store.Store { return open(t, s.(*sqlite.Store).Path()) },
	})
}

// BenchmarkPass takes minutes: most of it is enrolling a million.
func BenchmarkPass(b *testing.B) { storetest.BenchPass(b, fresh, 10_000, 1_000_000) }
