package scheduler

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/store"
)

// Stats counts what the runner did since it was made, for metrics: each count
// is one atomic addition, and no patient is named.
type Stats struct {
	Handled, Seen, Expired, Cancelled, Doubt atomic.Int64

	Again     atomic.Int64 // of Seen, updates of the platform that came a second time
	FloodWait atomic.Int64 // nanoseconds that messages were told to wait, by our limit or the platform's
	Panics    atomic.Int64 // of deliveries and timers; the value of one may hold an answer, so only their number is known

	Prompts  atomic.Int64                        // check-ins, and milestones' words, that came due and were ordered
	Answered [flows.WeeklyCheck + 1]atomic.Int64 // check-ins that the patient took to their end
	Silent   atomic.Int64                        // nights that passed without a word, though we asked
	Late     atomic.Int64                        // prompts that came too late to be sent: ours, not the patient's silence
	Advice   [chart.Forward + 1]atomic.Int64     // advices by action
	Held     [chart.MostRules]atomic.Int64       // of these, those that did not go forward, by the rule shown
	Breach   atomic.Int64                        // advices that the guard refused: a bug
	Raised   [len(Classes)]atomic.Int64          // escalations by class
	Taken    [len(Classes)]Histogram             // seconds until a person took one, by class
	Cards    Cards                               // cards that went to people, by reason

	sent [store.LaneAll + 1][store.Doubt + 1]atomic.Int64
}

func (s *Stats) count(l store.Lane, o store.Outcome) {
	if l >= 0 && int(l) < len(s.sent) && o >= 0 && int(o) < len(s.sent[0]) {
		s.sent[l][o].Add(1)
	}
}

// Tries returns how many tries of a lane ended with an outcome.
func (s *Stats) Tries(l store.Lane, o store.Outcome) int64 { return s.sent[l][o].Load() }

// storms remembers which chats met a 429 in the last five seconds: three or
// more mean that the platform slows all of us down.
type storms struct {
	mu   sync.Mutex
	seen map[string]refused
}

type refused struct{ at, until time.Time }

// add notes one that is to wait until then, and reports whether it is a storm, and
// until when: the latest that any of those chats was told.
func (s *storms) add(queue string, now, until time.Time) (end time.Time, storm bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.seen == nil {
		s.seen = map[string]refused{}
	}
	s.seen[queue] = refused{now, until}
	for q, r := range s.seen {
		if now.Sub(r.at) > 5*time.Second {
			delete(s.seen, q)
			continue
		}
		end = later(end, r.until)
	}
	return end, len(s.seen) >= 3
}

// holds remembers the longest wait that the platform asked for, while it would
// last by a clock that nobody sets.
type holds struct {
	mu    sync.Mutex
	wait  time.Duration
	until time.Time
}

func (h *holds) add(wait time.Duration) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if end := time.Now().Add(wait); end.After(h.until) {
		h.wait, h.until = wait, end
	}
}

// asked is that wait, where it is long enough for red flags to notice.
func (h *holds) asked() time.Duration {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.wait <= store.UrgentHold || time.Now().After(h.until) {
		return 0
	}
	return h.wait
}

// Safely turns a panic into an error, so that one patient's fault does not end
// the program. The value of a panic may hold an answer and is not kept.
func (r *Runner) Safely(do func() error) (err error) {
	defer func() {
		if recover() != nil {
			r.Stats.Panics.Add(1)
			err = panicked(Where())
			r.log.Error("panic", "class", err.Error())
		}
	}()
	return do()
}

// panicked is a panic by its place.
type panicked string

func (p panicked) Error() string { return "panic at " + string(p) }

// Where finds the line of ours that panicked, seen from the deferred function that calls it.
func Where() string {
	pc := make([]uintptr, 32)
	frames := runtime.CallersFrames(pc[:runtime.Callers(3, pc)])
	for {
		f, more := frames.Next()
		if of, ok := strings.CutPrefix(f.Function, "duskdawn/"); ok || strings.HasPrefix(of, "main.") {
			return fmt.Sprintf("%s:%d", of, f.Line)
		}
		if !more {
			return "unknown"
		}
	}
}

// classOf names an error for the log without its text, which may hold an answer.
func classOf(err error) string {
	var panicked panicked
	switch {
	case errors.As(err, &panicked):
		return panicked.Error()
	case errors.Is(err, store.ErrClosed):
		return "store closed"
	case errors.Is(err, store.ErrNewer):
		return "written by a newer version"
	case errors.Is(err, store.ErrCorrupt):
		return "damaged"
	case errors.Is(err, store.ErrTooLarge):
		return "body too large"
	case errors.Is(err, store.ErrTaken):
		return "index entry taken"
	case errors.Is(err, store.ErrNotFound):
		return "not found"
	case errors.Is(err, context.DeadlineExceeded):
		return "deadline"
	case errors.Is(err, context.Canceled):
		return "cancelled"
	}
	return "store"
}
