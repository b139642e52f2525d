package storetest

import (
	"fmt"
	"slices"
	"time"

	"duskdawn/store"
)

// The limits are those the platform publishes for bots: about 30 messages a
// second in all, one a second to a chat with short bursts tolerated, 20 a
// minute to a group (Bot API FAQ, core.telegram.org/bots/faq; no DOI).

func (b *bench) reserve(now time.Time, queue string, group bool, lane store.Lane) time.Duration {
	b.Helper()
	wait, err := b.Reserve(b.ctx, now, queue, group, lane)
	must(b, err)
	if wait < 0 {
		b.Fatalf("told to wait %v", wait)
	}
	return wait
}

// most is the largest number of instants in any closed span of that length.
func most(at []time.Time, span time.Duration) int {
	slices.SortFunc(at, time.Time.Compare)
	best, i := 0, 0
	for j := range at {
		for at[j].Sub(at[i]) > span {
			i++
		}
		best = max(best, j-i+1)
	}
	return best
}

// testFloodAll paces many prompts as fast as the platform allows and never faster.
func testFloodAll(b *bench) {
	const prompts = 400
	now, granted := start, []time.Time{}
	for len(granted) < prompts {
		wait := b.reserve(now, fmt.Sprint("chat-", len(granted)), false, store.LanePrompt)
		if wait == 0 {
			granted = append(granted, now)
			continue
		}
		now = now.Add(wait)
	}
	if n := most(granted, time.Second); n > 30 {
		b.Fatalf("%d prompts in one second", n)
	}
	last := granted[len(granted)-1].Sub(granted[0])
	if r := float64(prompts-1) / last.Seconds(); r < 29 {
		b.Fatalf("paced at %.2f a second, the allowance is 30", r)
	}
}

// testFloodReplies sends replies and red flags while prompts wait for every
// place there is: in all never too many, and none of them waits a second.
func testFloodReplies(b *bench) {
	type ask struct {
		since time.Time
		queue string
		lane  store.Lane
	}
	now, end := start, start.Add(8*time.Second)
	var granted []time.Time
	var waiting []ask
	prompts, replies, worst := 0, 0, time.Duration(0)
	for next := start.Add(2 * time.Second); now.Before(end); {
		if !next.After(now) { // ten replies and a red flag at once, every second
			for i := range 11 {
				lane := store.LaneReply
				if i == 10 {
					lane = store.LaneUrgent
				}
				waiting = append(waiting, ask{now, fmt.Sprintf("reply-%d-%d", next.Unix(), i), lane})
			}
			next = next.Add(time.Second)
		}
		earliest := next.Sub(now)
		for {
			wait := b.reserve(now, fmt.Sprint("prompt-", prompts), false, store.LanePrompt) // prompts ask first
			if wait > 0 {
				earliest = min(earliest, wait)
				break
			}
			granted = append(granted, now)
			prompts++
		}
		waiting = slices.DeleteFunc(waiting, func(a ask) bool {
			wait := b.reserve(now, a.queue, false, a.lane)
			if wait > 0 {
				earliest = min(earliest, wait)
				return false
			}
			granted = append(granted, now)
			replies++
			worst = max(worst, now.Sub(a.since))
			return true
		})
		now = now.Add(earliest)
	}
	if n := most(granted, time.Second); n > 30 {
		b.Fatalf("%d messages in one second", n)
	}
	if len(waiting) > 0 || replies < 60 || worst >= time.Second {
		b.Fatalf("%d replies sent, %d waiting, the slowest after %v", replies, len(waiting), worst)
	}
	if prompts < 100 {
		b.Fatalf("only %d prompts went beside them", prompts)
	}
}

func testFloodChat(b *bench) {
	now, granted := start, []time.Time{}
	for range 3 {
		same(b, "burst", b.reserve(now, "c", false, store.LaneReply), time.Duration(0))
		granted = append(granted, now)
	}
	if wait := b.reserve(now, "c", false, store.LaneUrgent); wait <= 0 || wait > time.Second {
		b.Fatalf("behind a burst: told to wait %v", wait)
	}
	same(b, "another chat", b.reserve(now, "d", false, store.LaneReply), time.Duration(0))
	same(b, "an event", b.reserve(now, "c", false, store.LaneEvent), time.Duration(0))
	for len(granted) < 12 {
		if wait := b.reserve(now, "c", false, store.LaneReply); wait > 0 {
			now = now.Add(wait)
			continue
		}
		granted = append(granted, now)
	}
	same(b, "twelve took", now.Sub(start), 9*time.Second)
}

func testFloodGroup(b *bench) {
	now, granted := start, []time.Time{}
	for len(granted) < 60 {
		if wait := b.reserve(now, "-1", true, store.LaneStaff); wait > 0 {
			now = now.Add(wait)
			continue
		}
		granted = append(granted, now)
	}
	if n := most(granted, time.Minute); n > 20 {
		b.Fatalf("%d messages to a group in a minute", n)
	}
	if took := now.Sub(start); took > 122*time.Second {
		b.Fatalf("60 messages to a group took %v", took)
	}
}

// testFloodRoom asks beforehand what would be granted: exactly that is, and
// asking counts nothing.
func testFloodRoom(b *bench) {
	now, asked := start, 0
	for round := range 60 {
		lane := []store.Lane{store.LaneUrgent, store.LaneReply, store.LaneStaff, store.LanePrompt}[round%4]
		var room int
		var wait time.Duration
		for range 2 {
			var err error
			room, wait, err = b.Room(b.ctx, now, lane)
			must(b, err)
		}
		use := room // every third round some of it, so that the rest is still there
		if round%3 == 0 {
			use = room / 2
		}
		for range use {
			asked++
			same(b, "promised", b.reserve(now, fmt.Sprint("chat-", asked), false, lane), time.Duration(0))
		}
		if use == room {
			same(b, "until one more", b.reserve(now, fmt.Sprint("chat-", asked+1), false, lane), wait)
		}
		now = now.Add(time.Duration(round*7%40) * time.Millisecond)
	}
	if asked < 60 {
		b.Fatalf("only %d granted", asked)
	}
	must(b, b.HoldOff(b.ctx, "", now.Add(9*time.Second)))
	room, wait, err := b.Room(b.ctx, now, store.LaneStaff)
	must(b, err)
	same(b, "bulk held off", room, 0)
	same(b, "bulk held off", wait, 9*time.Second)
	now = now.Add(2 * time.Second)
	room, wait, err = b.Room(b.ctx, now, store.LaneReply)
	must(b, err)
	same(b, "replies one by one", room, 1)
	same(b, "replies one by one", wait, time.Second)
}

// testFloodClock sets the clock back: the limiter neither stops nor opens up.
func testFloodClock(b *bench) {
	for range 3 {
		b.reserve(start.Add(time.Hour), "c", false, store.LaneReply)
	}
	var granted []time.Time
	now := start
	for len(granted) < 4 {
		wait := b.reserve(now, "c", false, store.LaneReply)
		if wait > 0 {
			now = now.Add(wait)
			continue
		}
		granted = append(granted, now)
	}
	same(b, "four after the clock was set back", now.Sub(start), time.Second)
}

// testGranted: when the newest message was granted is known to whoever asks.
func testGranted(b *bench) {
	newest := func(want time.Time) {
		b.Helper()
		at, err := b.Granted(b.ctx)
		must(b, err)
		same(b, "granted last", at, want)
	}
	newest(time.Time{})
	b.reserve(start, "c", false, store.LaneReply)
	b.reserve(start.Add(3*time.Second), "d", false, store.LanePrompt)
	must(b, b.HoldOff(b.ctx, "c", start.Add(time.Minute)))
	b.reserve(start.Add(4*time.Second), "c", false, store.LaneReply) // refused
	newest(start.Add(3 * time.Second))
}

// testDamagedFlood: what the flood limiter remembers and cannot be read holds up nobody.
func testDamagedFlood(b *bench) {
	must(b, b.HoldOff(b.ctx, "c", start.Add(time.Minute)))
	same(b, "whole", b.reserve(start, "c", false, store.LaneReply), time.Minute)
	name := store.RowName(store.RowFlood, "c")
	b.damage(name)
	same(b, "damaged", b.named(), []string{name})
	same(b, "damaged", b.reserve(start, "c", false, store.LaneReply), time.Duration(0))
	same(b, "written anew", b.named(), nil)
}

func testHoldOff(b *bench) {
	until := start.Add(30 * time.Second)
	must(b, b.HoldOff(b.ctx, "c", until))
	must(b, b.HoldOff(b.ctx, "c", start.Add(time.Second))) // the latest stands
	same(b, "a queue", b.reserve(start, "c", false, store.LaneUrgent), 30*time.Second)
	same(b, "another queue", b.reserve(start, "d", false, store.LanePrompt), time.Duration(0))
	must(b, b.HoldOff(b.ctx, "", start.Add(10*time.Second)))
	for _, lane := range []store.Lane{store.LaneStaff, store.LanePrompt, store.LaneReminder, store.LaneReport, store.LaneStranger} {
		same(b, "bulk", b.reserve(start, "e", false, lane), 10*time.Second)
	}
	// Red flags and replies go on, one a second from what went last.
	same(b, "the first", b.reserve(start, "e", false, store.LaneUrgent), time.Second)
	same(b, "the first", b.reserve(start.Add(time.Second), "e", false, store.LaneUrgent), time.Duration(0))
	same(b, "the second", b.reserve(start.Add(1500*time.Millisecond), "f", false, store.LaneReply), 500*time.Millisecond)
	same(b, "the second", b.reserve(start.Add(2*time.Second), "f", false, store.LaneReply), time.Duration(0))
	same(b, "its own", b.reserve(start.Add(4*time.Second), "c", false, store.LaneUrgent), 26*time.Second)
	same(b, "refused counts nothing", b.reserve(start.Add(4*time.Second), "e", false, store.LaneUrgent), time.Duration(0))
	same(b, "the longer of two", b.reserve(start.Add(time.Second), "c", false, store.LanePrompt), 29*time.Second)
	same(b, "bulk again", b.reserve(start.Add(10*time.Second), "e", false, store.LanePrompt), time.Duration(0))
	same(b, "over", b.reserve(until, "c", false, store.LaneReply), time.Duration(0))
}

// testHoldOffIsBounded: a platform that asks for hours is asked again, for what
// is urgent within half a minute.
func testHoldOffIsBounded(b *bench) {
	for _, queue := range []string{"c", "-7"} {
		group := queue == "-7"
		same(b, "a try", b.reserve(start, queue, group, store.LaneUrgent), time.Duration(0))
		must(b, b.HoldOff(b.ctx, queue, start.Add(store.HoldMost)))
		wait := b.reserve(start.Add(2*time.Second), queue, group, store.LaneUrgent)
		if wait < 20*time.Second || wait > store.UrgentHold {
			b.Errorf("%s: a red flag waits %v", queue, wait)
		}
		at := start.Add(2*time.Second + wait)
		same(b, "a reply", b.reserve(at, queue, group, store.LaneReply), start.Add(store.HoldMost).Sub(at))
		same(b, "a red flag", b.reserve(at, queue, group, store.LaneUrgent), time.Duration(0))
		must(b, b.HoldOff(b.ctx, queue, start.Add(10*time.Hour))) // of a program that kept longer waits
		same(b, "hours", b.reserve(at.Add(10*time.Second), queue, group, store.LaneReply), time.Duration(0))
		start := start.Add(time.Hour)
		same(b, "later", b.reserve(start, queue, group, store.LaneReply), time.Duration(0))
	}
}
