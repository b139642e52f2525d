package scheduler

import (
	"sync"
	"time"
)

// Clock tells the time and waits for it. A rehearsal moves it by hand.
type Clock interface {
	Now() time.Time
	// Until returns a channel that is ready once t has come, and a function
	// that gives the wait up.
	Until(t time.Time) (<-chan struct{}, func())
}

// RealClock is the machine's clock. A wait is cut into pieces of a minute, so
// that a clock that is set, or a machine that slept, is noticed within one.
type RealClock struct{}

// Now returns the time.
func (RealClock) Now() time.Time { return time.Now() }

// Until waits for t, a minute at most.
func (RealClock) Until(t time.Time) (<-chan struct{}, func()) {
	c := make(chan struct{})
	timer := time.AfterFunc(min(max(time.Until(t), 0), time.Minute), func() { close(c) })
	return c, func() { timer.Stop() }
}

// ManualClock stands still until it is moved.
type ManualClock struct {
	mu    sync.Mutex
	now   time.Time
	waits map[chan struct{}]time.Time
}

// NewManualClock returns a clock that stands at t.
func NewManualClock(t time.Time) *ManualClock {
	return &ManualClock{now: t, waits: map[chan struct{}]time.Time{}}
}

// Now returns where it stands.
func (c *ManualClock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

// Set moves it forward to t; it never goes back.
func (c *ManualClock) Set(t time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if t.Before(c.now) {
		return
	}
	c.now = t
	for w, at := range c.waits {
		if !at.After(t) {
			close(w)
			delete(c.waits, w)
		}
	}
}

// Step sets it wrong, or right again, as a time service does: back too. Who waits
// for an instant waits for that one.
func (c *ManualClock) Step(t time.Time) {
	c.mu.Lock()
	if t.Before(c.now) {
		c.now = t
	}
	c.mu.Unlock()
	c.Set(t)
}

// Until waits for t.
func (c *ManualClock) Until(t time.Time) (<-chan struct{}, func()) {
	c.mu.Lock()
	defer c.mu.Unlock()
	w := make(chan struct{})
	if !t.After(c.now) {
		close(w)
		return w, func() {}
	}
	c.waits[w] = t
	return w, func() {
		c.mu.Lock()
		defer c.mu.Unlock()
		delete(c.waits, w)
	}
}
