package scheduler

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"net"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
	"duskdawn/store"
	"duskdawn/store/memory"
	"duskdawn/store/redis"
	"duskdawn/store/sqlite"

	"github.com/robfig/cron/v3"
)

// A pass on a file of a million writes a page of its own for each timer where a
// file of ten thousand shares them: with no sync the two are 1.3 apart. A million,
// and the peer, one entry of the cron library a patient:
//
//	go test -run xxx -bench Pass -benchtime 9x -timeout 60m ./scheduler -enrolled 1000000
//	go test -run xxx -bench Cron -benchtime 5x ./scheduler -enrolled 1000000
//
// The claim alone, of 10,000 and of a million, is BenchmarkPass of each store.

// enrolledMany is the larger practice of the benchmarks below; a million takes
// minutes to enrol on a store that syncs.
var enrolledMany = flag.Int("enrolled", 100_000, "patients of the larger practice in BenchmarkPass and BenchmarkCron")

const (
	enrolledFew = 10_000
	dueNow      = 1_000
)

// BenchmarkPass shows that a pass costs by what is due, not by who is enrolled:
// 1,000 timers due out of 10,000 and out of many, claimed and handled, each a
// durable commit. The two practices take turns in one run, so that whatever
// else the machine does falls on both; the medians and their ratio are reported.
func BenchmarkPass(b *testing.B) {
	for _, s := range []struct {
		name string
		open func(*testing.B) store.Store
	}{
		{"memory", func(*testing.B) store.Store { return memory.New() }},
		{"sqlite", func(b *testing.B) store.Store {
			s, err := sqlite.Open(b.Context(), sqlite.Options{Path: filepath.Join(b.TempDir(), "bench.db")})
			if err != nil {
				b.Fatal(err)
			}
			return s
		}},
		{"redis", openRedis},
	} {
		b.Run(s.name, func(b *testing.B) {
			few, many := newHall(b, s.open(b), enrolledFew), newHall(b, s.open(b), *enrolledMany)
			runtime.GC()
			for round := 0; b.Loop(); round++ {
				b.StopTimer()
				few.prepare(round)
				many.prepare(round)
				b.StartTimer()
				if round%2 == 0 { // neither always follows the other
					few.pass()
					many.pass()
				} else {
					many.pass()
					few.pass()
				}
			}
			b.ReportMetric(few.median(), fmt.Sprintf("ms/%d-of-%d", dueNow, enrolledFew))
			b.ReportMetric(many.median(), fmt.Sprintf("ms/%d-of-%d", dueNow, *enrolledMany))
			b.ReportMetric(many.median()/few.median(), "ratio")
		})
	}
}

// hall is a runner on a store with many enrolled.
type hall struct {
	*Runner
	b        *testing.B
	enrolled int
	clock    *ManualClock
	took     []time.Duration
}

func newHall(b *testing.B, st store.Store, enrolled int) *hall {
	h := &hall{b: b, enrolled: enrolled, clock: NewManualClock(time.Date(2026, 11, 3, 12, 0, 0, 0, time.UTC))}
	b.Cleanup(func() { st.Close() })
	var err error
	h.Runner, err = New(b.Context(), Options{Store: st, Clock: h.clock, Logic: Logic{
		Patient: func(*practice.Practice, *flows.Patient, *flows.Event) []flows.Effect {
			return []flows.Effect{flows.SetTimer{Name: "evening", After: 60 * 24 * 365}} // again far away
		},
	}})
	if err != nil {
		b.Fatal(err)
	}
	h.each(enrolled, func(i int) error {
		ref := h.patient(i)
		p := flows.Patient{ID: chart.PatientID(ref.ID), Zone: "UTC"}
		body, err := store.EncodePatient(&p)
		if err != nil {
			return err
		}
		return st.Update(b.Context(), ref, "enrol", h.clock.Now(), func(store.Aggregate) (store.Change, error) {
			return store.Change{Body: body, Set: []store.Timer{{Name: "evening", At: h.clock.Now().AddDate(1, 0, 0)}}}, nil
		})
	})
	return h
}

// patient names the patients. Their shards are as good as drawn, as a real id's
// is: a shard counted off by i would fall in step with the i of those who are
// due, and leave the larger practice with fewer shards, and so fewer lanes.
func (h *hall) patient(i int) store.Ref {
	shard := rand.NewPCG(1, uint64(i)).Uint64() % store.Shards
	return store.Ref{Kind: store.Patient, ID: fmt.Sprintf("%02d%014d", shard, i)}
}

// each does n things, as many at once as a store can put into one sync.
func (h *hall) each(n int, do func(i int) error) {
	var wg sync.WaitGroup
	var next, failed atomic.Int64
	for range 64 {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				if err := do(i); err != nil {
					failed.Add(1)
				}
			}
		})
	}
	wg.Wait()
	if failed.Load() > 0 {
		h.b.Fatalf("%d commits failed", failed.Load())
	}
}

// prepare makes the timers of some patients due, spread over all, others each round.
func (h *hall) prepare(round int) {
	h.clock.Set(h.clock.Now().Add(time.Second))
	step := h.enrolled / dueNow
	h.each(dueNow, func(i int) error {
		return h.store.Update(h.b.Context(), h.patient(i*step+round%step), fmt.Sprint("due ", round), h.clock.Now(),
			func(store.Aggregate) (store.Change, error) {
				return store.Change{Set: []store.Timer{{Name: "evening", At: h.clock.Now()}}}, nil
			})
	})
}

// pass fires all that is due.
func (h *hall) pass() {
	began, fired := time.Now(), 0
	for fired < dueNow {
		n, _, err := h.FireDue(h.b.Context())
		if err != nil || n == 0 {
			h.b.Fatalf("%d of %d fired: %v", fired, dueNow, err)
		}
		fired += n
	}
	h.took = append(h.took, time.Since(began))
}

// median is in milliseconds.
func (h *hall) median() float64 {
	slices.Sort(h.took)
	return float64(h.took[len(h.took)/2].Microseconds()) / 1000
}

// openRedis opens a store on a server of its own that syncs every write.
func openRedis(b *testing.B) store.Store {
	path, err := exec.LookPath("redis-server")
	if err != nil {
		b.Skip("redis-server is not on PATH: nothing is measured on Redis")
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	port := l.Addr().(*net.TCPAddr).Port
	l.Close()
	server := exec.Command(path, "--port", strconv.Itoa(port), "--bind", "127.0.0.1", "--dir", b.TempDir(), "--save", "",
		"--appendonly", "yes", "--appendfsync", "always", "--auto-aof-rewrite-percentage", "0")
	if err := server.Start(); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { server.Process.Kill(); server.Wait() })
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		st, err := redis.Open(b.Context(), fmt.Sprintf("redis://127.0.0.1:%d", port))
		if err == nil {
			return st
		}
		if time.Now().After(end) {
			b.Fatal("the server does not answer: ", err)
		}
	}
}

// BenchmarkCron is the peer: the library's own way, one entry a patient with
// the patient's zone. It reports the memory of the entries and what one wake
// costs, at which the library sorts all of them: the time from one request that
// wakes its loop until it takes the next.
func BenchmarkCron(b *testing.B) {
	for _, entries := range []int{enrolledFew, *enrolledMany} {
		b.Run(fmt.Sprintf("entries=%d", entries), func(b *testing.B) {
			var before, after runtime.MemStats
			runtime.GC()
			runtime.ReadMemStats(&before)
			c := cron.New()
			for i := range entries {
				if _, err := c.AddFunc(fmt.Sprintf("CRON_TZ=America/New_York %d %d * * *", i%60, i/60%24), func() {}); err != nil {
					b.Fatal(err)
				}
			}
			runtime.GC()
			runtime.ReadMemStats(&after)
			c.Start()
			defer func() { <-c.Stop().Done() }()
			var took []time.Duration
			for b.Loop() {
				c.Remove(0) // no such entry: it wakes the loop, which sorts
				began := time.Now()
				c.Remove(0) // taken when the loop waits again
				took = append(took, time.Since(began))
			}
			slices.Sort(took)
			b.ReportMetric(float64(after.HeapAlloc-before.HeapAlloc)/(1<<20), "MB")
			b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "ms/wake")
		})
	}
}
