package sqlite_test

import (
	"bytes"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"duskdawn/store"
	"duskdawn/store/sqlite"
)

// nothing is a preparation that has nothing to do.
func nothing(*sqlite.Store) error { return nil }

// shelf is a store's file and a copy of it as it was earlier.
func shelf(t *testing.T) (path, copy string) {
	t.Helper()
	dir := t.TempDir()
	path, copy = filepath.Join(dir, "store.db"), filepath.Join(dir, "copy.db")
	s, err := sqlite.Open(t.Context(), sqlite.Options{Path: path})
	if err != nil {
		t.Fatal(err)
	}
	put(t, s, "e1", "early")
	if err := s.Backup(t.Context(), copy); err != nil {
		t.Fatal(err)
	}
	put(t, s, "e2", "late")
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path, copy
}

// body reads what a file holds of the one patient.
func body(t *testing.T, path string) string {
	t.Helper()
	s := open(t, path)
	a, err := s.Get(t.Context(), ann)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Check(t.Context()); err != nil {
		t.Error(err)
	}
	return string(a.Body)
}

func edit(t *testing.T, path, statement string) {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec(statement); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
}

// Staff type the command in the folder where they are: the paths are relative.
func TestCopyAndPutBackByRelativePaths(t *testing.T) {
	t.Chdir(t.TempDir())
	s, err := sqlite.Open(t.Context(), sqlite.Options{Path: "store.db"})
	if err != nil {
		t.Fatal(err)
	}
	put(t, s, "e1", "early")
	if err := s.Check(t.Context()); err != nil {
		t.Error(err)
	}
	for _, copy := range []string{"copy.db", "./second.db"} {
		if err := s.Backup(t.Context(), copy); err != nil {
			t.Errorf("%s: %v", copy, err)
		}
	}
	put(t, s, "e2", "late")
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := sqlite.PutBack(t.Context(), "store.db", "copy.db", nothing); err != nil {
		t.Fatal(err)
	}
	if got := body(t, "store.db"); got != "early" {
		t.Errorf("the store holds %q, want what the copy held", got)
	}
}

func TestPutBackKeepsWhatWasThere(t *testing.T) {
	path, copy := shelf(t)
	before, err := os.ReadFile(copy)
	if err != nil {
		t.Fatal(err)
	}
	aside, err := sqlite.PutBack(t.Context(), path, copy, func(s *sqlite.Store) error {
		put(t, s, "e3", "prepared")
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, side := range []string{"-wal", "-shm"} {
		if _, err := os.Stat(path + side); err == nil {
			t.Errorf("%s lies beside the restored file", side)
		}
	}
	if got := body(t, path); got != "prepared" {
		t.Errorf("the store holds %q", got)
	}
	if got := body(t, aside); got != "late" {
		t.Errorf("the file that was there holds %q", got)
	}
	after, err := os.ReadFile(copy)
	if err != nil || !bytes.Equal(before, after) {
		t.Errorf("the copy was changed: %v", err)
	}
	left, err := filepath.Glob(filepath.Join(filepath.Dir(path), ".restore-*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
	if again, err := sqlite.PutBack(t.Context(), path, copy, nothing); err != nil || again == aside {
		t.Errorf("a second time: %q, %v", again, err)
	}
}

// A log that a crash left beside the file goes aside with it, whole, and never
// into the copy. Pages of a stale log would destroy what was restored.
func TestPutBackBesideALogOfACrash(t *testing.T) {
	path, copy := shelf(t)
	live := open(t, path)
	put(t, live, "e4", "only in the log")
	crashed := filepath.Join(t.TempDir(), "crashed.db")
	for _, side := range []string{"", "-wal"} { // what a machine that lost its power has
		raw, err := os.ReadFile(path + side)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(crashed+side, raw, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	aside, err := sqlite.PutBack(t.Context(), crashed, copy, nothing)
	if err != nil {
		t.Fatal(err)
	}
	if got := body(t, crashed); got != "early" {
		t.Errorf("the store holds %q", got)
	}
	if got := body(t, aside); got != "only in the log" {
		t.Errorf("the file that was there holds %q", got)
	}
}

// A present file that cannot be read is kept as it is, its log too, and the copy
// still gets its place.
func TestPutBackOverADamagedFile(t *testing.T) {
	path, copy := shelf(t)
	live := open(t, path)
	put(t, live, "e4", "only in the log")
	log, err := os.ReadFile(path + "-wal")
	if err != nil || len(log) == 0 {
		t.Fatalf("no log to begin with: %v", err)
	}
	if err := live.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path+"-wal", log, 0o600); err != nil {
		t.Fatal(err)
	}
	wreck := []byte(strings.Repeat("wreck ", 2000))
	if err := os.WriteFile(path, wreck, 0o600); err != nil {
		t.Fatal(err)
	}
	aside, err := sqlite.PutBack(t.Context(), path, copy, nothing)
	if err != nil {
		t.Fatal(err)
	}
	if kept, err := os.ReadFile(aside); err != nil || !bytes.Equal(kept, wreck) {
		t.Errorf("the wreck was changed: %v", err)
	}
	if kept, err := os.ReadFile(aside + "-wal"); err != nil || !bytes.Equal(kept, log) {
		t.Errorf("its log was changed: %v", err)
	}
	if got := body(t, path); got != "early" {
		t.Errorf("the store holds %q", got)
	}
	fresh := filepath.Join(t.TempDir(), "new.db") // a new machine has none
	if aside, err := sqlite.PutBack(t.Context(), fresh, copy, nothing); err != nil || aside != "" {
		t.Errorf("on a new machine: %q, %v", aside, err)
	}
	if got := body(t, fresh); got != "early" {
		t.Errorf("on a new machine the store holds %q", got)
	}
}

func TestPutBackRefuses(t *testing.T) {
	failed := errors.New("not prepared")
	for _, c := range []struct {
		name, says string
		want       error
		with       func(t *testing.T, path, copy string) (from string)
		prepare    func(*sqlite.Store) error
	}{
		{"served", "stop the one", store.ErrInUse, func(t *testing.T, path, copy string) string {
			s, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Lock: true})
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { s.Close() })
			return copy
		}, nothing},
		{"no copy", "nowhere.db", os.ErrNotExist, func(t *testing.T, path, _ string) string { return filepath.Join(filepath.Dir(path), "nowhere.db") }, nothing},
		{"itself", "store itself", nil, func(t *testing.T, path, _ string) string { return path }, nothing},
		{"empty", "empty", store.ErrCorrupt, func(t *testing.T, _, copy string) string {
			if err := os.Truncate(copy, 0); err != nil {
				t.Fatal(err)
			}
			return copy
		}, nothing},
		{"another program's", "another program", store.ErrCorrupt, func(t *testing.T, _, copy string) string {
			edit(t, copy, "PRAGMA application_id = 7")
			return copy
		}, nothing},
		{"newer", "newer program", store.ErrNewer, func(t *testing.T, _, copy string) string {
			edit(t, copy, "PRAGMA user_version = 999")
			return copy
		}, nothing},
		{"cut off", "damaged", store.ErrCorrupt, func(t *testing.T, _, copy string) string {
			if err := os.Truncate(copy, 50_000); err != nil {
				t.Fatal(err)
			}
			return copy
		}, nothing},
		{"a journal altered", "journal of P07ann", store.ErrBroken, func(t *testing.T, _, copy string) string {
			edit(t, copy, "UPDATE journal SET what = 'nothing happened' WHERE seq = 1")
			return copy
		}, nothing},
		{"with a log beside it", "copied while in use", nil, func(t *testing.T, _, copy string) string {
			if err := os.WriteFile(copy+"-wal", []byte("log"), 0o600); err != nil {
				t.Fatal(err)
			}
			return copy
		}, nothing},
		{"not prepared", "not prepared", failed, func(t *testing.T, _, copy string) string { return copy }, func(*sqlite.Store) error { return failed }},
	} {
		t.Run(c.name, func(t *testing.T) {
			path, copy := shelf(t)
			from := c.with(t, path, copy)
			before, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			aside, err := sqlite.PutBack(t.Context(), path, from, c.prepare)
			if err == nil || aside != "" || !strings.Contains(err.Error(), c.says) || c.want != nil && !errors.Is(err, c.want) {
				t.Fatalf("aside %q, error %v, want %v that says %q", aside, err, c.want, c.says)
			}
			after, err := os.ReadFile(path)
			if err != nil || !bytes.Equal(before, after) {
				t.Errorf("the store was changed: %v", err)
			}
			for _, pattern := range []string{".restore-*", "*.before-*"} {
				if left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), pattern)); len(left) > 0 {
					t.Errorf("left behind: %v", left)
				}
			}
		})
	}
}

// A copy whose journal was altered on the way is no backup.
func TestBackupChecksTheJournals(t *testing.T) {
	path, _ := shelf(t)
	edit(t, path, "UPDATE journal SET body = envelope(x'00', 'journal', ref, seq) WHERE seq = 2") // by who knows how
	s := open(t, path)
	to := filepath.Join(filepath.Dir(path), "other.db")
	if err := s.Backup(t.Context(), to); !errors.Is(err, store.ErrBroken) {
		t.Errorf("error %v, want %v", err, store.ErrBroken)
	}
	if _, err := os.Stat(to); err == nil {
		t.Error("the copy got its name all the same")
	}
	if err := s.Check(t.Context()); !errors.Is(err, store.ErrBroken) {
		t.Errorf("check says %v", err)
	}
}
