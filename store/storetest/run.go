package storetest

import (
	"context"
	"fmt"
	"testing"
	"time"

	"duskdawn/store"
)

// Backend is a store under test.
type Backend struct {
	// Open gives an empty store, closed when the test ends.
	Open func(testing.TB) store.Store
	// Again gives one more handle on a store that Open gave and that may be
	// closed by now, as another process would have; nil where a store is gone
	// with its process.
	Again func(testing.TB, store.Store) store.Store
	// Rows gives a way past the store to what it keeps; nil where the same store
	// runs the suite in another way too.
	Rows func(testing.TB, store.Store) Rows
}

// Rows are the envelopes that a store keeps, by their names as Damaged gives them.
type Rows interface {
	All() map[string][]byte
	Put(name string, row []byte)
}

// Run runs the whole suite.
func Run(t *testing.T, b Backend) {
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			c.run(&bench{T: t, ctx: t.Context(), b: b, Store: b.Open(t)})
		})
	}
	t.Run("Model", func(t *testing.T) { testModel(t, b) })
	if b.Rows != nil {
		for _, c := range damaged {
			t.Run(c.name, func(t *testing.T) {
				c.run(&bench{T: t, ctx: t.Context(), b: b, Store: b.Open(t)})
			})
		}
	}
	if b.Again == nil {
		return
	}
	for _, c := range durable {
		t.Run(c.name, func(t *testing.T) {
			c.run(&bench{T: t, ctx: t.Context(), b: b, Store: b.Open(t)})
		})
	}
}

// bench is one test with its store.
type bench struct {
	*testing.T
	store.Store
	ctx    context.Context
	b      Backend
	events int
}

// cases are the sentences of the contract.
var cases = []struct {
	name string
	run  func(*bench)
}{
	{"Seen", testSeen},
	{"FnError", testFnError},
	{"FnPanics", testFnPanics},
	{"Bodies", testBodies},
	{"TooLarge", testTooLarge},
	{"Keys", testKeys},
	{"Cancelled", testCancelled},
	{"Index", testIndex},
	{"Concurrent", testConcurrent},
	{"Neighbours", testNeighbours},
	{"List", testList},
	{"ListPages", testListPages},
	{"Diary", testDiary},
	{"Journal", testJournal},
	{"Refs", testRefs},
	{"Claim", testClaim},
	{"TimerReplaced", testTimerReplaced},
	{"TimerKept", testTimerKept},
	{"ClaimConcurrent", testClaimConcurrent},
	{"QueueOrder", testQueueOrder},
	{"Lanes", testLanes},
	{"LanesLeftAlone", testLanesLeftAlone},
	{"LeaseBehind", testLeaseBehind},
	{"NotBefore", testNotBefore},
	{"Expiry", testExpiry},
	{"ExpiryTold", testExpiryTold},
	{"Withdraw", testWithdraw},
	{"WithdrawLeased", testWithdrawLeased},
	{"Doubt", testDoubt},
	{"Settle", testSettle},
	{"SettleText", testSettleText},
	{"ItemKept", testItemKept},
	{"Handoff", testHandoff},
	{"HandoffLine", testHandoffLine},
	{"LeaseConcurrent", testLeaseConcurrent},
	{"Ready", testReady},
	{"Waiting", testWaiting},
	{"FloodAll", testFloodAll},
	{"FloodReplies", testFloodReplies},
	{"FloodChat", testFloodChat},
	{"FloodGroup", testFloodGroup},
	{"FloodRoom", testFloodRoom},
	{"FloodClock", testFloodClock},
	{"Granted", testGranted},
	{"HoldOff", testHoldOff},
	{"HoldOffIsBounded", testHoldOffIsBounded},
	{"Lead", testLead},
	{"Purge", testPurge},
	{"Asides", testAsides},
	{"Secret", testSecret},
	{"Closed", testClosed},
}

// damaged are the cases of rows that are not as they were stored.
var damaged = []struct {
	name string
	run  func(*bench)
}{
	{"BitRot", testBitRot},
	{"BodyElsewhere", testBodyElsewhere},
	{"DamagedBody", testDamagedBody},
	{"DamagedTimer", testDamagedTimer},
	{"DamagedItem", testDamagedItem},
	{"DamagedBehind", testDamagedBehind},
	{"DamagedFlood", testDamagedFlood},
}

// durable are the cases of a store that outlives its handle.
var durable = []struct {
	name string
	run  func(*bench)
}{
	{"Reopen", testReopen},
	{"Shared", testShared},
	{"SharedConcurrent", testSharedConcurrent},
	{"SharedFlood", testSharedFlood},
	{"SharedLead", testSharedLead},
}

// update commits a change under a fresh event, at start.
func (b *bench) update(ref store.Ref, c store.Change) {
	b.Helper()
	b.updateAt(ref, start, c)
}

func (b *bench) updateAt(ref store.Ref, at time.Time, c store.Change) {
	b.Helper()
	must(b, b.try(ref, at, c))
}

func (b *bench) try(ref store.Ref, at time.Time, c store.Change) error {
	b.events++
	return b.Update(b.ctx, ref, fmt.Sprintf("event-%d", b.events), at,
		func(store.Aggregate) (store.Change, error) { return c, nil })
}

// order commits items for a chat.
func (b *bench) order(ref store.Ref, items ...store.Item) {
	b.Helper()
	b.update(ref, store.Change{Out: items})
}

// item is a plain item of a patient.
func item(ref store.Ref, name string, lane store.Lane) store.Item {
	return store.Item{ID: fmt.Sprintf("%02d%s", ref.Shard(), name), Queue: "chat-" + ref.ID, Lane: lane, Key: "key-" +
		name, Body: []byte(name)}
}

// lease leases all it can for a minute and gives the bodies.
func (b *bench) lease(now time.Time) []string {
	b.Helper()
	out, expired, err := b.Lease(b.ctx, now, 100, store.LaneAll, time.Minute)
	must(b, err)
	if len(expired) > 0 {
		b.Fatalf("%d items expired", len(expired))
	}
	return bodies(out)
}

func bodies(items []store.Item) []string {
	out := []string{}
	for _, it := range items {
		out = append(out, string(it.Body))
	}
	return out
}

func (b *bench) settle(ref store.Ref, name string, s store.Settlement) {
	b.Helper()
	if s.At.IsZero() {
		s.At = start
	}
	must(b, b.Settle(b.ctx, item(ref, name, 0).ID, s))
}

// sent settles as sent.
var sent = store.Settlement{Outcome: store.Sent, Message: 7, Written: true}
