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
	return openWith(t, sqlite.Options{Path: path})
}

func openWith(t testing.TB, o sqlite.Options) *sqlite.Store {
	t.Helper()
	s, err := sqlite.Open(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func readCache(t testing.TB) store.Store { return open(t, filepath.Join(t.TempDir(), "store.db")) }

func BenchmarkSQLite(b *testing.B) { storetest.Bench(b, readCache) }

func TestSQLite(t *testing.T) {
	t.Parallel()
	storetest.Run(t, storetest.Backend{
		Open:  readCache,
		Again: func(t testing.TB, s store.Store) store.Store { return open(t, s.(*sqlite.Store).Path()) },
		Rows:  func(t testing.TB, s store.Store) storetest.Rows { return rowsOf(t, s.(*sqlite.Store).Path()) },
	})
}

// TestSQLiteLocked is the same of a store that serve holds, which remembers what
// was committed last and reads that. Nothing here writes beside it.
func TestSQLiteLocked(t *testing.T) {
	t.Parallel()
	storetest.Run(t, storetest.Backend{Open: func(t testing.TB) store.Store {
		return openWith(t, sqlite.Options{Path: filepath.Join(t.TempDir(), "store.db"), Lock: true})
	}})
}

// BenchmarkPass takes minutes: most of it is enrolling a million.
func BenchmarkPass(b *testing.B) { storetest.BenchPass(b, readCache, 10_000, 1_000_000) }
