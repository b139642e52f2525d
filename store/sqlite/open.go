package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"duskdawn/store"

	driver "modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"
)

// Options say which file to open and how.
type Options struct {
	Path string // of the file; it is made where there is none, unless Look
	Lock bool   // hold the file's lock, as serve does
	Look bool   // only read it, as it is: nothing is made, written, or brought to a newer form
}

// Store is one open file.
type Store struct {
	path      string
	lock      io.Closer
	pool      *sql.DB // of the writer's one connection
	reads     *sql.DB
	texts     sync.Map // of reads: its statements by their text
	writer    *writer  // nil where the file is only read
	readCache readCache
	form      form
	secret    []byte
}

var _ store.Store = (*Store)(nil)

const (
	// readers is how many reads may run at once.
	readers = 8
	// writerCache is room for the pages that a large group of commits writes: with
	// the usual two megabytes many of them are written more than once.
	writerCache = "PRAGMA cache_size = -16000" // KiB
	// quickCheck is the size up to which a file is checked whole when it is
	// opened, in bytes; it takes about a second for it.
	quickCheck = 64 << 20
)

// pragmas are what durability and speed hang on; each is read back.
var pragmas = []struct{ name, value, reads string }{
	{"journal_mode", "WAL", "wal"},
	{"synchronous", "FULL", "2"},
	{"foreign_keys", "1", "1"},
	{"busy_timeout", "10000", "10000"},
	{"wal_autocheckpoint", "16000", "16000"}, // pages: grouped commits are half again as fast as with 1,000
	{"journal_size_limit", "67108864", "67108864"},
	{"trusted_schema", "0", "0"},
}

// Open opens a store's file, or makes it, readable by its owner alone.
func Open(ctx context.Context, o Options) (*Store, error) {
	path, err := onePath(o.Path)
	if err != nil {
		return nil, fmt.Errorf("opening the store: %w", err)
	}
	s := &Store{path: path, form: newest, readCache: readCache{on: o.Lock, of: map[string]store.Aggregate{}}}
	open := func() error { return s.open(ctx, o.Lock) }
	if o.Look {
		open = func() error { return s.look(ctx) }
	}
	if err := errors.Join(regular(path, !o.Look), oneName(path)); err != nil {
		return nil, fmt.Errorf("opening the store: %w", err)
	}
	if err := open(); err != nil {
		if s.writer != nil {
			s.writer.stop()
		}
		s.shut()
		return nil, fmt.Errorf("opening the store %s: %w", path, explain(err))
	}
	return s, nil
}

// onePath is the one path of a file that may be named by links: its lock, its log
// and what takes its place lie beside it.
func onePath(path string) (string, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	if there, err := filepath.EvalSymlinks(path); err == nil {
		return there, nil
	}
	folder, err := filepath.EvalSymlinks(filepath.Dir(path))
	if err != nil {
		return path, nil // whoever opens it says what is wrong
	}
	return filepath.Join(folder, filepath.Base(path)), nil
}

// oneName refuses a file that has other names, hard links: lock and log of each
// lie beside it, so that two programs would write over each other. The second name
// that a restore gave the file it kept does not count.
func oneName(path string) error {
	names, err := links(path)
	if err != nil || names < 2 {
		return nil // whoever opens it says what is wrong
	}
	own, err := os.Stat(path)
	if err != nil {
		return err
	}
	beside, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		return err
	}
	for _, other := range beside {
		if info, err := other.Info(); err == nil && strings.HasPrefix(other.Name(), filepath.Base(path)+asideMark) && os.SameFile(own, info) {
			names--
		}
	}
	if names > 1 {
		return fmt.Errorf("%w, perhaps: the file has %d names (hard links), and only one may be used; remove the others", store.ErrInUse, names)
	}
	return nil
}

func (s *Store) open(ctx context.Context, lock bool) error {
	if lock {
		held, err := Hold(s.path)
		if err != nil {
			return err
		}
		s.lock = held
	}
	if err := ours(s.path); err != nil {
		return err
	}
	if !lock {
		done, err := s.alone(ctx)
		if err != nil {
			return err
		}
		defer done()
	}
	f, err := os.OpenFile(s.path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return err
	}
	info, err := f.Stat()
	if err == nil && info.Mode().Perm()&0o077 != 0 {
		err = f.Chmod(0o600)
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	if s.pool, err = connect(s.path, "_txlock=immediate"); err != nil {
		return err
	}
	s.pool.SetMaxOpenConns(1)
	conn, err := first(ctx, s.pool)
	if err != nil {
		return err
	}
	if err := verify(ctx, conn); err != nil {
		return errors.Join(err, conn.Close())
	}
	if _, err := conn.ExecContext(ctx, writerCache); err != nil {
		return errors.Join(err, conn.Close())
	}
	if err := migrate(ctx, conn, info.Size()); err != nil {
		return errors.Join(err, conn.Close())
	}
	if s.secret, err = secret(ctx, conn); err != nil {
		return errors.Join(err, conn.Close())
	}
	if lock {
		if err := endLeases(ctx, conn); err != nil {
			return errors.Join(err, conn.Close())
		}
	}
	if s.reads, err = connect(s.path, "_pragma=query_only(1)"); err != nil {
		return errors.Join(err, conn.Close())
	}
	s.reads.SetMaxOpenConns(readers)
	s.writer = startWriter(conn, &s.readCache)
	if lock {
		return s.inherit(ctx)
	}
	return nil
}

// inherit ends what an earlier holder of the file's lock had leased and claimed:
// it is gone, and nobody is to wait for its leases to run out.
func (s *Store) inherit(ctx context.Context) error {
	return s.writer.do(ctx, func(t *tx) error {
		if err := t.exec("UPDATE outbox SET ready = 1 WHERE ready > 1 AND held > 0"); err != nil {
			return err
		}
		return t.exec("UPDATE held SET until = 1 WHERE until > 1")
	})
}

// first makes the first connection. Turning a new file's log on is the one
// thing for which the engine does not wait while another program does it too.
func first(ctx context.Context, pool *sql.DB) (*sql.Conn, error) {
	for wait := time.Millisecond; ; wait *= 2 {
		conn, err := pool.Conn(ctx)
		var e *driver.Error
		if err == nil || !errors.As(err, &e) || e.Code()&0xff != lib.SQLITE_BUSY || wait > 2*time.Second {
			return conn, err
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-time.After(wait):
		}
	}
}

// connect opens a pool whose every connection has the pragmas.
func connect(path, extra string) (*sql.DB, error) {
	var query []string
	for _, p := range pragmas {
		query = append(query, "_pragma="+p.name+"("+p.value+")")
	}
	query = append(query, extra)
	u := url.URL{Scheme: "file", Path: filepath.ToSlash(path), RawQuery: strings.Join(query, "&")}
	return sql.Open("sqlite", u.String())
}

// verify reads the pragmas back: a file system that cannot do what is asked is
// found out here and not after a power cut.
func verify(ctx context.Context, conn *sql.Conn) error {
	for _, p := range pragmas {
		var got string
		if err := conn.QueryRowContext(ctx, "PRAGMA "+p.name).Scan(&got); err != nil {
			return err
		}
		if got != p.reads {
			return fmt.Errorf("the setting %s is %s here and must be %s: is the file on a local disk?", p.name, got, p.reads)
		}
	}
	return nil
}

// explain gives the error of a file that cannot be read its sentinel and the way out.
func explain(err error) error {
	var e *driver.Error
	if !errors.As(err, &e) {
		return err
	}
	switch e.Code() & 0xff {
	case lib.SQLITE_CORRUPT, lib.SQLITE_NOTADB:
		return fmt.Errorf("%w (%v): keep the file and start from the last backup", store.ErrCorrupt, err)
	}
	return err
}

// Close waits for the updates that were accepted and closes the file.
func (s *Store) Close() error {
	if s.writer.stop() {
		return s.shut()
	}
	return nil
}

func (s *Store) shut() error {
	var errs []error
	s.texts.Range(func(_, p any) bool { errs = append(errs, p.(*sql.Stmt).Close()); return true })
	if s.reads != nil {
		errs = append(errs, s.reads.Close())
	}
	if s.pool != nil {
		errs = append(errs, s.pool.Close())
	}
	if s.lock != nil {
		errs = append(errs, s.lock.Close())
	}
	return errors.Join(errs...)
}

// Path is where the file lies.
func (s *Store) Path() string { return s.path }

// Secret returns the store's secret.
func (s *Store) Secret(ctx context.Context) ([]byte, error) {
	if err := s.alive(ctx); err != nil {
		return nil, err
	}
	return append([]byte(nil), s.secret...), nil
}

// alive reports whether the store may be used.
func (s *Store) alive(ctx context.Context) error {
	if s.writer.stopped() {
		return store.ErrClosed
	}
	return ctx.Err()
}
