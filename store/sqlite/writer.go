package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"runtime"
	"sync"

	"duskdawn/store"
)

// groupMost is how many updates share a transaction at most.
const groupMost = 256

// writer is the one goroutine that writes.
type writer struct {
	jobs chan *job
	over chan struct{} // closed when the goroutine has ended
	tx   *tx

	mu     sync.RWMutex // held to read while a job is handed in
	closed bool
}

// job is one update that waits for its answer.
type job struct {
	ctx    context.Context
	run    func(*tx) error // may run more than once
	done   chan struct{}
	err    error
	panics any
}

func startWriter(conn *sql.Conn, f *fresh) *writer {
	w := &writer{jobs: make(chan *job, groupMost), over: make(chan struct{}),
		tx: &tx{conn: conn, stmts: map[string]*sql.Stmt{}, fresh: f, recent: recent{of: map[string]*last{}, handed: map[string]handed{}}}}
	go w.loop()
	return w
}

// do runs a job and returns once it is durable, or failed and left nothing.
func (w *writer) do(ctx context.Context, run func(*tx) error) error {
	j := &job{ctx: ctx, run: run, done: make(chan struct{})}
	w.mu.RLock()
	if w.closed {
		w.mu.RUnlock()
		return store.ErrClosed
	}
	w.jobs <- j
	w.mu.RUnlock()
	<-j.done
	if j.panics != nil {
		panic(j.panics) // of the caller's own function, in the caller's goroutine
	}
	return j.err
}

// stop lets the jobs that were handed in finish; true the first time.
func (w *writer) stop() bool {
	w.mu.Lock()
	first := !w.closed
	if first {
		w.closed = true
		close(w.jobs)
	}
	w.mu.Unlock()
	<-w.over
	return first
}

func (w *writer) stopped() bool {
	w.mu.RLock()
	defer w.mu.RUnlock()
	return w.closed
}

func (w *writer) loop() {
	defer close(w.over)
	defer func() { _ = w.tx.close() }()
	for first := range w.jobs {
		group := w.gather([]*job{first})
		for apart := false; len(group) > 0; {
			group, apart = w.commit(group, apart)
		}
	}
}

// gather adds what is handed in already, and lets those run who are about to
// hand in more, for as long as more comes: the fewer groups, the fewer syncs.
func (w *writer) gather(group []*job) []*job {
	for before := 0; before < len(group) && len(group) < groupMost; {
		before = len(group)
		runtime.Gosched()
	drain:
		for len(group) < groupMost {
			select {
			case j, ok := <-w.jobs:
				if !ok {
					return group
				}
				group = append(group, j)
			default:
				break drain
			}
		}
	}
	return group
}

// commit runs a group in one transaction. A job seldom fails once it has
// written, and then nothing it wrote may stay: the group runs again, each job
// apart, under a savepoint of its own, which costs more. When the engine itself
// fails, the job it failed in gets the error and the others are returned, to run again.
func (w *writer) commit(group []*job, apart bool) (again []*job, nextApart bool) {
	err := w.tx.exec("BEGIN IMMEDIATE")
	if err == nil {
		if err = w.tx.refresh(); err != nil {
			w.rollback()
		}
	}
	if err != nil {
		return answer(group, fmt.Errorf("beginning a transaction: %w", err)), false
	}
	for i, j := range group {
		run := w.tx.attempt
		if apart {
			run = w.tx.attemptApart
		}
		switch run(j) {
		case engineFailed:
			w.rollback()
			rest := append(append([]*job(nil), group[:i]...), group[i+1:]...)
			answer(group[i:i+1], j.err)
			return rest, apart
		case leftTraces:
			w.rollback()
			return group, true
		}
	}
	if err := w.tx.exec("COMMIT"); err != nil {
		w.rollback()
		return answer(group, fmt.Errorf("committing: %w", err)), false
	}
	w.tx.fresh.committed(w.tx.changed)
	for _, j := range group {
		close(j.done)
	}
	return nil, false
}

func (w *writer) rollback() {
	_ = w.tx.exec("ROLLBACK") // it may be rolled back already
	w.tx.recent.forget()
	w.tx.fresh.doubt()
}

// answer ends jobs with an error; nothing is left to run.
func answer(group []*job, err error) []*job {
	for _, j := range group {
		j.err = err
		close(j.done)
	}
	return nil
}

// tx runs statements, each prepared once, on the writer's connection.
type tx struct {
	conn   *sql.Conn
	stmts  map[string]*sql.Stmt
	recent recent
	fresh  *fresh

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
		t.recent.forget()
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
