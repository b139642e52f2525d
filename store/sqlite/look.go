package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"duskdawn/store"
)

// regular refuses what is there and is no regular file, before it is opened, locked
// or given another mode: a device is not to become ours alone.
func regular(path string, make bool) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist) && make:
		return nil
	case err != nil:
		return err
	case !info.Mode().IsRegular():
		return fmt.Errorf("%s is no regular file", path)
	}
	return nil
}

// alone makes sure that no other program serves from a file which is to be brought
// to a newer form: an older one would go on writing rows of the old. What it
// returns lets the others in again.
func (s *Store) alone(ctx context.Context) (done func(), err error) {
	nobody := func() {}
	for end := time.Now().Add(2 * time.Second); ; time.Sleep(10 * time.Millisecond) {
		h, err := peek(s.path)
		if err != nil || h.version == 0 || form(h.version) >= newest { // 0: nobody has written a row
			return nobody, err
		}
		f, err := lookForm(ctx, s.path) // the file's log may be ahead of it
		if err != nil || f >= newest {
			return nobody, err
		}
		lock, err := Hold(s.path)
		if err == nil {
			return func() { _ = lock.Close() }, nil
		}
		if !errors.Is(err, store.ErrInUse) || time.Now().After(end) || ctx.Err() != nil {
			return nil, fmt.Errorf("the file has an older form, %d, and is not brought to %d while a program of that version serves from it: %w",
				f, newest, err)
		}
	}
}

// errLook is what a store says that is only read.
var errLook = errors.New("the store was opened to be read only")

// onlyRead opens a pool on a file that it only reads. Where the file's log lies
// beside it, it is read with that; otherwise nobody has it open, and the engine
// makes no files beside it.
func onlyRead(path string) (*sql.DB, error) {
	path, err := filepath.Abs(path) // in the address of a file a relative path's first part is a host
	if err != nil {
		return nil, err
	}
	query := "mode=ro&_pragma=query_only(1)&_pragma=busy_timeout(10000)&_pragma=trusted_schema(0)"
	if _, err := os.Stat(path + "-wal"); errors.Is(err, fs.ErrNotExist) {
		query += "&immutable=1"
	}
	u := url.URL{Scheme: "file", Path: filepath.ToSlash(path), RawQuery: query}
	return sql.Open("sqlite", u.String())
}

// lookForm reads a file's form and leaves it as it is.
func lookForm(ctx context.Context, path string) (form, error) {
	db, err := onlyRead(path)
	if err != nil {
		return 0, err
	}
	f, err := formOf(ctx, db)
	return f, errors.Join(err, db.Close())
}

// look opens the file to be read.
func (s *Store) look(ctx context.Context) (err error) {
	if err := ours(s.path); err != nil {
		return err
	}
	if s.reads, err = onlyRead(s.path); err != nil {
		return err
	}
	s.reads.SetMaxOpenConns(readers)
	if s.form, err = formOf(ctx, s.reads); err != nil {
		return err
	}
	if s.form > newest {
		return known(application, int(s.form), int(newest))
	}
	if s.form < 1 {
		var tables int
		if err := s.reads.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&tables); err != nil {
			return err
		}
		if tables > 0 {
			return known(application, int(s.form), int(newest))
		}
		return fmt.Errorf("nothing is stored in it yet: %w", store.ErrNotFound)
	}
	s.secret, err = s.form.secret(ctx, s.reads)
	return err
}

// Older reports which form the file has and which the program writes, where
// these differ: the next start brings it over.
func (s *Store) Older() (has, writes int, older bool) {
	return int(s.form), int(newest), s.form < newest
}
