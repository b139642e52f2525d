package scheduler

import (
	"testing"
	"time"
)

// stepped is a machine's clock that somebody sets, beside the count of a process,
// which nobody can.
type stepped struct {
	RealClock
	off, count time.Duration
}

var stepZero = time.Date(2026, 11, 3, 20, 0, 0, 0, time.UTC)

func (s *stepped) Now() time.Time         { return stepZero.Add(s.count + s.off) }
func (s *stepped) elapsed() time.Duration { return s.count }

// However the clock is set, a wait is over when the process has counted its length,
// and a seventh more at the most.
func TestAClockThatIsSetNeverProlongsAWait(t *testing.T) {
	t.Parallel()
	for _, by := range []time.Duration{-3 * time.Hour, -time.Hour, -10 * time.Minute, -2 * time.Second, 0, time.Hour, 30 * 24 * time.Hour} {
		for _, wait := range []time.Duration{2 * time.Second, 15 * time.Second, 5 * time.Minute, 4 * time.Hour} {
			m := &stepped{}
			c := newSteadyClock(m, time.Time{}, m.elapsed)
			until := c.Now().Add(wait)
			m.count += wait / 4
			before := c.Now()
			m.off = by
			if now := c.Now(); now.Before(before) {
				t.Errorf("set by %v, it goes from %v back to %v", by, before, now)
			}
			for end := m.count + wait*3/4; m.count < end; m.count += wait / 100 {
				c.Now()
			}
			if left := until.Sub(c.Now()); left > wait/7 {
				t.Errorf("set by %v, a wait of %v has %v left at its end", by, wait, left)
			}
			m.count += wait / 7
			if left := until.Sub(c.Now()); left > time.Second {
				t.Errorf("set by %v, a wait of %v has %v left a seventh later", by, wait, left)
			}
		}
	}
}

// What was caught up with is the machine's time again; a clock that was wrong for
// a moment leaves nothing behind.
func TestASteadyClockComesBackToTheMachines(t *testing.T) {
	t.Parallel()
	m := &stepped{}
	c := newSteadyClock(m, time.Time{}, m.elapsed)
	m.off = -time.Hour
	for range 9 * 60 {
		m.count += time.Minute
		c.Now()
	}
	if d := c.Now().Sub(m.Now()).Abs(); d >= setBackLess {
		t.Errorf("nine hours after an hour's set-back it is %v off", d)
	}
	m.off = -2 * time.Hour
	c.Now()
	m.off = -time.Hour
	if d := c.Now().Sub(m.Now()).Abs(); d >= setBackLess {
		t.Errorf("put right at once, it is %v off", d)
	}
	m.off = -30 * 24 * time.Hour
	if d := c.Now().Sub(m.Now()); d != 0 {
		t.Errorf("a clock set back by a month is not followed: %v", d)
	}
}

// The clock was set back while the program was not running: what it has stored lies
// ahead, and time goes on from there.
func TestASteadyClockStartsWhereTheStoreEnds(t *testing.T) {
	t.Parallel()
	m := &stepped{}
	for ahead, want := range map[time.Duration]time.Duration{time.Hour: time.Hour, -time.Hour: 0, 24 * time.Hour: 0} {
		if got := newSteadyClock(m, m.Now().Add(ahead), m.elapsed).Now().Sub(m.Now()); got != want {
			t.Errorf("the store's last instant is %v ahead: starts at %v, want %v", ahead, got, want)
		}
	}
}
