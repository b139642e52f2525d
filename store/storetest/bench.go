package storetest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"sync/atomic"
	"testing"
	"time"

	"duskdawn/store"
)

// Bench measures a store. open gives an empty one each time.
func Bench(b *testing.B, open func(testing.TB) store.Store) {
	for _, flying := range []int{1, 16, 64} {
		b.Run(fmt.Sprintf("Update/%d", flying), func(b *testing.B) { benchUpdate(b, open(b), flying) })
	}
	for _, enrolled := range []int{1000, 100_000} {
		b.Run(fmt.Sprintf("Claim100of%d", enrolled), func(b *testing.B) { benchClaim(b, open(b), enrolled, 100) })
	}
	for _, flying := range []int{1, 16} {
		b.Run(fmt.Sprintf("LeaseSettle/%d", flying), func(b *testing.B) { benchLease(b, open(b), flying) })
	}
}

// patient names the nth patient, spread over the shards.
// patient names the patients. Their shards are as good as drawn, as a real id's
// is: counted off by n they would fall in step with the n of those who are due.
func patient(n int) store.Ref {
	return store.Ref{Kind: store.Patient, ID: fmt.Sprintf("%02d-%06d", rand.NewPCG(1, uint64(n)).Uint64()%store.Shards, n)}
}

func rate(b *testing.B, n int) {
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "op/s")
}

// benchUpdate commits a body of 300 bytes and its event.
func benchUpdate(b *testing.B, s store.Store, flying int) {
	ctx, body := context.Background(), make([]byte, 300)
	var n atomic.Int64
	b.ResetTimer()
	parallel(flying, func() {
		for {
			i := int(n.Add(1))
			if i > b.N {
				return
			}
			err := s.Update(ctx, patient(i%5000), fmt.Sprint("e", i), start, func(store.Aggregate) (store.Change, error) {
				return store.Change{Body: body}, nil
			})
			if err != nil {
				b.Error(err)
				return
			}
		}
	})
	rate(b, b.N)
}

// benchClaim claims what is due of all that are enrolled.
func benchClaim(b *testing.B, s store.Store, enrolled, due int) {
	ctx := context.Background()
	var n atomic.Int64
	parallel(64, func() {
		for i := int(n.Add(1)) - 1; i < enrolled; i = int(n.Add(1)) - 1 {
			at := start.Add(1000 * time.Hour)
			if i%(enrolled/due) == 0 {
				at = start
			}
			must(b, s.Update(ctx, patient(i), "e", start, func(store.Aggregate) (store.Change, error) {
				return store.Change{Set: []store.Timer{{Name: "evening", At: at, Body: make([]byte, 40)}}}, nil
			}))
		}
	})
	now := start
	b.ResetTimer()
	for range b.N {
		got, err := s.Claim(ctx, now, due, time.Microsecond)
		if err != nil || len(got) != due {
			b.Fatalf("%d claimed of %d: %v", len(got), due, err)
		}
		now = now.Add(time.Microsecond)
	}
	rate(b, b.N*due)
}

// benchLease orders an item, leases it and settles it.
func benchLease(b *testing.B, s store.Store, flying int) {
	ctx := context.Background()
	var n atomic.Int64
	b.ResetTimer()
	parallel(flying, func() {
		for i := int(n.Add(1)); i <= b.N; i = int(n.Add(1)) {
			ref := patient(i % 5000)
			must(b, s.Update(ctx, ref, fmt.Sprint("e", i), start, func(store.Aggregate) (store.Change, error) {
				return store.Change{Out: []store.Item{{ID: fmt.Sprintf("%02di%d", ref.Shard(), i), Queue: fmt.Sprint(i % 5000),
					Lane: store.LaneReply, Body: make([]byte, 100)}}}, nil
			}))
		}
	})
	updates := b.Elapsed()
	slots := make(chan store.Item, 64)
	go func() {
		defer close(slots)
		for sent := 0; sent < b.N; {
			items, _, err := s.Lease(ctx, start, 64, store.LaneAll, time.Hour)
			if err != nil {
				b.Error(err)
				return
			}
			for _, it := range items {
				slots <- it
			}
			sent += len(items)
		}
	}()
	parallel(flying, func() {
		for it := range slots {
			must(b, s.Settle(ctx, it.ID, store.Settlement{Outcome: store.Sent, Message: 1, Written: true, At: start}))
		}
	})
	b.ReportMetric(float64(b.N)/(b.Elapsed()-updates).Seconds(), "lease+settle/s")
}
