package storetest

import (
	"fmt"
	"sync"
	"time"

	"duskdawn/store"
)

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
