package storetest

import (
	"time"

	"duskdawn/store"
)

// testWaiting counts what waits, is leased and waits again, and what is settled no more.
func testWaiting(b *bench) {
	waits := func(what string, want map[store.Lane]time.Time) {
		b.Helper()
		got, err := b.Waiting(b.ctx)
		must(b, err)
		for l, of := range got {
			oldest, any := want[store.Lane(l)]
			if (of.Items > 0) != any || !of.Oldest.Equal(oldest) {
				b.Fatalf("%s: lane %d has %d items since %v, want since %v", what, l, of.Items, of.Oldest, oldest)
			}
		}
	}
	waits("an empty store", nil)
	second, third := start.Add(time.Second), start.Add(2*time.Second)
	b.updateAt(ann, start, store.Change{Out: []store.Item{item(ann, "prompt", store.LanePrompt)}})
	b.updateAt(ben, second, store.Change{Out: []store.Item{item(ben, "prompt2", store.LanePrompt)}})
	b.updateAt(cyd, third, store.Change{Out: []store.Item{item(cyd, "urgent", store.LaneUrgent)}})
	waits("three", map[store.Lane]time.Time{store.LanePrompt: start, store.LaneUrgent: third})
	if got, err := b.Waiting(b.ctx); err != nil || got[store.LanePrompt].Items != 2 || got[store.LaneUrgent].Items != 1 {
		b.Fatalf("counted as %v, %v", got, err)
	}
	same(b, "leased", b.lease(third), []string{"urgent", "prompt", "prompt2"})
	waits("while they are leased", map[store.Lane]time.Time{store.LanePrompt: start, store.LaneUrgent: third})
	b.settle(ann, "prompt", sent)
	b.settle(cyd, "urgent", store.Settlement{Outcome: store.Pending, Until: third.Add(time.Hour)})
	waits("one sent, one again later", map[store.Lane]time.Time{store.LanePrompt: second, store.LaneUrgent: third})
	b.settle(ben, "prompt2", store.Settlement{Outcome: store.Rejected})
	same(b, "the last", b.lease(third.Add(time.Hour)), []string{"urgent"})
	b.settle(cyd, "urgent", sent)
	waits("all settled", nil)
	b.order(ann, item(ann, "stranger", store.LaneStranger))
	waits("the last lane", map[store.Lane]time.Time{store.LaneStranger: start})
}
