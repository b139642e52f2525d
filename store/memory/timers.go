package memory

import (
	"bytes"
	"container/heap"
	"context"
	"time"

	"duskdawn/store"
)

// timerKey names a timer.
type timerKey struct {
	ref  store.Ref
	name string
}

// timer is a stored timer with the instant from which it may be claimed.
type timer struct {
	store.Timer
	next  int64
	index int // in the heap
}

func (s *Store) clearTimer(key timerKey) {
	t, ok := s.timers[key]
	if !ok {
		return
	}
	heap.Remove(&s.due, t.index)
	delete(s.timers, key)
	delete(s.aggregates[key.ref].timers, key.name)
}

func (s *Store) setTimer(t store.Timer) {
	key := timerKey{t.Ref, t.Name}
	s.clearTimer(key)
	kept := &timer{Timer: t, next: store.Micros(t.At)}
	s.timers[key] = kept
	s.aggregates[t.Ref].timers[t.Name] = kept
	heap.Push(&s.due, kept)
}

// Claim returns timers that are due and holds them.
func (s *Store) Claim(ctx context.Context, now time.Time, n int, hold time.Duration) ([]store.Timer, error) {
	if err := s.enter(ctx); err != nil {
		return nil, err
	}
	defer s.mu.Unlock()
	var taken []*timer
	for len(taken) < n && len(s.due) > 0 && s.due[0].next <= now.UnixMicro() {
		taken = append(taken, heap.Pop(&s.due).(*timer))
	}
	var out []store.Timer
	for _, t := range taken {
		t.next = store.Micros(now.Add(hold))
		heap.Push(&s.due, t)
		out = append(out, copyTimer(t.Timer))
	}
	return out, nil
}

// Next returns when the first timer is due.
func (s *Store) Next(ctx context.Context) (time.Time, error) {
	if err := s.enter(ctx); err != nil {
		return time.Time{}, err
	}
	defer s.mu.Unlock()
	if len(s.due) == 0 {
		return time.Time{}, nil
	}
	return store.FromMicros(max(s.due[0].next, 1)), nil
}

func copyTimer(t store.Timer) store.Timer {
	t.Body = bytes.Clone(t.Body)
	return t
}

// dueHeap has the timer that is due first on top.
type dueHeap []*timer

func (h dueHeap) Len() int { return len(h) }
func (h dueHeap) Less(i, j int) bool {
	a, b := h[i], h[j]
	switch {
	case a.next != b.next:
		return a.next < b.next
	case a.Ref != b.Ref:
		return a.Ref.Compare(b.Ref) < 0
	}
	return a.Name < b.Name
}
func (h dueHeap) Swap(i, j int) {
	h[i], h[j] = h[j], h[i]
	h[i].index, h[j].index = i, j
}
func (h *dueHeap) Push(x any) {
	t := x.(*timer)
	t.index = len(*h)
	*h = append(*h, t)
}
func (h *dueHeap) Pop() any {
	last := len(*h) - 1
	t := (*h)[last]
	*h = (*h)[:last]
	return t
}
