package redis_test

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"duskdawn/store"
)

// load commits events as the platform brings them: each again until it is
// acknowledged. An event adds one byte to its patient's body, so that what was
// applied twice shows, and orders one prompt.
type load struct {
	h     store.Store
	begun atomic.Int64 // events that were ever tried
	ok    atomic.Int64 // events that were acknowledged
	tried atomic.Int64 // tries that failed
	acked sync.Map     // of the acknowledged, the patient by event
	done  atomic.Bool  // begin no other event
	dead  atomic.Bool  // and leave the one at hand
	wg    sync.WaitGroup
}

const loaded = 10 * store.Shards // patients, over all shards

func startLoad(h store.Store, workers int) *load {
	l := &load{h: h}
	for range workers {
		l.wg.Go(func() {
			for !l.done.Load() {
				n := l.begun.Add(1)
				l.acknowledge(patientOf(n), fmt.Sprint("e", n))
			}
		})
	}
	return l
}

func patientOf(n int64) store.Ref {
	return store.Ref{Kind: store.Patient, ID: fmt.Sprintf("%02dp%d", n%store.Shards, n%loaded)}
}

func (l *load) acknowledge(ref store.Ref, event string) {
	for !l.dead.Load() {
		err := commit(l.h, ref, event)
		if err == nil || errors.Is(err, store.ErrSeen) {
			l.acked.Store(event, ref)
			l.ok.Add(1)
			return
		}
		l.tried.Add(1)
		time.Sleep(10 * time.Millisecond)
	}
}

// commit commits an event that adds one byte and orders a prompt.
func commit(h store.Store, ref store.Ref, event string) error {
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	return h.Update(ctx, ref, event, time.Now(), func(a store.Aggregate) (store.Change, error) {
		return store.Change{Body: append(a.Body, 'x'),
			Out: []store.Item{{ID: fmt.Sprintf("%02dx%s", ref.Shard(), event), Queue: event, Lane: store.LanePrompt}}}, nil
	})
}

// sender sends what the load orders, to nobody, and counts how often.
type sender struct {
	h    store.Store
	sent map[string]int
	stop context.CancelFunc
	done chan struct{}
	wg   sync.WaitGroup // what is being settled
}

func startSender(h store.Store) *sender {
	ctx, stop := context.WithCancel(context.Background())
	s := &sender{h: h, sent: map[string]int{}, stop: stop, done: make(chan struct{})}
	go func() {
		defer close(s.done)
		for ctx.Err() == nil {
			if s.pass(time.Now()) == 0 {
				time.Sleep(5 * time.Millisecond)
			}
		}
	}()
	return s
}

// pass leases, sends and settles; a settlement is tried until it is known.
func (s *sender) pass(now time.Time) int {
	items, _, err := s.h.Lease(context.Background(), now, 64, store.LaneAll, time.Minute)
	if err != nil {
		return 0
	}
	for _, it := range items {
		s.sent[it.ID]++
		s.wg.Go(func() {
			for {
				err := s.h.Settle(context.Background(), it.ID, store.Settlement{Outcome: store.Sent, Attempt: it.Attempt, At: now})
				if err == nil || errors.Is(err, store.ErrNotFound) {
					return
				}
			}
		})
	}
	return len(items)
}

// prove sends what was leased and left, once its lease has run out, and counts.
func (s *sender) prove(t *testing.T, l *load) {
	t.Helper()
	s.stop()
	<-s.done
	s.wg.Wait()
	for s.pass(time.Now().Add(2*time.Minute)) > 0 {
		s.wg.Wait()
	}
	twice, missed := 0, 0
	for _, n := range s.sent {
		if n > 1 {
			twice++
		}
	}
	l.acked.Range(func(event, ref any) bool {
		if s.sent[fmt.Sprintf("%02dx%s", ref.(store.Ref).Shard(), event)] == 0 {
			missed++
		}
		return true
	})
	t.Logf("%d prompts sent, %d twice, %d missed", len(s.sent), twice, missed)
	if twice+missed > 0 {
		t.Errorf("%d prompts were sent twice and %d missed", twice, missed)
	}
}

// more waits until that many more are acknowledged.
func (l *load) more(t *testing.T, n int64) {
	t.Helper()
	from := l.ok.Load()
	until(t, fmt.Sprintf("%d more are acknowledged", n), func() bool { return l.ok.Load() >= from+n })
}

// finish lets every event at hand be acknowledged and ends the load.
func (l *load) finish() {
	l.done.Store(true)
	l.wg.Wait()
}

// abandon ends the load whose server will not come back.
func (l *load) abandon() {
	l.dead.Store(true)
	l.finish()
}

// prove counts what was acknowledged and is gone, and what was applied twice.
func (l *load) prove(t *testing.T, h store.Store) {
	t.Helper()
	lost, applied := 0, 0
	l.acked.Range(func(event, ref any) bool {
		err := errors.New("not asked yet")
		until(t, "it is known whether an event is there", func() bool {
			err = commit(h, ref.(store.Ref), event.(string))
			return err == nil || errors.Is(err, store.ErrSeen)
		})
		if err == nil {
			lost++
		}
		return true
	})
	for n := range int64(loaded) {
		a, err := h.Get(t.Context(), patientOf(n))
		if err != nil && !errors.Is(err, store.ErrNotFound) {
			t.Fatal(err)
		}
		applied += len(a.Body)
	}
	begun, ok := l.begun.Load(), l.ok.Load()
	t.Logf("%d events begun, %d acknowledged after %d failed tries, %d applied: %d lost", begun, ok, l.tried.Load(),
		applied, lost)
	if lost > 0 {
		t.Errorf("%d acknowledged events are gone", lost)
	}
	if applied > int(begun) || applied < int(ok) {
		t.Errorf("%d applied", applied)
	}
}
