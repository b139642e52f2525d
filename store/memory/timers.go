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
	s.due.remove(t)
	delete(s.timers, key)
	delete(s.aggregates[key.ref].timers, key.name)
}

func (s *Store) setTimer(t store.Timer) {
	key := timerKey{t.Ref, t.Name}
	s.clearTimer(key)
	t.Body = store.Wrap(t.Place(), t.Body)
	kept := &timer{Timer: t, next: store.Micros(t.At)}
	s.timers[key] = kept
	s.aggregates[t.Ref].timers[t.Name] = kept
	s.due.add(kept)
}

// Claim returns timers that are due and holds them.
func (s *Store) Claim(ctx context.Context, now time.Time, n int, hold time.Duration) ([]store.Timer, error) {
	if err := s.enter(ctx); err != nil {
		return nil, err
	}
	defer s.mu.Unlock()
	var taken []*timer
	for t := s.due.first(); t != nil && len(taken) < n && t.next <= now.UnixMicro(); t = s.due.first() {
		s.due.remove(t)
		taken = append(taken, t)
	}
	var out []store.Timer
	for _, t := range taken {
		t.next = store.Micros(now.Add(hold))
		s.due.add(t)
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
	first := s.due.first()
	if first == nil {
		return time.Time{}, nil
	}
	return store.FromMicros(max(first.next, 1)), nil
}

// copyTimer gives a timer with its body out of the envelope, Damaged where that cannot be read.
func copyTimer(t store.Timer) store.Timer {
	body, err := store.Unwrap(t.Place(), t.Body)
	t.Body, t.Damaged = bytes.Clone(body), err != nil
	return t
}

// agenda has the timers by the minute they may be claimed in, so that a claim
// costs by what is due and never by who is enrolled: a minute is a heap of its
// own, and the minutes are one.
type agenda struct {
	minutes map[int64]*minute
	order   dueHeap[*minute]
}

// minute has the timers of one minute.
type minute struct {
	at     int64
	timers dueHeap[*timer]
	index  int // in the agenda's order
}

const minuteLong = int64(time.Minute / time.Microsecond)

func (a *agenda) add(t *timer) {
	at := t.next / minuteLong
	m := a.minutes[at]
	if m == nil {
		m = &minute{at: at}
		a.minutes[at] = m
		heap.Push(&a.order, m)
	}
	heap.Push(&m.timers, t)
}

func (a *agenda) remove(t *timer) {
	m := a.minutes[t.next/minuteLong]
	heap.Remove(&m.timers, t.index)
	if len(m.timers) == 0 {
		heap.Remove(&a.order, m.index)
		delete(a.minutes, m.at)
	}
}

// first is the timer that may be claimed first; nil where there is none.
func (a *agenda) first() *timer {
	if len(a.order) == 0 {
		return nil
	}
	return a.order[0].timers[0]
}

func (m *minute) before(o *minute) bool { return m.at < o.at }
func (m *minute) place(i int)           { m.index = i }
func (t *timer) place(i int)            { t.index = i }
func (t *timer) before(o *timer) bool {
	switch {
	case t.next != o.next:
		return t.next < o.next
	case t.Ref != o.Ref:
		return t.Ref.Compare(o.Ref) < 0
	}
	return t.Name < o.Name
}

// ranked is what a heap can hold.
type ranked[T any] interface {
	before(T) bool
	place(int)
}

var (
	_ ranked[*minute] = (*minute)(nil)
	_ ranked[*timer]  = (*timer)(nil)
)

// dueHeap has on top what is due first, and tells each where it lies.
type dueHeap[T ranked[T]] []T

func (h dueHeap[T]) Len() int           { return len(h) }
func (h dueHeap[T]) Less(i, j int) bool { return h[i].before(h[j]) }
func (h dueHeap[T]) Swap(i, j int) {
	h[i], h[j] = h[j], h[i]
	h[i].place(i)
	h[j].place(j)
}
func (h *dueHeap[T]) Push(x any) {
	t := x.(T)
	t.place(len(*h))
	*h = append(*h, t)
}
func (h *dueHeap[T]) Pop() any {
	n := len(*h) - 1
	t := (*h)[n]
	(*h)[n] = *new(T)
	*h = (*h)[:n]
	return t
}
