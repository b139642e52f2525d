package sqlite

import (
	"context"
	"database/sql"
	"errors"
)

// tx runs statements, each prepared once, on the writer's connection.
type tx struct {
	conn       *sql.Conn
	stmts      map[string]*sql.Stmt
	lastWrites lastWrites
	readCache  *readCache

	changed []changed // aggregates, in this transaction
	wrote   bool      // since it was last set to false
}

// failure is an error of the engine, as opposed to one of a job.
type failure struct{ error }

func (f failure) Unwrap() error { return f.error }

// ending is how a job's run ended.
type ending int

const (
	wentWell     ending = iota // or its error changed nothing
	leftTraces                 // it failed after it had written
	engineFailed               // the transaction is not to be trusted
)

// attempt runs a job in the group's transaction.
func (t *tx) attempt(j *job) ending {
	t.wrote = false
	switch t.run(j); {
	case errors.As(j.err, &failure{}):
		return engineFailed
	case t.wrote && (j.err != nil || j.panics != nil):
		return leftTraces
	}
	return wentWell
}

// attemptApart runs a job under a savepoint and leaves nothing of one that failed.
func (t *tx) attemptApart(j *job) ending {
	if j.err = t.exec("SAVEPOINT job"); j.err != nil {
		return engineFailed
	}
	before := len(t.changed)
	switch t.run(j); {
	case errors.As(j.err, &failure{}):
		return engineFailed
	case j.err != nil || j.panics != nil:
		t.lastWrites.forget()
		t.changed = t.changed[:before]
		if err := t.exec("ROLLBACK TO job"); err != nil {
			j.err = err
			return engineFailed
		}
	}
	if err := t.exec("RELEASE job"); err != nil {
		j.err = err
		return engineFailed
	}
	return wentWell
}

// run runs a job's function, unless nobody waits for it any more.
func (t *tx) run(j *job) {
	defer func() { j.panics = recover() }()
	if j.err = j.ctx.Err(); j.err == nil {
		j.err = j.run(t)
	}
}

func (t *tx) stmt(text string) (*sql.Stmt, error) {
	if s, ok := t.stmts[text]; ok {
		return s, nil
	}
	s, err := t.conn.PrepareContext(context.Background(), text)
	if err != nil {
		return nil, failure{err}
	}
	t.stmts[text] = s
	return s, nil
}

// exec runs a statement.
func (t *tx) exec(text string, args ...any) error {
	_, err := t.change(text, args...)
	return err
}

// change runs a statement and says how many rows it changed.
func (t *tx) change(text string, args ...any) (int64, error) {
	_, n, err := t.insert(text, args...)
	return n, err
}

// insert runs a statement and says which row it made, and how many it changed.
func (t *tx) insert(text string, args ...any) (row, n int64, err error) {
	s, err := t.stmt(text)
	if err != nil {
		return 0, 0, err
	}
	r, err := s.Exec(args...)
	if err != nil {
		return 0, 0, failure{err}
	}
	if n, err = r.RowsAffected(); err != nil {
		return 0, 0, failure{err}
	}
	t.wrote = t.wrote || n > 0
	if row, err = r.LastInsertId(); err != nil {
		return 0, 0, failure{err}
	}
	return row, n, nil
}

// write is get for a statement that changes what it returns.
func (t *tx) write(text string, args []any, dest ...any) (bool, error) {
	found, err := t.get(text, args, dest...)
	t.wrote = t.wrote || found
	return found, err
}

// get reads one row into dest; false where there is none.
func (t *tx) get(text string, args []any, dest ...any) (bool, error) {
	s, err := t.stmt(text)
	if err != nil {
		return false, err
	}
	switch err := s.QueryRow(args...).Scan(dest...); {
	case errors.Is(err, sql.ErrNoRows):
		return false, nil
	case err != nil:
		return false, failure{err}
	}
	return true, nil
}

// all reads every row with scan.
func (t *tx) all(text string, args []any, scan func(*sql.Rows) error) error {
	s, err := t.stmt(text)
	if err != nil {
		return err
	}
	rows, err := s.Query(args...)
	if err != nil {
		return failure{err}
	}
	for rows.Next() {
		if err := scan(rows); err != nil {
			_ = rows.Close()
			return failure{err}
		}
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return failure{err}
	}
	return nil
}

func (t *tx) close() error {
	var errs []error
	for _, s := range t.stmts {
		errs = append(errs, s.Close())
	}
	return errors.Join(append(errs, t.conn.Close())...)
}
