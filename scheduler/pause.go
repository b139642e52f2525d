package scheduler

import (
	"time"

	"duskdawn/store"
)

// again is how soon what is in doubt is repeated: soon enough to come before
// whatever else the patient is told, late enough for a connection to be made.
const again = 2 * time.Second

// What is urgent is tried again after short pauses for a quarter of an hour, and
// then now and then until UrgentFor: by then people have rung several times. A
// platform that takes everything and confirms nothing shows it a hundred times.
const (
	urgentPause = 15 * time.Second
	urgentFirst = 15 * time.Minute
	urgentLater = 5 * time.Minute
)

// UrgentFor is how long an urgent message matters.
const UrgentFor = 4 * time.Hour

// pauseOf is how long an item waits after a try that was not confirmed.
func pauseOf(it store.Item, now time.Time) time.Duration {
	switch {
	case it.Lane != store.LaneUrgent:
		return backOff(it.Attempt)
	case now.Sub(it.Ordered) > urgentFirst:
		return urgentLater
	default:
		return min(backOff(it.Attempt-1), urgentPause)
	}
}

// backOff is how long to wait after a try that did not get through: 1 s, doubled, a minute at most.
func backOff(attempt int) time.Duration {
	return min(time.Second<<min(max(attempt, 0), 6), time.Minute)
}
