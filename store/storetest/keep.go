package storetest

import (
	"context"
	"errors"
	"fmt"
	"time"

	"duskdawn/store"
)

func testLead(b *bench) {
	lead := func(s store.Store, who string, ttl time.Duration, want bool) {
		b.Helper()
		got, err := s.Lead(b.ctx, "poll", who, ttl)
		must(b, err)
		if got != want {
			b.Fatalf("%s leads: %v, want %v", who, got, want)
		}
	}
	lead(b.Store, "a", time.Hour, true)
	lead(b.Store, "b", time.Hour, false)
	lead(b.Store, "a", time.Hour, true) // renewed
	lead(b.Store, "b", 0, false)        // not b's to give up
	lead(b.Store, "b", time.Hour, false)
	lead(b.Store, "a", 0, true)
	lead(b.Store, "b", time.Hour, true)
	other, err := b.Lead(b.ctx, "other", "a", time.Hour)
	must(b, err)
	same(b, "another lease", other, true)
	lead(b.Store, "b", time.Millisecond, true) // shortened; it runs out by the store's own clock
	for deadline := time.Now().Add(10 * time.Second); ; {
		got, err := b.Lead(b.ctx, "poll", "a", time.Hour)
		must(b, err)
		if got {
			break
		}
		if time.Now().After(deadline) {
			b.Fatal("the lease never ran out")
		}
	}
	lead(b.Store, "b", time.Hour, false)
}

func testPurge(b *bench) {
	for i := range 3 {
		at := start.Add(time.Duration(i) * time.Hour)
		must(b, b.Update(b.ctx, ann, fmt.Sprint("e", i), at, func(store.Aggregate) (store.Change, error) {
			return store.Change{Out: []store.Item{item(ann, fmt.Sprint(i), store.LanePrompt)}}, nil
		}))
	}
	for i := range 2 {
		same(b, "out", b.lease(start), []string{fmt.Sprint(i)})
		b.settle(ann, fmt.Sprint(i), store.Settlement{Outcome: store.Doubt, At: start.Add(time.Duration(i) * time.Hour)})
	}
	must(b, b.Purge(b.ctx, start.Add(time.Hour)))
	must(b, b.Update(b.ctx, ann, "e0", start, nothing)) // forgotten
	is(b, b.Update(b.ctx, ann, "e1", start, nothing), store.ErrSeen)
	is(b, b.Update(b.ctx, ann, "e2", start, nothing), store.ErrSeen)
	same(b, "doubtful", bodies(collect(b, b.Doubtful(b.ctx))), []string{"1"})
	must(b, b.Purge(b.ctx, start.Add(1000*time.Hour)))
	same(b, "what waits is never purged", b.lease(start), []string{"2"})
	same(b, "doubtful", len(collect(b, b.Doubtful(b.ctx))), 0)
	b.order(ann, item(ann, "0", store.LanePrompt)) // its id is free again
	b.settle(ann, "2", sent)
	same(b, "ordered anew", b.lease(start), []string{"0"})
}

func testAsides(b *bench) {
	must(b, b.SetAside(b.ctx, "u2", "decode", []byte{0, 255}, start.Add(time.Second)))
	must(b, b.SetAside(b.ctx, "u1", "panic", []byte("raw"), start))
	must(b, b.SetAside(b.ctx, "u1", "other", []byte("again"), start.Add(time.Hour)))
	same(b, "asides", collect(b, b.Asides(b.ctx)), []store.Aside{
		{ID: "u1", Class: "panic", Raw: []byte("raw"), At: start},
		{ID: "u2", Class: "decode", Raw: []byte{0, 255}, At: start.Add(time.Second)},
	})
}

func testSecret(b *bench) {
	one, err := b.Secret(b.ctx)
	must(b, err)
	two, err := b.Secret(b.ctx)
	must(b, err)
	same(b, "length", len(one), 32)
	same(b, "secret", one, two)
	other, err := b.b.Open(b).Secret(b.ctx)
	must(b, err)
	if string(other) == string(one) {
		b.Fatal("two stores share a secret")
	}
}

func testClosed(b *bench) {
	must(b, b.Close())
	must(b, b.Close())
	ctx := context.Background()
	for what, err := range map[string]error{
		"update": b.Update(ctx, ann, "e", start, nothing),
		"wrote":  b.Wrote(ctx, "07x"),
		"settle": b.Settle(ctx, "07x", sent),
		"hold":   b.HoldOff(ctx, "q", start),
		"aside":  b.SetAside(ctx, "u", "c", nil, start),
		"purge":  b.Purge(ctx, start),
	} {
		if !errors.Is(err, store.ErrClosed) {
			b.Errorf("%s: error %v, want %v", what, err, store.ErrClosed)
		}
	}
	_, err := b.Get(ctx, ann)
	is(b, err, store.ErrClosed)
	_, _, err = b.Room(ctx, start, store.LaneReply)
	is(b, err, store.ErrClosed)
	_, err = b.Claim(ctx, start, 1, time.Minute)
	is(b, err, store.ErrClosed)
	_, _, err = b.Lease(ctx, start, 1, store.LaneAll, time.Minute)
	is(b, err, store.ErrClosed)
	for _, err := range b.List(ctx, store.Query{}) {
		is(b, err, store.ErrClosed)
	}
}

// testReopen closes a store and opens it again: all of it is there.
func testReopen(b *bench) {
	rec := store.Record{What: "advised", Body: []byte("five")}
	must(b, b.Update(b.ctx, ann, "e", start, func(store.Aggregate) (store.Change, error) {
		return store.Change{
			Body: []byte("body"), Summary: &store.Summary{State: "stepping"}, Own: []string{"07k"},
			Diary: []store.Row{{Night: 1}}, Journal: []store.Record{rec}, Set: []store.Timer{{Name: "t", At: start}},
			Out: []store.Item{item(ann, "one", store.LanePrompt), item(ann, "two", store.LanePrompt)},
		}, nil
	}))
	secret, err := b.Secret(b.ctx)
	must(b, err)
	must(b, b.HoldOff(b.ctx, "c", start.Add(4*time.Minute)))
	same(b, "out", b.lease(start), []string{"one"})
	must(b, b.Wrote(b.ctx, "07one"))
	must(b, b.Close())
	old := b.Store
	b.Store = b.b.Again(b, old)
	a, err := b.Get(b.ctx, ann)
	must(b, err)
	same(b, "aggregate", a, store.Aggregate{Rev: 1, Body: []byte("body")})
	is(b, b.Update(b.ctx, ann, "e", start, nothing), store.ErrSeen)
	same(b, "summaries", len(collect(b, b.List(b.ctx, store.Query{State: "stepping"}))), 1)
	owner, err := b.Lookup(b.ctx, "07k")
	must(b, err)
	same(b, "owner", owner, ann)
	same(b, "diary", len(collect(b, b.Diary(b.ctx, ann))), 1)
	b.update(ann, store.Change{Journal: []store.Record{rec}, Diary: []store.Row{{Night: 1}}})
	journal := collect(b, b.Journal(b.ctx, ann))
	same(b, "records", len(journal), 2)
	must(b, store.Verify(journal))
	same(b, "revision", collect(b, b.Diary(b.ctx, ann))[1].Rev, 2)
	same(b, "claimed", b.claim(start, 9), []string{"07ann t"})
	same(b, "leased before", b.lease(start), nil)
	out, _, err := b.Lease(b.ctx, start.Add(time.Minute), 9, store.LaneAll, time.Minute)
	must(b, err)
	same(b, "in doubt", []any{bodies(out), out[0].Written, out[0].Attempt}, []any{[]string{"one"}, true, 2})
	same(b, "held off", b.reserve(start, "c", false, store.LaneReply), 4*time.Minute)
	again, err := b.Secret(b.ctx)
	must(b, err)
	same(b, "secret", again, secret)
}

// testShared has two handles see each other's commits at once.
func testShared(b *bench) {
	other := b.b.Again(b, b.Store)
	b.update(ann, store.Change{Body: []byte("x"), Set: []store.Timer{{Name: "t", At: start}},
		Out: []store.Item{item(ann, "one", store.LanePrompt)}})
	next, err := other.Next(b.ctx)
	must(b, err)
	same(b, "next", next, start)
	timers, err := other.Claim(b.ctx, start, 9, time.Minute)
	must(b, err)
	same(b, "claimed there", len(timers), 1)
	same(b, "not here", b.claim(start, 9), nil)
	ready, err := other.Ready(b.ctx, store.LaneAll)
	must(b, err)
	if ready.IsZero() || ready.After(start) {
		b.Fatalf("ready at %v there", ready)
	}
	out, _, err := other.Lease(b.ctx, start, 9, store.LaneAll, time.Minute)
	must(b, err)
	same(b, "leased there", bodies(out), []string{"one"})
	same(b, "not here", b.lease(start), nil)
	b.settle(ann, "one", sent) // a lease is the store's, whoever holds it
	must(b, other.Update(b.ctx, ann, "other", start, func(a store.Aggregate) (store.Change, error) {
		return store.Change{Body: append(a.Body, 'y')}, nil
	}))
	a, err := b.Get(b.ctx, ann)
	must(b, err)
	same(b, "body", string(a.Body), "xy")
	is(b, b.Update(b.ctx, ann, "other", start, nothing), store.ErrSeen)
}

// testSharedConcurrent has two handles count in one body.
func testSharedConcurrent(b *bench) {
	handles := []store.Store{b.Store, b.b.Again(b, b.Store)}
	const each = 40
	work := make(chan int, 2*each)
	for i := range 2 * each {
		work <- i
	}
	close(work)
	parallel(6, func() {
		for i := range work {
			must(b, handles[i%2].Update(b.ctx, ann, fmt.Sprint(i), start, func(a store.Aggregate) (store.Change, error) {
				return store.Change{Body: append(a.Body, 'x'), Journal: []store.Record{{What: "x"}},
					Diary: []store.Row{{Night: 1}}}, nil
			}))
		}
	})
	a, err := b.Get(b.ctx, ann)
	must(b, err)
	same(b, "count", len(a.Body), 2*each)
	must(b, store.Verify(collect(b, b.Journal(b.ctx, ann))))
	diary := collect(b, b.Diary(b.ctx, ann))
	for i, row := range diary {
		same(b, "revision", row.Rev, i+1)
	}
}

// testSharedFlood has two handles share one allowance.
func testSharedFlood(b *bench) {
	handles := []store.Store{b.Store, b.b.Again(b, b.Store)}
	now, granted := start, []time.Time{}
	for i := 0; len(granted) < 90; i++ {
		wait, err := handles[i%2].Reserve(b.ctx, now, fmt.Sprint("q", i), false, store.LaneReply)
		must(b, err)
		if wait > 0 {
			now = now.Add(wait)
			continue
		}
		granted = append(granted, now)
	}
	if n := most(granted, time.Second); n > 30 {
		b.Fatalf("%d messages in one second", n)
	}
}

func testSharedLead(b *bench) {
	other := b.b.Again(b, b.Store)
	got, err := b.Lead(b.ctx, "poll", "a", time.Hour)
	must(b, err)
	same(b, "leads", got, true)
	got, err = other.Lead(b.ctx, "poll", "b", time.Hour)
	must(b, err)
	same(b, "the other", got, false)
	_, err = b.Lead(b.ctx, "poll", "a", 0)
	must(b, err)
	got, err = other.Lead(b.ctx, "poll", "b", time.Hour)
	must(b, err)
	same(b, "the other, then", got, true)
}
