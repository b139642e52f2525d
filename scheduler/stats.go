package scheduler

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"time"

	"duskdawn/store"
)

// Stats counts what the runner did, for metrics; no patient is named.
type Stats struct {
	Handled, Seen, Expired, Cancelled, Doubt atomic.Int64

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
	seen map[string]time.Time
}

// add notes one and tells whether it is a storm.
func (s *storms) add(queue string, now time.Time) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.seen == nil {
		s.seen = map[string]time.Time{}
	}
	for q, at := range s.seen {
		if now.Sub(at) > 5*time.Second {
			delete(s.seen, q)
		}
	}
	s.seen[queue] = now
	return len(s.seen) >= 3
}

// classOf names an error for the log without its text, which may hold an answer.
func classOf(err error) string {
	switch {
	case errors.Is(err, store.ErrClosed):
		return "store closed"
	case errors.Is(err, store.ErrNewer):
		return "written by a newer version"
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
