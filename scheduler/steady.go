package scheduler

import (
	"sync"
	"time"
)

// SteadyClock is a clock that is never set back. What waits in the store waits
// for an instant: where the machine's clock is set back by an hour, a caution that
// is to be repeated in two seconds, and a call to staff in a quarter of an hour,
// would come an hour later. So where the machine's clock falls behind what this
// process has counted since its start, the count is kept to, and runs slower by
// an eighth until the two meet again: a wait takes as long as it was meant to
// by this clock, and a seventh longer at the most. Meanwhile evenings come early
// by what is left, and the platform's clock differs, so that no advice goes forward.
//
// A clock that is set forward is followed at once, as after a machine slept: waits
// end early. A fall of more than setBackMost is followed, too: that clock was wrong
// by more than an evening can come early.
type SteadyClock struct {
	clock   Clock
	elapsed func() time.Duration // what the process counts, whatever the clock shows

	mu   sync.Mutex
	base time.Time // our time at the count's zero
	last time.Duration
}

const (
	setBackMost = 3 * time.Hour
	setBackLess = time.Second // less than that is how clocks are kept right
	catchUp     = 8           // of so many seconds that pass one is caught up with
)

// NewSteadyClock makes one of a clock. known is an instant that has passed, as far
// as anybody knows: what a store holds that was last written to before a restart.
func NewSteadyClock(clock Clock, known time.Time) *SteadyClock {
	start := time.Now()
	return newSteadyClock(clock, known, func() time.Duration { return time.Since(start) })
}

func newSteadyClock(clock Clock, known time.Time, elapsed func() time.Duration) *SteadyClock {
	c := &SteadyClock{clock: clock, elapsed: elapsed, last: elapsed()}
	c.base = later(clock.Now(), known).Round(0).Add(-c.last)
	return c
}

// Now returns the time.
func (c *SteadyClock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	count := c.elapsed()
	shown := c.clock.Now().Round(0).Add(-count)
	ahead := c.base.Sub(shown)
	if ahead < setBackLess || ahead > setBackMost {
		c.base = shown
	} else {
		c.base = c.base.Add(-min((count-c.last)/catchUp, ahead))
	}
	c.last = count
	return c.base.Add(count)
}

// Until waits for t, a minute at most.
func (c *SteadyClock) Until(t time.Time) (<-chan struct{}, func()) {
	return c.clock.Until(c.clock.Now().Add(t.Sub(c.Now())))
}
