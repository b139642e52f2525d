package sqlite_test

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"duskdawn/store"
	"duskdawn/store/sqlite"
)

var ann = store.Ref{Kind: store.Patient, ID: "07ann"}

// put commits a body of that text under a fresh event.
func put(t testing.TB, s store.Store, event, text string) {
	t.Helper()
	if err := s.Update(context.Background(), ann, event, time.Now(), func(store.Aggregate) (store.Change, error) {
		return store.Change{Body: []byte(text), Journal: []store.Record{{What: text}}}, nil
	}); err != nil {
		t.Fatal(err)
	}
}

func TestFileIsItsOwnersAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a b?%#.db") // a name that an address would misread
	if err := os.WriteFile(path, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	s := open(t, path)
	put(t, s, "e", "x")
	for _, name := range []string{path, path + "-wal", path + "-shm"} {
		info, err := os.Stat(name)
		if err != nil {
			t.Fatal(err)
		}
		if info.Mode().Perm() != 0o600 {
			t.Errorf("%s has mode %v", filepath.Base(name), info.Mode().Perm())
		}
	}
}

func TestLock(t *testing.T) {
	path := filepath.Join(t.TempDir(), "store.db")
	serve, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Lock: true})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Lock: true}); !errors.Is(err, store.ErrInUse) {
		t.Fatalf("a second one that serves: %v", err)
	}
	if _, err := sqlite.Hold(path); !errors.Is(err, store.ErrInUse) {
		t.Fatalf("one that restores: %v", err)
	}
	other := open(t, path) // a command beside it
	put(t, other, "e1", "one")
	put(t, serve, "e2", "two")
	if err := serve.Close(); err != nil {
		t.Fatal(err)
	}
	again, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Lock: true})
	if err != nil {
		t.Fatal(err)
	}
	a, err := again.Get(t.Context(), ann)
	if err != nil || a.Rev != 2 || string(a.Body) != "two" {
		t.Fatalf("%+v, %v", a, err)
	}
	if err := again.Close(); err != nil {
		t.Fatal(err)
	}
}

// TestOpenedAtOnce opens a new file from many at the same moment.
func TestOpenedAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "store.db")
	var wg sync.WaitGroup
	secrets := make([]string, 4)
	for i := range secrets {
		wg.Go(func() {
			s, err := sqlite.Open(context.Background(), sqlite.Options{Path: path})
			if err != nil {
				t.Error(err)
				return
			}
			secret, err := s.Secret(context.Background())
			secrets[i] = string(secret)
			if err := errors.Join(err, s.Close()); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	for _, s := range secrets {
		if s != secrets[0] || s == "" {
			t.Fatal("several secrets in one store")
		}
	}
}

func TestRefused(t *testing.T) {
	write := func(t *testing.T, statements string) string {
		path := filepath.Join(t.TempDir(), "store.db")
		db, err := sql.Open("sqlite", "file:"+path)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := db.Exec(statements); err != nil {
			t.Fatal(err)
		}
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
		return path
	}
	ours := func(t *testing.T) string {
		path := filepath.Join(t.TempDir(), "store.db")
		s, err := sqlite.Open(t.Context(), sqlite.Options{Path: path})
		if err != nil {
			t.Fatal(err)
		}
		for i := range 200 {
			put(t, s, fmt.Sprint(i), strings.Repeat("x", 2000))
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		return path
	}
	for _, c := range []struct {
		name, says string
		make       func(*testing.T) string
		want       error
		untouched  bool // every byte of it
	}{
		{"newer", "newer program", func(t *testing.T) string {
			return write(t, "CREATE TABLE x (y); PRAGMA application_id = 1148547947; PRAGMA user_version = 999")
		}, store.ErrNewer, true},
		{"another program's", "another program", func(t *testing.T) string { return write(t, "CREATE TABLE x (y)") }, store.ErrCorrupt, true},
		{"no database", "backup", func(t *testing.T) string {
			path := filepath.Join(t.TempDir(), "store.db")
			if err := os.WriteFile(path, []byte(strings.Repeat("not a database. ", 100)), 0o600); err != nil {
				t.Fatal(err)
			}
			return path
		}, store.ErrCorrupt, false},
		{"damaged", "backup", func(t *testing.T) string {
			path := ours(t)
			f, err := os.OpenFile(path, os.O_RDWR, 0)
			if err != nil {
				t.Fatal(err)
			}
			info, err := f.Stat()
			if err != nil {
				t.Fatal(err)
			}
			for at := int64(8192); at < info.Size(); at += 4096 {
				if _, err := f.WriteAt([]byte(strings.Repeat("\xff", 64)), at); err != nil {
					t.Fatal(err)
				}
			}
			if err := f.Close(); err != nil {
				t.Fatal(err)
			}
			return path
		}, store.ErrCorrupt, false},
		{"cut off", "backup", func(t *testing.T) string {
			path := ours(t)
			if err := os.Truncate(path, 40_000); err != nil {
				t.Fatal(err)
			}
			return path
		}, store.ErrCorrupt, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := c.make(t)
			before, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			s, err := sqlite.Open(t.Context(), sqlite.Options{Path: path})
			if err == nil {
				_ = s.Close()
			}
			if !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.says) {
				t.Fatalf("error %v, want %v that says %q", err, c.want, c.says)
			}
			after, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if len(after) != len(before) {
				t.Errorf("the file had %d bytes and has %d", len(before), len(after))
			}
			if c.untouched && !bytes.Equal(after, before) {
				t.Error("the file was changed")
			}
			for _, side := range []string{"-wal", "-shm"} {
				if _, err := os.Stat(path + side); c.untouched && err == nil {
					t.Errorf("%s was made beside it", side)
				}
			}
		})
	}
}

// TestBackup copies a store while it is written.
func TestBackup(t *testing.T) {
	dir := t.TempDir()
	s := open(t, filepath.Join(dir, "store.db"))
	put(t, s, "e0", "kept")
	stop, done := make(chan struct{}), make(chan int)
	go func() {
		n := 0
		for ; ; n++ {
			select {
			case <-stop:
				done <- n
				return
			default:
				put(t, s, fmt.Sprint("more", n), "kept")
			}
		}
	}()
	path := filepath.Join(dir, "copy.db")
	if err := s.Backup(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	close(stop)
	<-done
	if err := s.Backup(t.Context(), path); !errors.Is(err, os.ErrExist) {
		t.Fatalf("over an existing file: %v", err)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Fatalf("%v, %v", info.Mode(), err)
	}
	left, err := filepath.Glob(filepath.Join(dir, ".backup-*"))
	if err != nil || len(left) > 0 {
		t.Fatalf("left behind: %v, %v", left, err)
	}
	b := open(t, path)
	a, err := b.Get(t.Context(), ann)
	if err != nil || string(a.Body) != "kept" {
		t.Fatalf("%q, %v", a.Body, err)
	}
	var journal []store.Record
	for r, err := range b.Journal(t.Context(), ann) {
		if err != nil {
			t.Fatal(err)
		}
		journal = append(journal, r)
	}
	if int64(len(journal)) != a.Rev { // one moment, not a mixture
		t.Fatalf("%d records at revision %d", len(journal), a.Rev)
	}
	if err := store.Verify(journal); err != nil {
		t.Fatal(err)
	}
	one, _ := s.Secret(t.Context())
	two, _ := b.Secret(t.Context())
	if string(one) != string(two) {
		t.Fatal("the copy has another secret")
	}
	if err := s.Check(t.Context()); err != nil {
		t.Fatal(err)
	}
}

// TestDiskFull lets the file grow to its limit: what fails is refused whole,
// what was committed stays, and with room again the store goes on.
func TestDiskFull(t *testing.T) {
	path := filepath.Join(t.TempDir(), "store.db")
	s := open(t, path)
	put(t, s, "before", "kept")
	s.LimitPages(t, 60)
	var failed bool
	for i := range 100 {
		err := s.Update(t.Context(), store.Ref{Kind: store.Patient, ID: fmt.Sprintf("07p%d", i)}, "e", time.Now(),
			func(store.Aggregate) (store.Change, error) {
				return store.Change{Body: make([]byte, 3000)}, nil
			})
		failed = failed || err != nil
	}
	if !failed {
		t.Fatal("the disk never got full")
	}
	s.LimitPages(t, 1<<30)
	put(t, s, "after", "and on")
	a, err := s.Get(t.Context(), ann)
	if err != nil || a.Rev != 2 {
		t.Fatalf("%+v, %v", a, err)
	}
	if err := s.Check(t.Context()); err != nil {
		t.Fatal(err)
	}
}
