package storetest

import (
	"context"
	"fmt"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"duskdawn/store"
)

// BenchPass measures one claim of a thousand due timers of all that are
// enrolled, among few and among many, and their ratio: a claim should cost by
// what is due. Each claim finds other timers, spread over everybody.
func BenchPass(b *testing.B, open func(testing.TB) store.Store, few, many int) {
	const due, passes = 1000, 9
	median := func(enrolled int) time.Duration {
		s, ctx := open(b), context.Background()
		var n atomic.Int64
		parallel(64, func() {
			for i := int(n.Add(1)) - 1; i < enrolled; i = int(n.Add(1)) - 1 {
				at := start.Add(1000 * time.Hour)
				if k := i % (enrolled / due); k < passes {
					at = start.Add(time.Duration(k) * time.Minute)
				}
				must(b, s.Update(ctx, patient(i), "e", start, func(store.Aggregate) (store.Change, error) {
					return store.Change{Set: []store.Timer{{Name: "evening", At: at, Wall: "2026-03-01T21:00", Zone: "Europe/Lisbon", Basis: "2026a", Body: make([]byte, 40)}}}, nil
				}))
			}
		})
		var took []time.Duration
		for k := range passes {
			began := time.Now()
			got, err := s.Claim(ctx, start.Add(time.Duration(k)*time.Minute), due, time.Hour)
			took = append(took, time.Since(began))
			if err != nil || len(got) != due {
				b.Fatalf("%d claimed of %d: %v", len(got), due, err)
			}
		}
		slices.Sort(took)
		return took[passes/2]
	}
	for range b.N {
		a, c := median(few), median(many)
		b.ReportMetric(float64(a.Microseconds()), fmt.Sprintf("us/%d-of-%d", due, few))
		b.ReportMetric(float64(c.Microseconds()), fmt.Sprintf("us/%d-of-%d", due, many))
		b.ReportMetric(float64(c)/float64(a), "ratio")
	}
}
