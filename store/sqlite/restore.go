package sqlite

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"duskdawn/store"
)

// PutBack puts a copy in the place of a store's file that nobody serves from.
// The copy is checked whole, brought to the newest schema and handed to
// prepare; only then does it get the name, in one step. The file that was there
// is kept beside it, with the log that belongs to it: aside is its name, empty
// where there was none. Whatever fails before changes nothing.
func PutBack(ctx context.Context, path, from string, prepare func(*Store) error) (aside string, err error) {
	if path, err = onePath(path); err != nil {
		return "", err
	}
	if err := errors.Join(regular(path, true), oneName(path)); err != nil {
		return "", err
	}
	lock, err := Hold(path)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, lock.Close()) }()
	if err := whole(path, from); err != nil {
		return "", fmt.Errorf("restoring from %s: %w", from, err)
	}
	dir, err := os.MkdirTemp(filepath.Dir(path), ".restore-*") // readable by its owner alone
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	part := filepath.Join(dir, "part.db")
	if err := copyFile(from, part); err != nil {
		return "", fmt.Errorf("restoring from %s: %w", from, err)
	}
	if err := ready(ctx, part, prepare); err != nil {
		return "", fmt.Errorf("restoring from %s: %w", from, err)
	}
	if aside, err = setAside(ctx, path); err != nil {
		return "", fmt.Errorf("keeping the file that is there: %w", err)
	}
	for _, side := range sidecars { // of the file that goes: beside another they would destroy it
		if err := os.Remove(path + side); err != nil && !errors.Is(err, os.ErrNotExist) {
			return aside, err
		}
	}
	if err := os.Rename(part, path); err != nil {
		return aside, err
	}
	return aside, syncPath(filepath.Dir(path))
}

// sidecars are what the engine keeps beside a file that is open, or was not closed.
var sidecars = []string{"-wal", "-shm", "-journal"}

// whole refuses a copy that is the store itself, or only a part of one.
func whole(path, from string) error {
	info, err := os.Stat(from)
	if err != nil {
		return err
	}
	if !info.Mode().IsRegular() {
		return errors.New("it is not a file")
	}
	if now, err := os.Stat(path); err == nil && os.SameFile(info, now) {
		return errors.New("it is the store itself")
	}
	for _, side := range []string{"-wal", "-journal"} {
		if log, err := os.Stat(from + side); err == nil && log.Size() > 0 {
			return fmt.Errorf("beside it lies %s: it was copied while in use, or is in use; take a copy that backup made",
				filepath.Base(from)+side)
		}
	}
	if info.Size() < 512 {
		return fmt.Errorf("%w: it is empty", store.ErrCorrupt)
	}
	return ours(from)
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer func() { _ = in.Close() }()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}

// ready checks what was copied, prepares it, and checks the result.
func ready(ctx context.Context, part string, prepare func(*Store) error) error {
	if err := checkFile(ctx, part); err != nil {
		return err
	}
	s, err := Open(ctx, Options{Path: part})
	if err != nil {
		return err
	}
	if err := errors.Join(prepare(s), s.Close()); err != nil {
		return err
	}
	if log, err := os.Stat(part + "-wal"); err == nil && log.Size() > 0 {
		return errors.New("its log was not folded in")
	}
	return errors.Join(checkFile(ctx, part), syncPath(part))
}

// asideMark stands in the second name of a file that was kept.
const asideMark = ".before-"

// setAside gives the present file a second name, and its log too, so that they
// go on belonging together. A file that can be read has its log folded in first.
func setAside(ctx context.Context, path string) (string, error) {
	if _, err := os.Lstat(path); errors.Is(err, os.ErrNotExist) {
		return "", nil
	}
	if ours(path) == nil {
		if db, err := connect(path, "_txlock=immediate"); err == nil { // best effort: it may be damaged, which is why it goes
			_, _ = db.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
			_ = db.Close()
		}
	}
	aside := path + asideMark + time.Now().UTC().Format("20060102T150405.000")
	if err := os.Link(path, aside); err != nil { // unlike a rename it refuses what is there
		return "", err
	}
	if err := os.Link(path+"-wal", aside+"-wal"); err != nil && !errors.Is(err, os.ErrNotExist) {
		return "", err
	}
	return aside, syncPath(filepath.Dir(path))
}
