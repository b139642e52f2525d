package storetest

import (
	"fmt"
	"sync"
	"time"

	"duskdawn/store"
)

// claim claims up to n timers for ten minutes and gives ref and name.
func (b *bench) claim(now time.Time, n int) []string {
	b.Helper()
	timers, err := b.Claim(b.ctx, now, n, 10*time.Minute)
	must(b, err)
	out := []string{}
	for _, m := range timers {
		out = append(out, m.Ref.ID+" "+m.Name)
	}
	return out
}

func (b *bench) next(want time.Time) {
	b.Helper()
	got, err := b.Next(b.ctx)
	must(b, err)
	same(b, "next", got, want)
}

func testClaim(b *bench) {
	b.next(time.Time{})
	same(b, "of nothing", b.claim(start, 9), nil)
	b.update(ann, store.Change{Set: []store.Timer{{Name: "evening", At: start.Add(time.Hour)},
		{Name: "a", At: start.Add(2 * time.Hour)}}})
	b.update(cyd, store.Change{Set: []store.Timer{{Name: "morning", At: start.Add(30 * time.Minute)}}})
	b.update(ben, store.Change{Set: []store.Timer{{Name: "evening", At: start.Add(time.Hour)}}})
	b.next(start.Add(30 * time.Minute))
	same(b, "too early", b.claim(start.Add(30*time.Minute-time.Microsecond), 9), nil)
	same(b, "none asked for", b.claim(start.Add(time.Hour), 0), nil)
	same(b, "at most two", b.claim(start.Add(time.Hour), 2), []string{"63cyd morning", "07ann evening"})
	b.next(start.Add(time.Hour))
	same(b, "the rest", b.claim(start.Add(time.Hour), 9), []string{"07ben evening"})
	same(b, "all held", b.claim(start.Add(time.Hour+9*time.Minute), 9), nil)
	b.next(start.Add(time.Hour + 10*time.Minute))
	same(b, "held until then", b.claim(start.Add(3*time.Hour), 9), []string{"07ann evening", "07ben evening",
		"63cyd morning", "07ann a"})
}

func testTimerReplaced(b *bench) {
	b.update(ann, store.Change{Set: []store.Timer{{Name: "evening", At: start}, {Name: "x", At: start}}})
	same(b, "claimed", b.claim(start, 9), []string{"07ann evening", "07ann x"})
	b.update(ann, store.Change{Set: []store.Timer{{Name: "evening", At: start.Add(time.Minute)}},
		Clear: []string{"x", "unknown"}})
	b.next(start.Add(time.Minute)) // replacing ends the hold
	same(b, "not yet", b.claim(start, 9), nil)
	same(b, "replaced", b.claim(start.Add(time.Hour), 9), []string{"07ann evening"})
	b.update(ann, store.Change{Set: []store.Timer{{Name: "evening", At: start.Add(2 * time.Hour)}},
		Clear: []string{"evening"}})
	same(b, "cleared, then set", b.claim(start.Add(3*time.Hour), 9), []string{"07ann evening"})
	b.update(ann, store.Change{Clear: []string{"evening"}})
	b.update(ben, store.Change{Clear: []string{"evening"}})
	b.next(time.Time{})
	same(b, "cleared", b.claim(start.Add(100*time.Hour), 9), nil)
	same(b, "pending", collect(b, b.Pending(b.ctx, ann)), nil)
	b.update(ann, store.Change{Set: []store.Timer{{Name: "t", At: start.Add(time.Hour)}, {Name: "t", At: start}}})
	same(b, "the last of one name", b.claim(start, 9), []string{"07ann t"})
	b.update(cyd, store.Change{Set: []store.Timer{{Name: "no time"}}}) // due at once
	if next, err := b.Next(b.ctx); err != nil || next.IsZero() || next.After(start) {
		b.Fatalf("next at %v, %v", next, err)
	}
	same(b, "without a time", b.claim(start, 9), []string{"63cyd no time"})
}

func testTimerKept(b *bench) {
	full := store.Timer{Name: "b", At: start.Add(1999 * time.Nanosecond), Wall: "2026-03-01T21:00", Zone: "Europe/Lisbon",
		Basis: "2026a", Body: []byte("due")}
	b.update(ann, store.Change{Set: []store.Timer{full, {Name: "a", At: start.Add(-time.Hour)}}})
	b.update(ben, store.Change{Set: []store.Timer{{Name: "c", At: start}}})
	full.Ref, full.At = ann, start.Add(time.Microsecond)
	want := []store.Timer{{Ref: ann, Name: "a", At: start.Add(-time.Hour)}, full}
	same(b, "pending", collect(b, b.Pending(b.ctx, ann)), want)
	got, err := b.Claim(b.ctx, start.Add(time.Second), 9, time.Minute)
	must(b, err)
	same(b, "claimed", got, []store.Timer{want[0], {Ref: ben, Name: "c", At: start}, want[1]})
	same(b, "still pending", collect(b, b.Pending(b.ctx, ann)), want)
}

// testClaimConcurrent has many claim at once: each timer goes to one.
func testClaimConcurrent(b *bench) {
	const timers = 150
	for i := range timers {
		b.update(patient(i), store.Change{Set: []store.Timer{{Name: fmt.Sprint(i), At: start}}})
	}
	var mu sync.Mutex
	seen := map[string]int{}
	parallel(6, func() {
		for {
			got, err := b.Claim(b.ctx, start, 10, time.Hour)
			if err != nil {
				b.Error(err)
			}
			if len(got) == 0 {
				return
			}
			mu.Lock()
			for _, m := range got {
				seen[m.Name]++
			}
			mu.Unlock()
		}
	})
	same(b, "claimed", len(seen), timers)
	for name, n := range seen {
		if n != 1 {
			b.Errorf("timer %s was claimed %d times", name, n)
		}
	}
}
