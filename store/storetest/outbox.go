package storetest

import (
	"fmt"
	"sync"
	"time"

	"duskdawn/store"
)

func testQueueOrder(b *bench) {
	b.order(ann, item(ann, "1", store.LanePrompt), item(ann, "2", store.LanePrompt))
	b.order(ann, item(ann, "3", store.LanePrompt))
	other := item(ann, "other", store.LanePrompt)
	other.Queue = "another chat"
	b.order(ann, other)
	same(b, "one of each queue", b.lease(start), []string{"1", "other"})
	same(b, "while it is out", b.lease(start), nil)
	b.settle(ann, "1", sent)
	same(b, "the second", b.lease(start), []string{"2"})
	b.settle(ann, "2", store.Settlement{Outcome: store.Pending, Until: start.Add(time.Minute)})
	b.settle(ann, "other", sent)
	same(b, "the third waits behind the second", b.lease(start.Add(59*time.Second)), nil)
	same(b, "the second again", b.lease(start.Add(time.Minute)), []string{"2"})
	b.settle(ann, "2", store.Settlement{Outcome: store.Rejected})
	same(b, "the third", b.lease(start.Add(time.Minute)), []string{"3"})
}

func testLanes(b *bench) {
	at := start
	for _, o := range []struct {
		ref  store.Ref
		name string
		lane store.Lane
	}{
		{ann, "report", store.LaneReport}, {ben, "prompt", store.LanePrompt}, {cyd, "prompt2", store.LanePrompt}, {chat, "reply", store.LaneReply},
		{ann, "reminder", store.LaneReminder}, {practice, "event", store.LaneEvent}, {cyd, "urgent", store.LaneUrgent},
	} {
		at = at.Add(time.Second)
		b.updateAt(o.ref, at, store.Change{Out: []store.Item{item(o.ref, o.name, o.lane)}})
	}
	// Of ann's and cyd's queues only the lowest lane goes; the rest by lane and then by age.
	out, _, err := b.Lease(b.ctx, at, 3, store.LaneAll, time.Minute)
	must(b, err)
	same(b, "the first three", bodies(out), []string{"event", "urgent", "reply"})
	same(b, "the rest", b.lease(at), []string{"prompt", "reminder"})
	b.settle(cyd, "urgent", sent)
	b.settle(ann, "reminder", sent)
	same(b, "the higher lanes", b.lease(at), []string{"prompt2", "report"})
	b.updateAt(ann, at, store.Change{Out: []store.Item{item(ann, "late", store.LaneUrgent)}})
	same(b, "even an urgent one waits for the one that is out", b.lease(at), nil)
	b.settle(ann, "report", store.Settlement{Outcome: store.Pending})
	same(b, "and then passes it", b.lease(at), []string{"late"})
}

func testLanesLeftAlone(b *bench) {
	b.order(ann, item(ann, "prompt", store.LanePrompt))
	b.order(cyd, item(cyd, "reply", store.LaneReply))
	old := item(ben, "old", store.LaneReminder)
	old.NotAfter = start
	b.order(ben, old)
	now := start.Add(time.Minute)
	out, expired, err := b.Lease(b.ctx, now, 9, store.LaneReply, time.Minute)
	must(b, err)
	same(b, "up to replies", bodies(out), []string{"reply"})
	same(b, "left alone", len(expired), 0)
	ready, err := b.Ready(b.ctx, store.LaneUrgent)
	must(b, err)
	if !ready.IsZero() && !ready.After(now) {
		b.Fatalf("ready at %v although all that waits is left alone", ready)
	}
	out, expired, err = b.Lease(b.ctx, now, 9, store.LaneAll, time.Minute)
	must(b, err)
	same(b, "everything", bodies(out), []string{"prompt"})
	same(b, "expired", bodies(expired), []string{"old"})
	b.settle(ann, "prompt", store.Settlement{Outcome: store.Pending})
	b.order(ann, item(ann, "urgent", store.LaneUrgent))
	out, _, err = b.Lease(b.ctx, now, 9, store.LaneUrgent, time.Minute)
	must(b, err)
	same(b, "the urgent one of the same queue", bodies(out), []string{"urgent"})
}

func testNotBefore(b *bench) {
	later := item(ann, "later", store.LaneReply)
	later.NotBefore = start.Add(time.Hour)
	b.order(ann, later, item(ann, "behind", store.LaneReply), item(ann, "prompt", store.LanePrompt))
	same(b, "a higher lane goes meanwhile, its own waits", b.lease(start), []string{"prompt"})
	b.settle(ann, "prompt", sent)
	same(b, "not yet", b.lease(start.Add(time.Hour-time.Microsecond)), nil)
	same(b, "now", b.lease(start.Add(time.Hour)), []string{"later"})
	b.settle(ann, "later", sent)
	same(b, "then what stood behind", b.lease(start.Add(time.Hour)), []string{"behind"})
}

func testExpiry(b *bench) {
	first, second := item(ann, "first", store.LanePrompt), item(ann, "second", store.LanePrompt)
	first.NotAfter, second.NotAfter = start.Add(time.Hour), start.Add(3*time.Hour)
	b.order(ann, first, second, item(ann, "third", store.LanePrompt))
	out, expired, err := b.Lease(b.ctx, start.Add(time.Hour), 9, store.LaneAll, time.Minute)
	must(b, err)
	same(b, "in time to the last moment", append(bodies(out), bodies(expired)...), []string{"first"})
	b.settle(ann, "first", store.Settlement{Outcome: store.Pending, Until: start.Add(2 * time.Hour)})
	out, expired, err = b.Lease(b.ctx, start.Add(time.Hour+time.Microsecond), 9, store.LaneAll, time.Minute)
	must(b, err)
	same(b, "too late", bodies(expired), []string{"first"})
	same(b, "state", expired[0].State, store.Expired)
	same(b, "attempts", expired[0].Attempt, 1)
	same(b, "what stood behind goes on", bodies(out), []string{"second"})
	b.settle(ann, "first", store.Settlement{Outcome: store.Expired})
	// A leased item does not expire; its lease may still be settled.
	b.settle(ann, "second", sent)
	same(b, "the third", b.lease(start.Add(4*time.Hour)), []string{"third"})
	// Expired behind another of its queue, which is out.
	fourth := item(ann, "fourth", store.LanePrompt)
	fourth.NotAfter = start
	b.order(ann, fourth)
	_, expired, err = b.Lease(b.ctx, start.Add(4*time.Hour), 9, store.LaneAll, time.Minute)
	must(b, err)
	same(b, "whatever its turn", bodies(expired), []string{"fourth"})
}

// testExpiryTold has the owner of a late item told at least once: what is
// listed and not settled is listed again.
func testExpiryTold(b *bench) {
	for _, name := range []string{"a", "b", "c"} {
		late := item(ann, name, store.LanePrompt)
		late.NotAfter = start
		b.order(ann, late)
	}
	now, told := start.Add(time.Hour), map[string]int{}
	list := func(n int) int {
		out, expired, err := b.Lease(b.ctx, now, n, store.LaneAll, time.Minute)
		must(b, err)
		same(b, "sendable", len(out), 0)
		for _, it := range expired {
			told[string(it.Body)]++
		}
		return len(expired)
	}
	same(b, "at most two", list(2), 2)
	same(b, "the rest", list(2), 1)
	same(b, "all held", list(9), 0)
	b.settle(ann, "a", store.Settlement{Outcome: store.Pending}) // Expired it is, and stays
	now = now.Add(time.Minute)
	same(b, "those not settled, again", list(9), 2)
	b.settle(ann, "b", store.Settlement{Outcome: store.Expired})
	b.settle(ann, "c", store.Settlement{Outcome: store.Expired})
	now = now.Add(24 * time.Hour)
	same(b, "never again", list(9), 0)
	same(b, "told", told, map[string]int{"a": 1, "b": 2, "c": 2})
	is(b, b.Settle(b.ctx, "07a", sent), store.ErrNotFound)
	ready, err := b.Ready(b.ctx, store.LaneAll)
	must(b, err)
	same(b, "ready", ready, time.Time{})
}

func testWithdraw(b *bench) {
	two := item(ann, "two", store.LanePrompt)
	two.Key = "key-one"
	mine := item(ben, "ben", store.LanePrompt)
	mine.Key = "key-one"
	b.order(ann, item(ann, "one", store.LanePrompt), two, item(ann, "three", store.LanePrompt))
	b.order(ben, mine)
	again := item(ann, "again", store.LanePrompt)
	again.Key = "key-one"
	// its own new item stays
	b.update(ann, store.Change{Withdraw: []string{"key-one", "unknown"}, Out: []store.Item{again}})
	same(b, "what is left", b.lease(start), []string{"three", "ben"})
	b.settle(ann, "three", sent)
	b.update(ann, store.Change{Withdraw: []string{"key-three"}}) // sent: nothing happens
	same(b, "the new one", b.lease(start), []string{"again"})
	b.settle(ann, "again", sent)
	same(b, "no more", b.lease(start.Add(time.Hour)), []string{"ben"})
}

func testWithdrawLeased(b *bench) {
	for _, name := range []string{"one", "two", "three"} {
		b.order(ann, item(ann, name, store.LanePrompt))
	}
	same(b, "out", b.lease(start), []string{"one"})
	b.update(ann, store.Change{Withdraw: []string{"key-one", "key-two"}})
	same(b, "left to its sender", b.lease(start), nil)
	must(b, b.Wrote(b.ctx, "07one"))
	b.settle(ann, "one", store.Settlement{Outcome: store.Pending, Until: start}) // it did not get out
	same(b, "and not sent again", b.lease(start), []string{"three"})
	b.update(ann, store.Change{Withdraw: []string{"key-three"}})
	b.settle(ann, "three", sent) // it got out
	b.order(ann, item(ann, "four", store.LanePrompt))
	same(b, "out", b.lease(start), []string{"four"})
	b.update(ann, store.Change{Withdraw: []string{"key-four"}})
	same(b, "its sender died", b.lease(start.Add(time.Hour)), nil)
	is(b, b.Settle(b.ctx, "07four", sent), store.ErrNotFound)
}

// testDoubt has senders die: before they wrote, and after.
func testDoubt(b *bench) {
	b.order(ann, item(ann, "plain", store.LanePrompt))
	b.order(ben, item(ben, "wrote", store.LanePrompt))
	same(b, "out", b.lease(start), []string{"plain", "wrote"})
	must(b, b.Wrote(b.ctx, "07wrote"))
	same(b, "held", b.lease(start.Add(59*time.Second)), nil)
	out, _, err := b.Lease(b.ctx, start.Add(time.Minute), 9, store.LaneAll, time.Minute)
	must(b, err)
	same(b, "back", bodies(out), []string{"plain", "wrote"})
	same(b, "written", []any{out[0].Written, out[1].Written}, []any{false, true})
	same(b, "attempts", []any{out[0].Attempt, out[1].Attempt}, []any{2, 2})
	b.settle(ben, "wrote", store.Settlement{Outcome: store.Doubt, Written: true})
	b.settle(ann, "plain", store.Settlement{Outcome: store.Pending, Written: true, Until: start})
	same(b, "in doubt it is not sent again", b.lease(start.Add(time.Minute)), []string{"plain"})
	doubtful := collect(b, b.Doubtful(b.ctx))
	same(b, "doubtful", bodies(doubtful), []string{"wrote"})
	same(b, "kept", []any{doubtful[0].State, doubtful[0].Written, doubtful[0].Ref}, []any{store.Doubt, true, ben})
	b.settle(ann, "plain", store.Settlement{Outcome: store.Pending, Written: false, Until: start}) // surely refused
	out, _, err = b.Lease(b.ctx, start.Add(time.Minute), 9, store.LaneAll, time.Minute)
	must(b, err)
	same(b, "the note was replaced", out[0].Written, false)
}

func testSettle(b *bench) {
	is(b, b.Settle(b.ctx, "07none", sent), store.ErrNotFound)
	is(b, b.Wrote(b.ctx, "07none"), store.ErrNotFound)
	b.order(ann, item(ann, "one", store.LanePrompt))
	is(b, b.Settle(b.ctx, "07one", sent), store.ErrNotFound) // not leased
	is(b, b.Wrote(b.ctx, "07one"), store.ErrNotFound)
	same(b, "out", b.lease(start), []string{"one"})
	is(b, b.Settle(b.ctx, "07one", store.Settlement{Outcome: store.Sent, Attempt: 2}), store.ErrNotFound)
	same(b, "out again", b.lease(start.Add(time.Minute)), []string{"one"})
	// the first sender, too late
	is(b, b.Settle(b.ctx, "07one", store.Settlement{Outcome: store.Sent, Attempt: 1}), store.ErrNotFound)
	b.settle(ann, "one", store.Settlement{Outcome: store.Sent, Attempt: 2})
	is(b, b.Settle(b.ctx, "07one", sent), store.ErrNotFound) // once
	for i, o := range []store.Outcome{store.Rejected, store.Blocked, store.Expired, store.Cancelled, store.Doubt,
		store.Sent} {
		name := fmt.Sprint("o", i)
		b.order(ann, item(ann, name, store.LanePrompt))
		same(b, "out", b.lease(start), []string{name})
		b.settle(ann, name, store.Settlement{Outcome: o})
	}
	same(b, "nothing left", b.lease(start.Add(time.Hour)), nil)
	b.order(ann, item(ann, "late", store.LanePrompt))
	same(b, "out", b.lease(start), []string{"late"})
	b.settle(ann, "late", store.Settlement{Outcome: store.Sent, At: start.Add(time.Hour)}) // ran out, not leased again
	same(b, "nothing left", b.lease(start.Add(2*time.Hour)), nil)
	b.order(ann, item(ann, "slow", store.LanePrompt))
	same(b, "out", b.lease(start), []string{"slow"})
	b.order(ann, item(ann, "urgent", store.LaneUrgent))
	same(b, "its lease ran out, another goes first", b.lease(start.Add(time.Hour)), []string{"urgent"})
	is(b, b.Wrote(b.ctx, "07slow"), store.ErrNotFound) // too late to begin
	b.settle(ann, "slow", sent)                        // but it had been sent
	b.settle(ann, "urgent", sent)
	same(b, "nothing left", b.lease(start.Add(2*time.Hour)), nil)
}

func testSettleText(b *bench) {
	b.update(ann, store.Change{Journal: []store.Record{{What: "advised"}}})
	it := item(ann, "one", store.LanePrompt)
	it.Plan = 3
	b.order(ann, it)
	b.lease(start)
	at := start.Add(1234567 * time.Nanosecond)
	b.settle(ann, "one", store.Settlement{Outcome: store.Sent, Text: []byte("Wear it at 4."), At: at})
	got := collect(b, b.Journal(b.ctx, ann))
	must(b, store.Verify(got))
	want := store.Record{Seq: 2, At: at.Truncate(time.Microsecond), Event: "07one", Actor: "bot", Plan: 3,
		What: store.WhatShown, Body: []byte("Wear it at 4."), Hash: got[1].Hash}
	same(b, "record", got[1], want)
	is(b, b.Settle(b.ctx, "07one", store.Settlement{Outcome: store.Sent, Text: []byte("twice")}), store.ErrNotFound)
	same(b, "records", len(collect(b, b.Journal(b.ctx, ann))), 2)
	a, err := b.Get(b.ctx, ann)
	is(b, err, store.ErrNotFound) // a journal alone is no body
	same(b, "aggregate", a, store.Aggregate{})
}

func testItemKept(b *bench) {
	full := store.Item{
		ID: "07full", Ref: cyd, Queue: "-1001", Lane: store.LaneStaff, Key: "card", Body: []byte{0, 1, 255}, Lang: "es", Plan: 2, Advice: 9,
		NotBefore: start.Add(-time.Hour), NotAfter: start.Add(time.Hour), Once: true,
		State: store.Doubt, Attempt: 9, Written: true, Message: 9, Seq: 9, Ordered: start.Add(time.Hour), // given by the store
	}
	b.order(ann, full)
	changed := full
	changed.Body = []byte("changed")
	b.order(ann, changed) // an id that is there already
	out, _, err := b.Lease(b.ctx, start, 9, store.LaneAll, time.Minute)
	must(b, err)
	full.Ref, full.State, full.Attempt, full.Written, full.Message, full.Ordered = ann, store.Pending, 1, false, 0, start
	full.Seq = out[0].Seq
	same(b, "item", out, []store.Item{full})
	b.order(ann, item(ann, "next", store.LaneUrgent))
	out, _, err = b.Lease(b.ctx, start, 9, store.LaneAll, time.Minute)
	must(b, err)
	if out[0].Seq <= full.Seq {
		b.Fatalf("sequence %d behind %d", out[0].Seq, full.Seq)
	}
}

// testLeaseConcurrent has many senders: each item goes out once, in order.
func testLeaseConcurrent(b *bench) {
	const queues, each = 8, 10
	for i := range queues {
		for j := range each {
			ref := patient(i)
			b.order(ref, item(ref, fmt.Sprintf("%d-%d", i, j), store.LanePrompt))
		}
	}
	var mu sync.Mutex
	got := map[string][]string{}
	left := queues * each
	parallel(6, func() {
		for {
			mu.Lock()
			done := left == 0
			mu.Unlock()
			if done {
				return
			}
			out, _, err := b.Lease(b.ctx, start, 3, store.LaneAll, time.Hour)
			if err != nil {
				b.Error(err)
				return
			}
			for _, it := range out {
				mu.Lock()
				got[it.Queue] = append(got[it.Queue], string(it.Body))
				left--
				mu.Unlock()
				if err := b.Settle(b.ctx, it.ID, store.Settlement{Outcome: store.Sent, At: start}); err != nil {
					b.Error(err)
				}
			}
		}
	})
	for i := range queues {
		var want []string
		for j := range each {
			want = append(want, fmt.Sprintf("%d-%d", i, j))
		}
		same(b, "order", got["chat-"+patient(i).ID], want)
	}
}

func testReady(b *bench) {
	ready := func(want time.Time) {
		b.Helper()
		got, err := b.Ready(b.ctx, store.LaneAll)
		must(b, err)
		if want == start { // at once, however it is said
			if got.IsZero() || got.After(start) {
				b.Fatalf("ready at %v, want at once", got)
			}
			return
		}
		same(b, "ready", got, want)
	}
	ready(time.Time{})
	later := item(ann, "later", store.LanePrompt)
	later.NotBefore, later.NotAfter = start.Add(time.Hour), start.Add(2*time.Hour)
	b.order(ann, later)
	ready(start.Add(time.Hour))
	b.order(ben, item(ben, "now", store.LanePrompt))
	ready(start)
	same(b, "out", b.lease(start), []string{"now"})
	ready(start.Add(time.Minute)) // its lease runs out
	b.order(ben, item(ben, "behind", store.LanePrompt))
	ready(start.Add(time.Minute))
	b.settle(ben, "now", sent)
	ready(start)
	same(b, "out", b.lease(start), []string{"behind"})
	b.settle(ben, "behind", sent)
	ready(start.Add(time.Hour))
	b.order(ann, item(ann, "urgent", store.LaneUrgent))
	same(b, "out", b.lease(start.Add(90*time.Minute)), []string{"urgent"})
	ready(start.Add(91 * time.Minute))
	b.settle(ann, "urgent", store.Settlement{Outcome: store.Pending, Until: start.Add(5 * time.Hour)})
	same(b, "out", b.lease(start.Add(90*time.Minute)), []string{"later"})
	b.settle(ann, "later", store.Settlement{Outcome: store.Pending, Until: start.Add(4 * time.Hour)})
	ready(start.Add(2*time.Hour + time.Microsecond)) // too late by then
}

// testLeaseBehind leases what waits behind replies while they wait, the oldest
// of its lane first, one of a queue at a time, and never what is too late.
func testLeaseBehind(b *bench) {
	late := item(chat, "late", store.LanePrompt)
	late.NotAfter = start
	soon := item(chat, "soon", store.LaneStaff)
	soon.NotBefore = start.Add(2 * time.Minute)
	b.order(ann, item(ann, "reply", store.LaneReply), item(ann, "urgent", store.LaneUrgent),
		item(ann, "prompt", store.LanePrompt))
	b.order(chat, late, soon)
	b.order(ben, item(ben, "reminder", store.LaneReminder), item(ben, "second", store.LaneReminder))
	b.order(cyd, item(cyd, "staff", store.LaneStaff))
	now := start.Add(time.Minute)
	out, err := b.LeaseBehind(b.ctx, now, 2, store.LaneAll, time.Minute)
	must(b, err)
	same(b, "the first two", bodies(out), []string{"staff", "prompt"})
	out, err = b.LeaseBehind(b.ctx, now, 9, store.LanePrompt, time.Minute)
	must(b, err)
	same(b, "up to prompts", bodies(out), []string{})
	out, err = b.LeaseBehind(b.ctx, now, 9, store.LaneAll, time.Minute)
	must(b, err)
	same(b, "the rest", bodies(out), []string{"reminder"})
	out, expired, err := b.Lease(b.ctx, now, 9, store.LaneAll, time.Minute)
	must(b, err)
	same(b, "its queue waits for what is out", bodies(out), []string{})
	same(b, "too late", bodies(expired), []string{"late"})
	b.settle(ann, "prompt", sent)
	same(b, "and goes on", b.lease(now), []string{"urgent"})
}
