package storetest

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"strings"
	"sync/atomic"
	"time"

	"duskdawn/store"
)

// nothing is the zero change.
func nothing(store.Aggregate) (store.Change, error) { return store.Change{}, nil }

func testSeen(b *bench) {
	calls := 0
	fn := func(a store.Aggregate) (store.Change, error) {
		calls++
		return store.Change{Body: []byte("one"), Set: []store.Timer{{Name: "t", At: start}}}, nil
	}
	must(b, b.Update(b.ctx, ann, "e1", start, fn))
	is(b, b.Update(b.ctx, ann, "e1", start.Add(time.Hour), func(store.Aggregate) (store.Change, error) {
		return store.Change{Body: []byte("two"), Clear: []string{"t"}, Own: []string{"07k"}}, nil
	}), store.ErrSeen)
	a, err := b.Get(b.ctx, ann)
	must(b, err)
	same(b, "aggregate", a, store.Aggregate{Rev: 1, Body: []byte("one")})
	same(b, "timers", len(collect(b, b.Pending(b.ctx, ann))), 1)
	_, err = b.Lookup(b.ctx, "07k")
	is(b, err, store.ErrNotFound)
	must(b, b.Update(b.ctx, ben, "e1", start, nothing)) // another aggregate's event
	must(b, b.Update(b.ctx, ann, "e2", start, nothing)) // a zero change marks its event
	is(b, b.Update(b.ctx, ann, "e2", start, nothing), store.ErrSeen)
	if calls == 0 {
		b.Fatal("the function never ran")
	}
}

func testFnError(b *bench) {
	b.update(ann, store.Change{Body: []byte("one")})
	boom := errors.New("boom")
	err := b.Update(b.ctx, ann, "e", start, func(store.Aggregate) (store.Change, error) {
		return store.Change{Body: []byte("two")}, boom
	})
	if err != boom {
		b.Fatalf("error %v, want the function's own", err)
	}
	a, err := b.Get(b.ctx, ann)
	must(b, err)
	same(b, "aggregate", a, store.Aggregate{Rev: 1, Body: []byte("one")})
	must(b, b.Update(b.ctx, ann, "e", start, nothing)) // the event was not marked
}

func testFnPanics(b *bench) {
	func() {
		defer func() {
			if recover() == nil {
				b.Fatal("the panic did not reach the caller")
			}
		}()
		_ = b.Update(b.ctx, ann, "e", start, func(store.Aggregate) (store.Change, error) { panic("a fault") })
	}()
	must(b, b.Update(b.ctx, ann, "e", start, nothing)) // nothing was kept, and the store goes on
}

func testBodies(b *bench) {
	_, err := b.Get(b.ctx, ann)
	is(b, err, store.ErrNotFound)
	b.update(ann, store.Change{Journal: []store.Record{{What: "met"}}})
	_, err = b.Get(b.ctx, ann) // kept without a body
	is(b, err, store.ErrNotFound)
	for i := range 3 {
		must(b, b.Update(b.ctx, ann, fmt.Sprint("b", i), start, func(a store.Aggregate) (store.Change, error) {
			if a.Rev != int64(i) || len(a.Body) != i {
				b.Errorf("revision %d with %d bytes, want %d", a.Rev, len(a.Body), i)
			}
			return store.Change{Body: append(a.Body, 'x')}, nil
		}))
	}
	b.update(ann, store.Change{}) // leaves the body and its revision
	a, err := b.Get(b.ctx, ann)
	must(b, err)
	same(b, "aggregate", a, store.Aggregate{Rev: 3, Body: []byte("xxx")})
	a.Body[0] = 'y' // the caller's copy
	again, err := b.Get(b.ctx, ann)
	must(b, err)
	same(b, "aggregate", again, store.Aggregate{Rev: 3, Body: []byte("xxx")})
	mine := []byte("mine")
	b.update(ben, store.Change{Body: mine})
	mine[0] = 'y'
	again, err = b.Get(b.ctx, ben)
	must(b, err)
	same(b, "body", string(again.Body), "mine")
	every := make([]byte, 256)
	for i := range every {
		every[i] = byte(i)
	}
	b.update(chat, store.Change{Body: every})
	again, err = b.Get(b.ctx, chat)
	must(b, err)
	same(b, "body of every byte", again.Body, every)
}

func testTooLarge(b *bench) {
	big := make([]byte, store.MaxBody+1)
	for what, c := range map[string]store.Change{
		"patient": {Body: make([]byte, store.MaxPatientBody+1)},
		"diary":   {Body: []byte("x"), Diary: []store.Row{{Night: 1, Body: big}}},
		"journal": {Body: []byte("x"), Journal: []store.Record{{Body: big}}},
		"timer":   {Body: []byte("x"), Set: []store.Timer{{Name: "t", Body: big}}},
		"item":    {Body: []byte("x"), Out: []store.Item{{ID: "07i", Queue: "q", Body: big}}},
	} {
		if err := b.Update(b.ctx, ann, "e", start, func(store.Aggregate) (store.Change, error) {
			return c, nil
		}); !errors.Is(err, store.ErrTooLarge) {
			b.Fatalf("%s: error %v, want %v", what, err, store.ErrTooLarge)
		}
	}
	_, err := b.Get(b.ctx, ann)
	is(b, err, store.ErrNotFound)
	must(b, b.Update(b.ctx, ann, "e", start, func(store.Aggregate) (store.Change, error) {
		return store.Change{Body: big[:store.MaxPatientBody]}, nil
	}))
	is(b, b.try(practice, start, store.Change{Body: big}), store.ErrTooLarge)
	b.update(practice, store.Change{Body: big[:store.MaxBody]})
	a, err := b.Get(b.ctx, practice)
	must(b, err)
	same(b, "length", len(a.Body), store.MaxBody)
}

func testKeys(b *bench) {
	long := strings.Repeat("k", store.MaxKey+1)
	for _, ref := range []store.Ref{{}, {Kind: 'Q', ID: "07x"}, {Kind: store.Patient, ID: "x"},
		{Kind: store.Patient, ID: "64x"},
		{Kind: store.Patient, ID: "07" + long}, {Kind: store.Patient, ID: "07\x00"}} {
		is(b, b.try(ref, start, store.Change{}), store.ErrKey)
	}
	for _, event := range []string{"", long, "a\x00b"} {
		is(b, b.Update(b.ctx, ann, event, start, nothing), store.ErrKey)
	}
	for _, c := range []store.Change{
		{Own: []string{"08k"}}, {Own: []string{""}}, {Disown: []string{"08k"}},
		{Set: []store.Timer{{At: start}}}, {Clear: []string{long}},
		{Out: []store.Item{{ID: "08i", Queue: "q"}}}, {Out: []store.Item{{ID: "07i"}}}, {Out: []store.Item{{ID: "07i", Queue: "q", Lane: store.LaneAll + 1}}},
	} {
		c.Body = []byte("x")
		is(b, b.try(ann, start, c), store.ErrKey)
	}
	_, err := b.Get(b.ctx, ann)
	is(b, err, store.ErrNotFound)
	// Keys are opaque: what a back end might use between them may stand in them.
	odd := store.Ref{Kind: store.Patient, ID: "07|:{}*? \n'\"é"}
	b.update(odd, store.Change{Body: []byte("x"), Own: []string{"07|{}"}, Set: []store.Timer{{Name: "a|b", At: start}},
		Out: []store.Item{{ID: "07|a{b}", Queue: "q|r", Body: []byte("out")}}})
	timers, err := b.Claim(b.ctx, start, 9, time.Minute)
	must(b, err)
	same(b, "claimed", []any{timers[0].Ref, timers[0].Name}, []any{odd, "a|b"})
	same(b, "leased", b.lease(start), []string{"out"})
	must(b, b.Settle(b.ctx, "07|a{b}", sent))
	owner, err := b.Lookup(b.ctx, "07|{}")
	must(b, err)
	same(b, "owner", owner, odd)
}

func testCancelled(b *bench) {
	ctx, cancel := context.WithCancel(b.ctx)
	cancel()
	is(b, b.Update(ctx, ann, "e", start, nothing), context.Canceled)
	must(b, b.Update(b.ctx, ann, "e", start, nothing))
}

func testIndex(b *bench) {
	b.update(ann, store.Change{Own: []string{"07a", "07b"}})
	ref, err := b.Lookup(b.ctx, "07a")
	must(b, err)
	same(b, "owner", ref, ann)
	is(b, b.try(ben, start, store.Change{Body: []byte("x"), Own: []string{"07c", "07a"}}), store.ErrTaken)
	_, err = b.Get(b.ctx, ben)
	is(b, err, store.ErrNotFound)
	_, err = b.Lookup(b.ctx, "07c") // taken before the one that failed, and given back
	is(b, err, store.ErrNotFound)
	b.update(ann, store.Change{Own: []string{"07a"}})    // its own again
	b.update(ben, store.Change{Disown: []string{"07a"}}) // not its own: left
	ref, err = b.Lookup(b.ctx, "07a")
	must(b, err)
	same(b, "owner", ref, ann)
	b.update(ann, store.Change{Disown: []string{"07a"}})
	_, err = b.Lookup(b.ctx, "07a")
	is(b, err, store.ErrNotFound)
	b.update(ben, store.Change{Own: []string{"07a"}})
	is(b, b.try(ann, start, store.Change{Own: []string{"07a"}}), store.ErrTaken)
	b.update(ben, store.Change{Own: []string{"07a"}, Disown: []string{"07a"}}) // given up, then taken
	ref, err = b.Lookup(b.ctx, "07a")
	must(b, err)
	same(b, "owner", ref, ben)
}

// testConcurrent has many goroutines count in one body: none of it is lost,
// and each event counts once however often it comes.
func testConcurrent(b *bench) {
	const workers, each = 12, 20
	var worker atomic.Int64
	parallel(workers, func() {
		w := worker.Add(1)
		for i := range each {
			for try := range 2 {
				err := b.Update(b.ctx, practice, fmt.Sprintf("%d-%d", w, i), start, func(a store.Aggregate) (store.Change, error) {
					n := binary.BigEndian.Uint64(append(make([]byte, 8), a.Body...)[len(a.Body):])
					return store.Change{Body: binary.BigEndian.AppendUint64(nil, n+1), Journal: []store.Record{{What: "counted"}}}, nil
				})
				if try == 0 && err != nil || try == 1 && !errors.Is(err, store.ErrSeen) {
					b.Errorf("try %d: %v", try, err)
				}
			}
		}
	})
	a, err := b.Get(b.ctx, practice)
	must(b, err)
	same(b, "count", binary.BigEndian.Uint64(a.Body), uint64(workers*each))
	same(b, "revision", a.Rev, int64(workers*each))
	journal := collect(b, b.Journal(b.ctx, practice))
	same(b, "records", len(journal), workers*each)
	must(b, store.Verify(journal))
}

// testNeighbours has updates fail beside updates that do not.
func testNeighbours(b *bench) {
	b.update(ann, store.Change{Own: []string{"07mine"}})
	var n atomic.Int64
	parallel(24, func() {
		i := int(n.Add(1))
		ref := store.Ref{Kind: store.Patient, ID: fmt.Sprintf("07n%d", i)}
		c, want := store.Change{Body: []byte("ok")}, error(nil)
		switch i % 3 {
		case 1:
			c.Own, want = []string{"07mine"}, store.ErrTaken
		case 2:
			c.Body, want = make([]byte, store.MaxPatientBody+1), store.ErrTooLarge
		}
		if err := b.Update(b.ctx, ref, "e", start, func(store.Aggregate) (store.Change, error) {
			return c, nil
		}); !errors.Is(err, want) {
			b.Errorf("%d: error %v, want %v", i, err, want)
		}
		_, err := b.Get(b.ctx, ref)
		if (err == nil) != (want == nil) {
			b.Errorf("%d: after %v the aggregate gives %v", i, want, err)
		}
	})
}
