package storetest

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"duskdawn/store"
)

// BenchPass measures the claims of a thousand due timers, a batch at a time, of all that are
// enrolled, among few and among many, and their ratio: a claim should cost by
// what is due. Each claim finds other timers, spread over everybody. The two
// take turns, so that whatever else the machine does falls on both.
func BenchPass(b *testing.B, open func(testing.TB) store.Store, few, many int) {
	const due, passes, batch = 1000, 15, 256 // a batch as the runner claims it
	ctx := context.Background()
	enrol := func(enrolled int) store.Store {
		s := open(b)
		var n atomic.Int64
		parallel(64, func() { // as many as a store that syncs can put into one sync
			for i := int(n.Add(1)) - 1; i < enrolled; i = int(n.Add(1)) - 1 {
				at := start.Add(1000 * time.Hour)
				if k := i % (enrolled / due); k < passes {
					at = start.Add(time.Duration(k) * time.Minute)
				}
				must(b, s.Update(ctx, patient(i), "e", start, func(store.Aggregate) (store.Change, error) {
					return store.Change{Set: []store.Timer{{Name: "evening", At: at, Wall: "2026-03-01T21:00", Zone: "Europe/Lisbon",
						Basis: "2026a", Body: make([]byte, 40)}}}, nil
				}))
			}
		})
		return s
	}
	for range b.N {
		b.StopTimer()
		stores := []store.Store{enrol(few), enrol(many)}
		runtime.GC()
		b.StartTimer()
		var took [2][]time.Duration
		for k := range min(passes, few/due) {
			for n := range stores {
				i := (n + k) % len(stores) // neither always follows the other
				began, claimed := time.Now(), 0
				for claimed < due {
					got, err := stores[i].Claim(ctx, start.Add(time.Duration(k)*time.Minute), batch, time.Hour)
					if err != nil || len(got) == 0 {
						b.Fatalf("%d claimed of %d: %v", claimed, due, err)
					}
					claimed += len(got)
				}
				took[i] = append(took[i], time.Since(began))
				if claimed != due {
					b.Fatalf("%d claimed of %d", claimed, due)
				}
			}
		}
		for i, enrolled := range []int{few, many} {
			slices.Sort(took[i])
			b.ReportMetric(float64(took[i][len(took[i])/2].Microseconds()), fmt.Sprintf("us/%d-of-%d", due, enrolled))
			must(b, stores[i].Close())
		}
		b.ReportMetric(float64(took[1][len(took[1])/2])/float64(took[0][len(took[0])/2]), "ratio")
	}
}
