//go:build unix

package sqlite_test

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"duskdawn/store"
	"duskdawn/store/sqlite"

	"golang.org/x/sys/unix"
)

// TestNoRegularFile: a device, a pipe or a directory is refused, and neither its mode
// nor anything beside it is touched.
func TestNoRegularFile(t *testing.T) {
	dir := t.TempDir()
	pipe, device, folder := filepath.Join(dir, "pipe"), filepath.Join(dir, "null"), filepath.Join(dir, "folder")
	if err := errors.Join(unix.Mkfifo(pipe, 0o644), os.Mkdir(folder, 0o755)); err != nil {
		t.Fatal(err)
	}
	paths := []string{pipe, folder}
	if unix.Mknod(device, unix.S_IFCHR|0o644, int(unix.Mkdev(1, 3))) == nil { // root alone may
		paths = append(paths, device)
	}
	for _, path := range paths {
		before, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range []sqlite.Options{{Path: path}, {Path: path, Lock: true}, {Path: path, Look: true}} {
			if s, err := sqlite.Open(t.Context(), o); err == nil {
				_ = s.Close()
				t.Errorf("%s was opened", path)
			}
		}
		if _, err := sqlite.PutBack(t.Context(), path, path, func(*sqlite.Store) error { return nil }); err == nil {
			t.Errorf("a copy was put in the place of %s", path)
		}
		after, err := os.Stat(path)
		if err != nil || after.Mode() != before.Mode() {
			t.Errorf("%s had mode %v and has %v, %v", path, before.Mode(), after.Mode(), err)
		}
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != len(paths) {
		t.Errorf("left behind: %v, %v", left, err)
	}
}

// TestLook: a file that is looked at stays as it is, to the last byte, its mode and
// what lies beside it too, whether a program serves from it or not.
func TestLook(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "store.db")
	s, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Lock: true})
	if err != nil {
		t.Fatal(err)
	}
	put(t, s, "e1", "\x10one")
	see := func(want string) {
		t.Helper()
		if err := os.Chmod(path, 0o644); err != nil {
			t.Fatal(err)
		}
		before := listing(t, dir)
		l, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Look: true})
		if err != nil {
			t.Fatal(err)
		}
		if a, err := l.Get(t.Context(), ann); err != nil || string(a.Body) != want {
			t.Errorf("it reads %q, %v", a.Body, err)
		}
		if err := l.Check(t.Context()); err != nil {
			t.Error(err)
		}
		if err := l.Update(t.Context(), ann, "e3", time.Now(), func(store.Aggregate) (store.Change, error) {
			return store.Change{Body: []byte("\x10no")}, nil
		}); err == nil {
			t.Error("it wrote")
		}
		if _, err := l.Lead(t.Context(), "what", "who", time.Second); err == nil {
			t.Error("it leads")
		}
		if err := l.Close(); err != nil {
			t.Error(err)
		}
		if after := listing(t, dir); after != before {
			t.Errorf("before:\n%s\nafter:\n%s", before, after)
		}
	}
	see("\x10one")
	put(t, s, "e2", "\x10two")
	see("\x10two")
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	see("\x10two")
	if _, err := sqlite.Open(t.Context(), sqlite.Options{Path: filepath.Join(dir, "none.db"), Look: true}); !errors.Is(err,
		fs.ErrNotExist) {
		t.Errorf("one that is not there: %v", err)
	}
}

// listing is every file of a directory with its mode and content.
func listing(t *testing.T, dir string) string {
	t.Helper()
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, f := range files {
		info, err := f.Info()
		if err != nil {
			t.Fatal(err)
		}
		raw, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(f.Name(), "-shm") { // where readers note how far they have come
			raw = nil
		}
		fmt.Fprintf(&b, "%s %v %x\n", f.Name(), info.Mode(), sha256.Sum256(raw))
	}
	return b.String()
}

// TestOlderForm: a file of an older form is brought over by whoever serves, and by
// nobody while a program of the older version serves from it: that one would go
// on writing rows without envelopes. To look at it changes nothing.
func TestOlderForm(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "store.db")
	raw, err := os.ReadFile("../../testdata/stored/2/sqlite.db.gz")
	if err != nil {
		t.Fatal(err)
	}
	z, err := gzip.NewReader(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	if raw, err = io.ReadAll(z); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	bodies := func(s *sqlite.Store) (out string) {
		for ref, err := range s.Refs(t.Context()) {
			if err != nil {
				t.Fatal(err)
			}
			a, err := s.Get(t.Context(), ref)
			if err != nil && !errors.Is(err, store.ErrNotFound) {
				t.Fatal(err)
			}
			out += fmt.Sprintf("%s %d %x\n", ref, a.Rev, a.Body)
		}
		if err := s.Check(t.Context()); err != nil {
			t.Error(err)
		}
		return out
	}
	old, err := sqlite.Hold(path) // as a program of the older version would
	if err != nil {
		t.Fatal(err)
	}
	if _, err := sqlite.Open(t.Context(), sqlite.Options{Path: path}); !errors.Is(err, store.ErrInUse) {
		t.Errorf("a command beside it: %v", err)
	}
	looked, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Look: true})
	if err != nil {
		t.Fatal(err)
	}
	was := bodies(looked)
	if has, writes, older := looked.Older(); !older || has != 2 || writes <= 2 {
		t.Errorf("form %d of %d, older %v", has, writes, older)
	}
	if err := errors.Join(looked.Close(), old.Close()); err != nil {
		t.Fatal(err)
	}
	if now, err := os.ReadFile(path); err != nil || !bytes.Equal(now, raw) {
		t.Errorf("it was changed, %v", err)
	}
	s := open(t, path)
	if is := bodies(s); is != was || len(was) < 1000 {
		t.Errorf("%s became\n%s", was, is)
	}
	for name, err := range s.Damaged(t.Context()) {
		t.Errorf("%s is damaged, %v", name, err)
	}
	secret, err := s.Secret(t.Context())
	if err != nil || len(secret) != 32 {
		t.Errorf("a secret of %d bytes, %v", len(secret), err)
	}
}
