package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"runtime"
	"slices"
	"sync"
	"time"

	"duskdawn/store"
)

const (
	groupMost  = 256                  // how many updates share a transaction at most
	busyGroup  = 8                    // how many tell that updates come fast
	settleWait = time.Millisecond / 2 // how long settlements wait for one then, at most
)

// writer is the one goroutine that writes.
type writer struct {
	jobs chan *job
	over chan struct{} // closed when the goroutine has ended
	tx   *tx

	mu     sync.RWMutex // held to read while a job is handed in
	closed bool

	busy bool // the last group was large
}

// job is one update that waits for its answer.
type job struct {
	ctx     context.Context
	run     func(*tx) error // may run more than once
	settles bool            // nobody waits for an answer by it
	done    chan struct{}
	err     error
	panics  any
}

func startWriter(conn *sql.Conn, f *readCache) *writer {
	w := &writer{jobs: make(chan *job, groupMost), over: make(chan struct{}),
		tx: &tx{conn: conn, stmts: map[string]*sql.Stmt{}, readCache: f, lastWrites: lastWrites{of: map[string]*last{}, handed: map[string]handed{}}}}
	go w.loop()
	return w
}

// do runs a job and returns once it is durable, or failed and left nothing.
func (w *writer) do(ctx context.Context, run func(*tx) error) error {
	return w.hand(&job{ctx: ctx, run: run, done: make(chan struct{})})
}

// settle is do for the end of a try, which may wait a moment longer.
func (w *writer) settle(ctx context.Context, run func(*tx) error) error {
	return w.hand(&job{ctx: ctx, run: run, settles: true, done: make(chan struct{})})
}

func (w *writer) hand(j *job) error {
	if w == nil {
		return errLook
	}
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
	if w == nil {
		return true
	}
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
	if w == nil {
		return false
	}
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
// While updates come fast, settlements alone wait for the next of them.
func (w *writer) gather(group []*job) []*job {
	var patience, wait <-chan time.Time
	more := true
	for before := 0; more && len(group) < groupMost; {
		switch {
		case len(group) > before:
			before, wait = len(group), nil
			runtime.Gosched()
		case w.busy && !slices.ContainsFunc(group, func(j *job) bool { return !j.settles }):
			if patience == nil {
				patience = time.After(settleWait)
			}
			wait = patience
		default:
			more = false
			continue
		}
		group, more = w.add(group, wait)
	}
	w.busy = len(group) >= busyGroup
	return group
}

// add takes what is handed in; where that is nothing, it waits for a job as long
// as wait says, if at all. It is not ok to go on where that or the writer ended.
func (w *writer) add(group []*job, wait <-chan time.Time) (more []*job, ok bool) {
	for n := len(group); len(group) < groupMost; {
		var j *job
		select {
		case j, ok = <-w.jobs:
		default:
			if wait == nil || len(group) > n {
				return group, true
			}
			select {
			case j, ok = <-w.jobs:
			case <-wait:
			}
		}
		if !ok {
			return group, false
		}
		group = append(group, j)
	}
	return group, true
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
	w.tx.readCache.committed(w.tx.changed)
	for _, j := range group {
		close(j.done)
	}
	return nil, false
}

func (w *writer) rollback() {
	_ = w.tx.exec("ROLLBACK") // it may be rolled back already
	w.tx.lastWrites.forget()
	w.tx.readCache.doubt()
}

// answer ends jobs with an error; nothing is left to run.
func answer(group []*job, err error) []*job {
	for _, j := range group {
		j.err = err
		close(j.done)
	}
	return nil
}
