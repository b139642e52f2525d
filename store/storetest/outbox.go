package storetest

import (
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
