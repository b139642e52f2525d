package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"duskdawn/store"
)

// Backup copies the store, as it stands at one moment, to a new file at path
// while everything goes on, and checks the copy before it gets its name. An
// existing file is never overwritten.
func (s *Store) Backup(ctx context.Context, path string) error {
	if err := s.alive(ctx); err != nil {
		return err
	}
	if err := s.backup(ctx, path); err != nil {
		return fmt.Errorf("backing up to %s: %w", path, err)
	}
	return nil
}

func (s *Store) backup(ctx context.Context, path string) (err error) {
	if _, err := os.Lstat(path); !errors.Is(err, os.ErrNotExist) {
		if err == nil {
			err = os.ErrExist
		}
		return err
	}
	dir, err := os.MkdirTemp(filepath.Dir(path), ".backup-*") // readable by its owner alone
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	part := filepath.Join(dir, "part.db")
	db, err := connect(s.path, "_txlock=deferred") // the readers may write nothing, not even a copy
	if err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, "VACUUM INTO ?", part)
	if err = errors.Join(err, db.Close()); err != nil {
		return err
	}
	if err := os.Chmod(part, 0o600); err != nil {
		return err
	}
	if err := checkFile(ctx, part); err != nil {
		return err
	}
	if err := syncPath(part); err != nil {
		return err
	}
	if err := os.Link(part, path); err != nil { // unlike a rename it refuses what came up meanwhile
		return err
	}
	return syncPath(filepath.Dir(path))
}

// checkFile reads every page of a database, and checks that what belongs
// together is there and that no journal was altered.
func checkFile(ctx context.Context, path string) (err error) {
	db, err := onlyRead(path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	var verdict string
	if err := db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&verdict); err != nil {
		return explain(err)
	}
	if verdict != "ok" {
		return fmt.Errorf("%w (%s)", store.ErrCorrupt, verdict)
	}
	orphans := 0
	if err := db.QueryRowContext(ctx, "SELECT count(*) FROM pragma_foreign_key_check").Scan(&orphans); err != nil {
		return err
	}
	if orphans > 0 {
		return fmt.Errorf("%w (%d rows belong to nothing)", store.ErrCorrupt, orphans)
	}
	return checkJournals(ctx, db)
}

// checkJournals follows the chain of every journal, and wants every record to be in one.
func checkJournals(ctx context.Context, db *sql.DB) (err error) {
	var records, found int
	if err := db.QueryRowContext(ctx, "SELECT count(*) FROM journal").Scan(&records); err != nil {
		return err
	}
	f, err := formOf(ctx, db)
	if err != nil {
		return err
	}
	rows, err := db.QueryContext(ctx, "SELECT ref, "+recordColumns+" FROM record ORDER BY ref, seq")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	var chain store.Chain
	for last := ""; rows.Next(); {
		r, ref, err := f.scanRecord(rows)
		if err != nil {
			return fmt.Errorf("the journal of %s: %w", ref, err)
		}
		if ref != last {
			chain, last = store.Chain{}, ref
		}
		if err := chain.Next(r); err != nil {
			return fmt.Errorf("the journal of %s: %w", ref, err)
		}
		found++
	}
	if err := rows.Err(); err != nil {
		return err
	}
	if found != records {
		return fmt.Errorf("%w (%d of %d records are in their journals)", store.ErrCorrupt, found, records)
	}
	return nil
}

// Check reads every page of the store and says what is wrong with it.
func (s *Store) Check(ctx context.Context) error {
	if err := s.alive(ctx); err != nil {
		return err
	}
	if err := checkFile(ctx, s.path); err != nil {
		return fmt.Errorf("checking the store %s: %w", s.path, err)
	}
	return nil
}

// syncPath makes a file or a directory's entries durable.
func syncPath(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
