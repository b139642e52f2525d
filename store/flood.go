package store

import (
	"encoding/binary"
	"fmt"
	"slices"
	"time"
)

// A place is counted when it is granted: on a line whose delay varies by more
// than 34 ms the platform may count 31 in a second, refuses one, and its wait is
// honoured. A wait that it asks for shuts that chat to every lane, and three
// within five seconds shut bulk in all of them, for the longest that was asked.
// Red flags and replies go on meanwhile, one a second in all, each where its own
// chat asked for nothing: what the platform refuses counts against us, but it
// may take the next.

// The platform's limits: about 30 messages a second in all, one a second to a
// chat with short bursts tolerated, 20 a minute to a group (the Bot API's FAQ,
// "My bot is hitting limits, how do I avoid this?").
const (
	allMost = 30          // messages in any closed second, to everybody
	allPer  = time.Second //
	bulkGap = 34400 * time.Microsecond
	// bulkMost in bulkPer leaves the next place that falls free to a reply: bulk
	// is paced at 29.07 a second and gives way one place before replies do.
	bulkMost = 29
	bulkPer  = bulkMost * bulkGap
	// BulkPerSecond is the whole messages of it.
	BulkPerSecond = int(time.Second / bulkGap)
	// bulkLate is how far bulk may catch up when it asked late.
	bulkLate = 4 * bulkGap

	groupMost = 20
	groupPer  = time.Minute
	chatGap   = time.Second
	chatBurst = 3

	// stormGap is how far apart red flags and replies go out while the platform
	// slows all of us down: each try that it refuses counts against us.
	stormGap = time.Second

	// HoldMost is how long a wait that the platform asked for is kept at the most,
	// and UrgentHold is that of red flags: then it is asked again. It may have
	// asked for hours, which would be as long a silence.
	HoldMost   = 5 * time.Minute
	UrgentHold = 30 * time.Second

	// setBack is how far ahead an instant may lie before it is taken to come
	// from a clock that was set back since, and is forgotten.
	setBack = time.Minute
)

// Bucket is what the flood limiter remembers of one queue, or, under the empty
// name, of all. Instants are in microseconds.
type Bucket struct {
	Sent []int64 // when the newest were granted, in order
	Pace int64   // chats: when the burst is used up to; all: when bulk may go on
	Hold int64   // nothing before this instant; all: no bulk, and the rest one by one
}

// Reserve asks for one message at now, in the bucket of all and the queue's
// own. Granted, it returns 0 and the buckets with the message counted;
// otherwise how long to wait, and the buckets as they were.
func Reserve(now time.Time, group bool, lane Lane, all, own Bucket) (time.Duration, Bucket, Bucket) {
	if lane == LaneEvent {
		return 0, all, own
	}
	at := now.UnixMicro()
	a, o := all.current(at), own.current(at)
	next := max(o.held(lane), a.free(at, allMost, allPer))
	if lane > LaneReply {
		next = max(next, a.Hold, a.Pace, a.free(at, bulkMost, bulkPer))
	} else if n := len(a.Sent); n > 0 {
		next = max(next, min(a.Hold, a.Sent[n-1]+stormGap.Microseconds()))
	}
	if group {
		next = max(next, o.free(at, groupMost, groupPer))
	} else {
		next = max(next, o.Pace-(chatBurst-1)*chatGap.Microseconds())
	}
	if next > at {
		return time.Duration(next-at) * time.Microsecond, all, own
	}
	a.add(at, allMost)
	if lane > LaneReply {
		a.Pace = max(a.Pace, at-bulkLate.Microseconds()) + bulkGap.Microseconds()
	}
	if group {
		o.add(at, groupMost)
	} else {
		o.Pace = max(o.Pace, at) + chatGap.Microseconds()
	}
	return 0, a, o
}

// Room tells how many messages of a lane the limit of all grants at now, to
// chats that wait for nothing of their own, and how long it is until one more.
func Room(now time.Time, lane Lane, all Bucket) (n int, wait time.Duration) {
	for ; ; n++ {
		if wait, all, _ = Reserve(now, false, max(lane, LaneUrgent), all, Bucket{}); wait > 0 {
			return n, wait
		}
	}
}

// held is until when the queue is shut to a lane: to a red flag for no longer
// than UrgentHold since the last message that was granted.
func (b Bucket) held(lane Lane) int64 {
	if lane != LaneUrgent || b.Pace == 0 && len(b.Sent) == 0 {
		return b.Hold
	}
	last := b.Pace - chatGap.Microseconds() // a chat's: of the last, or of those of a short burst
	if n := len(b.Sent); n > 0 {
		last = b.Sent[n-1] // a group's
	}
	return min(b.Hold, last+UrgentHold.Microseconds())
}

// Newest is when the newest message was granted, the zero time where none is known.
func (b Bucket) Newest() time.Time {
	if len(b.Sent) == 0 {
		return time.Time{}
	}
	return FromMicros(b.Sent[len(b.Sent)-1])
}

// HoldOff keeps the bucket shut until then, or longer if it was.
func (b Bucket) HoldOff(until time.Time) Bucket {
	b.Hold = max(b.Hold, until.UnixMicro())
	return b
}

// Idle reports whether the bucket says nothing any more at that instant.
func (b Bucket) Idle(at time.Time) bool {
	us := at.UnixMicro()
	return b.Hold <= us && b.Pace <= us && (len(b.Sent) == 0 || b.Sent[len(b.Sent)-1]+groupPer.Microseconds() < us)
}

// current is the bucket without what a clock that was set back left in it.
func (b Bucket) current(at int64) Bucket {
	limit := at + setBack.Microseconds()
	b.Sent = slices.DeleteFunc(slices.Clone(b.Sent), func(t int64) bool { return t > limit })
	if b.Pace > limit {
		b.Pace = 0
	}
	if b.Hold > limit+HoldMost.Microseconds() {
		b.Hold = 0 // of a program that kept longer waits, or of another clock
	}
	return b
}

// free returns the first instant from at on that fewer than most were sent in
// the closed span of per before it.
func (b Bucket) free(at int64, most int, per time.Duration) int64 {
	if len(b.Sent) < most {
		return at
	}
	return max(at, b.Sent[len(b.Sent)-most]+per.Microseconds()+1)
}

// add counts a message, keeping the newest most.
func (b *Bucket) add(at int64, most int) {
	b.Sent = append(b.Sent, at)
	slices.Sort(b.Sent) // clocks of several processes differ a little
	if extra := len(b.Sent) - most; extra > 0 {
		b.Sent = slices.Delete(b.Sent, 0, extra)
	}
}

// FloodPlace is where the bucket of a queue stands.
func FloodPlace(queue string) []byte { return Place(RowFlood, queue) }

// Row gives the bucket's row of that queue.
func (b Bucket) Row(queue string) ([]byte, error) {
	raw, err := b.MarshalBinary()
	if err != nil {
		return nil, err
	}
	return Wrap(FloodPlace(queue), raw), nil
}

// ReadBucket reads what Row gave, or nothing at all. A row that is not as it was
// stored is an unused bucket: what the platform then refuses it says, while a
// limiter that cannot be read would hold up every chat. Damaged names the row.
func ReadBucket(queue string, row []byte) (b Bucket) {
	raw, err := Unwrap(FloodPlace(queue), row)
	if err != nil || b.UnmarshalBinary(raw) != nil {
		return Bucket{}
	}
	return b
}

// MarshalBinary gives the body of the stored form.
func (b Bucket) MarshalBinary() ([]byte, error) {
	out := make([]byte, 0, 8*(2+len(b.Sent)))
	for _, t := range append([]int64{b.Pace, b.Hold}, b.Sent...) {
		out = binary.BigEndian.AppendUint64(out, uint64(t))
	}
	return out, nil
}

// UnmarshalBinary reads it; nothing at all is an unused bucket.
func (b *Bucket) UnmarshalBinary(data []byte) error {
	*b = Bucket{}
	if len(data) == 0 {
		return nil
	}
	if len(data)%8 != 0 || len(data) < 16 {
		return fmt.Errorf("reading a flood bucket of %d bytes: %w", len(data), ErrCorrupt)
	}
	at := func(i int) int64 { return int64(binary.BigEndian.Uint64(data[8*i:])) }
	b.Pace, b.Hold = at(0), at(1)
	for i := 2; i < len(data)/8; i++ {
		b.Sent = append(b.Sent, at(i))
	}
	return nil
}
