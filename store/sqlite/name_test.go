package sqlite_test

import (
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"duskdawn/store"
	"duskdawn/store/sqlite"
)

// A file that is served may be named by a link: it is the same file, whatever it is
// called, and nobody else serves from it, puts a copy in its place or writes beside.
func TestAFileByAnotherName(t *testing.T) {
	t.Parallel()
	dir, folder := t.TempDir(), t.TempDir()
	path := filepath.Join(dir, "d.db")
	served, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Lock: true})
	if err != nil {
		t.Fatal(err)
	}
	copied := filepath.Join(folder, "copy.db")
	if err := served.Backup(t.Context(), copied); err != nil {
		t.Fatal(err)
	}
	link, through := filepath.Join(folder, "link.db"), filepath.Join(folder, "through")
	if err := errors.Join(os.Symlink(path, link), os.Symlink(dir, through)); err != nil {
		t.Fatal(err)
	}
	was, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	nothing := func(*sqlite.Store) error { return nil }
	refused := func(name string) {
		t.Helper()
		if st, err := sqlite.Open(t.Context(), sqlite.Options{Path: name, Lock: true}); !errors.Is(err, store.ErrInUse) {
			t.Errorf("%s: two serve from one file: %v", name, err)
			if err == nil {
				st.Close()
			}
		}
		if _, err := sqlite.PutBack(t.Context(), name, copied, nothing); !errors.Is(err, store.ErrInUse) {
			t.Errorf("%s: a copy takes the place of a file that is served: %v", name, err)
		}
		if now, err := os.Stat(path); err != nil || !os.SameFile(was, now) {
			t.Fatalf("%s: another file stands there", name)
		}
	}
	refused(path)
	refused(link)
	refused(filepath.Join(through, "d.db"))
	if st, err := sqlite.Open(t.Context(), sqlite.Options{Path: link}); err != nil || st.Path() != path { // a command beside
		t.Errorf("a command by the link: %v", err)
	} else if err := st.Close(); err != nil {
		t.Error(err)
	}
	hard := filepath.Join(dir, "hard.db")
	if err := os.Link(path, hard); err != nil {
		t.Fatal(err)
	}
	refused(hard)
	if _, err := sqlite.Open(t.Context(), sqlite.Options{Path: hard}); !errors.Is(err, store.ErrInUse) {
		t.Errorf("a command writes beside, into another log: %v", err)
	}
	if err := errors.Join(os.Remove(hard), served.Close()); err != nil {
		t.Fatal(err)
	}
	aside, err := sqlite.PutBack(t.Context(), link, copied, nothing)
	if err != nil || !strings.HasPrefix(aside, path+".before-") {
		t.Errorf("kept as %q, %v", aside, err)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is a link no more: %v", err)
	}
	if now, err := os.Stat(path); err != nil || os.SameFile(was, now) {
		t.Errorf("the copy does not stand in the file's place: %v", err)
	}
	if err := os.Link(path, path+".before-cut-off"); err != nil { // a restore ended here
		t.Fatal(err)
	}
	if st, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Lock: true}); err != nil {
		t.Errorf("after a restore that was cut off: %v", err)
	} else if err := st.Close(); err != nil {
		t.Error(err)
	}
}

// A file of ours whose header has no version any more is damaged, and neither empty
// nor begun anew.
func TestAFileWithoutItsVersion(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "d.db")
	st, err := sqlite.Open(t.Context(), sqlite.Options{Path: path})
	if err != nil {
		t.Fatal(err)
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", "file:"+path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("PRAGMA user_version = 0"); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	for _, o := range []sqlite.Options{{Path: path}, {Path: path, Lock: true}, {Path: path, Look: true}} {
		if st, err := sqlite.Open(t.Context(), o); !errors.Is(err, store.ErrCorrupt) || errors.Is(err, store.ErrNotFound) {
			t.Errorf("%+v: %v", o, err)
			if err == nil {
				st.Close()
			}
		}
	}
}
