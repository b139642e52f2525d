package scheduler

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/store"
	"duskdawn/store/memory"
	"duskdawn/store/sqlite"
)

// BenchmarkPass shows that a pass costs by what is due, not by who is enrolled:
// 100 due out of 1,000 and out of 100,000, in one run, the claim alone and the
// pass with its handling. The ratio to the smaller is reported beside the time.
func BenchmarkPass(b *testing.B) {
	stores := map[string]func(b *testing.B) store.Store{
		"memory": func(b *testing.B) store.Store { return memory.New() },
		"sqlite": func(b *testing.B) store.Store {
			s, err := sqlite.Open(b.Context(), sqlite.Options{Path: filepath.Join(b.TempDir(), "bench.db")})
			if err != nil {
				b.Fatal(err)
			}
			return s
		},
	}
	for _, name := range []string{"memory", "sqlite"} {
		var small time.Duration
		for _, enrolled := range []int{1_000, 100_000} {
			b.Run(fmt.Sprintf("%s/enrolled=%d", name, enrolled), func(b *testing.B) {
				per := passes(b, stores[name](b), enrolled)
				if enrolled == 1_000 {
					small = per
				} else if small > 0 {
					b.ReportMetric(float64(per)/float64(small), "x-of-1000")
				}
			})
		}
	}
}

const dueNow = 100

// passes enrols, and then times passes with 100 timers due in each.
func passes(b *testing.B, st store.Store, enrolled int) time.Duration {
	defer st.Close()
	ctx := context.Background()
	clock := NewManualClock(time.Date(2026, 11, 3, 12, 0, 0, 0, time.UTC))
	again := func(e flows.Event) []flows.Effect { // everybody's timer comes again far away; those due are set by hand
		return []flows.Effect{flows.SetTimer{Name: "evening", After: 60 * 24 * 365}}
	}
	r, err := New(ctx, Options{Store: st, Clock: clock, Logic: Logic{
		Patient: func(_ flows.Practice, p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
			p.ID, p.Zone = "00X", "UTC"
			return p, again(e)
		},
	}})
	if err != nil {
		b.Fatal(err)
	}
	id := func(i int) store.Ref { return store.Ref{Kind: store.Patient, ID: fmt.Sprintf("%02d%014d", i%64, i)} }
	work := make(chan int, 64)
	done := make(chan error, 16)
	for range 16 {
		go func() {
			for i := range work {
				if err := r.Handle(ctx, id(i), "enrol", flows.Reached{}); err != nil {
					done <- err
					return
				}
			}
			done <- nil
		}()
	}
	for i := range enrolled {
		work <- i
	}
	close(work)
	for range 16 {
		if err := <-done; err != nil {
			b.Fatal(err)
		}
	}
	round := 0
	var spent time.Duration
	b.ResetTimer()
	for b.Loop() {
		b.StopTimer()
		round++
		for i := range dueNow {
			n := (round*dueNow + i) * 7 % enrolled
			err := st.Update(ctx, id(n), fmt.Sprintf("due/%d/%d", round, i), clock.Now(), func(store.Aggregate) (store.Change, error) {
				return store.Change{Set: []store.Timer{{Name: "evening", At: clock.Now()}}}, nil
			})
			if err != nil {
				b.Fatal(err)
			}
		}
		b.StartTimer()
		from := time.Now()
		fired, _, err := r.FireDue(ctx)
		spent += time.Since(from)
		if err != nil || fired == 0 {
			b.Fatalf("fired %d, %v", fired, err)
		}
		clock.Set(clock.Now().Add(time.Second))
	}
	return spent / time.Duration(b.N)
}
