package scheduler

import (
	"time"

	"duskdawn/store"
)

// What is in doubt is repeated so soon: early enough to come before whatever else
// the patient is told, late enough for a connection to be made. Where that is in
// doubt again, as when sends alone fail for half a minute, it is repeated whenever
// it has waited as long again, with pauses up to a bound: a reply is short-lived
// and holds up those behind it, a question is worth being read twice.
const (
	again      = 2 * time.Second
	replyFor   = 3 * time.Minute
	replyPause = 15 * time.Second
	bulkFor    = 30 * time.Minute
	bulkPause  = 5 * time.Minute
)

// doubtFor is how long after it was ordered what is in doubt is repeated more than once.
func doubtFor(lane store.Lane) time.Duration {
	switch lane {
	case store.LaneStranger:
		return 0
	case store.LaneReply:
		return replyFor
	default:
		return bulkFor
	}
}

// doubtPause is how long an item that is in doubt waits.
func doubtPause(it store.Item, now time.Time) time.Duration {
	most := bulkPause
	if it.Lane == store.LaneReply {
		most = replyPause
	}
	if !it.Written {
		return again
	}
	return min(max(now.Sub(it.Ordered), again), most)
}

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
