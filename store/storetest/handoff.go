package storetest

import (
	"time"

	"duskdawn/store"
)

// hand commits a change and gives what it handed over.
func (b *bench) hand(ref store.Ref, n int, most store.Lane, items ...store.Item) []store.Item {
	b.Helper()
	h := &store.Handoff{N: n, Most: most, Hold: time.Minute}
	b.update(ref, store.Change{Out: items, Hand: h})
	return h.Items
}

// testHandoff has a commit lease what it orders, as Lease would have.
func testHandoff(b *bench) {
	later, late, edge := item(ann, "later", store.LaneReply), item(ben, "late", store.LaneReply),
		item(cyd, "edge", store.LaneReply)
	later.NotBefore, late.NotAfter, edge.NotAfter = start.Add(time.Second), start.Add(-time.Second), start
	same(b, "too early", bodies(b.hand(ann, 9, store.LaneAll, later)), nil)
	same(b, "too late", bodies(b.hand(ben, 9, store.LaneAll, late)), nil)
	same(b, "in time to the last moment", bodies(b.hand(cyd, 9, store.LaneAll, edge)), []string{"edge"})
	same(b, "a lane left alone", bodies(b.hand(chat, 9, store.LaneReply, item(chat, "prompt", store.LanePrompt))), nil)
	event := item(practice, "event", store.LaneEvent)
	event.Queue = "elsewhere"
	out := b.hand(practice, 9, store.LaneReply, item(practice, "reply", store.LaneReply), event)
	same(b, "lower lanes first", bodies(out), []string{"event", "reply"})
	same(b, "as leased", []any{out[0].Attempt, out[0].State, out[0].Ref, out[0].Ordered},
		[]any{1, store.Pending, practice, start})

	got, expired, err := b.Lease(b.ctx, start, 9, store.LaneAll, time.Minute)
	must(b, err)
	same(b, "the rest is leased as ever", bodies(got), []string{"prompt"})
	same(b, "and expires", bodies(expired), []string{"late"})
	b.settle(practice, "reply", sent)
	is(b, b.Settle(b.ctx, "00reply", sent), store.ErrNotFound)
	again, _, err := b.Lease(b.ctx, start.Add(time.Minute), 9, store.LaneEvent, time.Minute)
	must(b, err)
	same(b, "a lease that runs out", bodies(again), []string{"event"})
	same(b, "attempts", again[0].Attempt, 2)
}

// testHandoffLine keeps the order of a line.
func testHandoffLine(b *bench) {
	out := b.hand(ann, 9, store.LaneReply, item(ann, "prompt", store.LanePrompt), item(ann, "two", store.LaneReply),
		item(ann, "three", store.LaneReply), item(ann, "urgent", store.LaneUrgent))
	same(b, "one of a line, its lowest lane", bodies(out), []string{"urgent"})
	same(b, "the rest waits for it", b.lease(start), nil)
	same(b, "behind others", bodies(b.hand(ann, 9, store.LaneReply, item(ann, "four", store.LaneUrgent))), nil)
	b.settle(ann, "urgent", sent)
	same(b, "then as ever", b.lease(start), []string{"four"})
	b.settle(ann, "four", sent)
	same(b, "by lane", b.lease(start), []string{"two"})
	b.settle(ann, "two", store.Settlement{Outcome: store.Pending, Until: start.Add(time.Hour)})
	same(b, "what waits for its time is in the line too",
		bodies(b.hand(ann, 9, store.LaneAll, item(ann, "five", store.LaneReply))), nil)
	b.update(ann, store.Change{Withdraw: []string{"key-two", "key-three", "key-five", "key-prompt"}})
	two := []store.Item{item(ben, "one", store.LaneReply), item(ben, "other", store.LaneReply)}
	two[1].Queue = "other"
	same(b, "no more than asked for", bodies(b.hand(ben, 1, store.LaneAll, two...)), []string{"one"})
	same(b, "the other", b.lease(start), []string{"other"})
	same(b, "an empty line again", bodies(b.hand(ann, 9, store.LaneAll, item(ann, "six", store.LaneReport))),
		[]string{"six"})
	again := item(ann, "six", store.LaneReply)
	same(b, "an id that is there already", bodies(b.hand(ann, 9, store.LaneAll, again)), nil)
	b.settle(ann, "six", sent)
	same(b, "also when it is settled", bodies(b.hand(ann, 9, store.LaneAll, again)), nil)
}
