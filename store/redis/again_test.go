package redis_test

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"duskdawn/store"
	"duskdawn/store/redis"

	"github.com/google/go-cmp/cmp"
	client "github.com/redis/go-redis/v9"
)

// write is one call that writes, and what it answers where nothing goes wrong.
type write struct {
	name string
	do   func(h store.Store) any
	want any
}

// writes are every call that writes, in an order in which each finds something
// to do, each followed by what would show that it was done twice.
func writes() []write {
	now := time.Date(2026, 3, 2, 20, 0, 0, 0, time.UTC)
	change := func() (c store.Change) {
		c.Journal = []store.Record{{What: "said"}}
		c.Diary = []store.Row{{Night: 3, Body: []byte("row")}}
		c.Set = []store.Timer{{Name: "evening", At: now}}
		c.Own = []string{"07code"}
		c.Out = []store.Item{{ID: "07a", Queue: "a", Lane: store.LanePrompt}, {ID: "07b", Queue: "b", Lane: store.LaneReport,
			Once: true}}
		return c
	}
	bg := context.Background()
	lease := func(h store.Store) any {
		out, expired, err := h.Lease(bg, now, 9, store.LaneAll, time.Hour)
		return fmt.Sprint(ids(out), ids(expired), err)
	}
	claim := func(h store.Store) any {
		timers, err := h.Claim(bg, now, 9, time.Hour)
		return fmt.Sprint(len(timers), err)
	}
	reserve := func(h store.Store) any {
		wait, err := h.Reserve(bg, now, "chat", false, store.LaneReply)
		return fmt.Sprint(wait, err)
	}
	lead := func(who string, ttl time.Duration) func(h store.Store) any {
		return func(h store.Store) any { ok, err := h.Lead(bg, "poll", who, ttl); return fmt.Sprint(ok, err) }
	}
	return []write{
		{"update", func(h store.Store) any {
			return h.Update(bg, ann, "e", now, func(a store.Aggregate) (store.Change, error) {
				c := change()
				c.Body = append(a.Body, 'x')
				return c, nil
			})
		}, nil},
		{"update that hands over", func(h store.Store) any {
			hand := &store.Handoff{N: 9, Most: store.LaneAll, Hold: time.Hour}
			err := h.Update(bg, ann, "handed", now, func(store.Aggregate) (store.Change, error) {
				hand.Items = nil
				return store.Change{Out: []store.Item{{ID: "07c", Queue: "c", Lane: store.LaneReply}}, Hand: hand}, nil
			})
			return fmt.Sprint(ids(hand.Items), err)
		}, "[07c] <nil>"},
		{"claim", claim, "1 <nil>"},
		{"claim, all held", claim, "0 <nil>"},
		{"lease", lease, "[07a 07b] [] <nil>"},
		{"lease, all held", lease, "[] [] <nil>"},
		{"wrote", func(h store.Store) any { return h.Wrote(bg, "07b") }, nil},
		{"settle as waiting", func(h store.Store) any {
			return h.Settle(bg, "07a", store.Settlement{Outcome: store.Pending, Until: now, Attempt: 1, At: now})
		}, nil},
		{"lease again", lease, "[07a] [] <nil>"},
		{"settle as sent", func(h store.Store) any {
			return h.Settle(bg, "07a", store.Settlement{Outcome: store.Sent, Message: 7, Attempt: 2, Text: []byte("shown"),
				At: now})
		}, nil},
		{"settle as doubtful", func(h store.Store) any {
			return h.Settle(bg, "07b", store.Settlement{Outcome: store.Doubt, Attempt: 1, At: now})
		}, nil},
		{"reserve", reserve, "0s <nil>"},
		{"reserve", reserve, "0s <nil>"},
		{"reserve", reserve, "0s <nil>"}, // the last of a burst of three
		{"reserve, not granted", reserve, "1s <nil>"},
		{"hold off", func(h store.Store) any { return h.HoldOff(bg, "chat", now.Add(time.Minute)) }, nil},
		{"reserve, held off", reserve, "1m0s <nil>"},
		{"lead", lead("a", time.Hour), "true <nil>"},
		{"lead, held by another", lead("b", time.Hour), "false <nil>"},
		{"give the lead up", lead("a", 0), "true <nil>"},
		{"lead after it was given up", lead("b", time.Hour), "true <nil>"},
		{"set aside", func(h store.Store) any { return h.SetAside(bg, "u", "decode", []byte("raw"), now) }, nil},
		{"purge", func(h store.Store) any { return h.Purge(bg, now.Add(-time.Hour)) }, nil},
		{"purge all", func(h store.Store) any { return h.Purge(bg, now.Add(time.Hour)) }, nil},
	}
}

// remains reads what the writes leave.
func remains(t *testing.T, h store.Store) string {
	t.Helper()
	a, err := h.Get(t.Context(), ann)
	if err != nil {
		t.Fatal(err)
	}
	rows, asides, doubtful, journal := 0, 0, 0, []store.Record{}
	for range h.Diary(t.Context(), ann) {
		rows++
	}
	for r, err := range h.Journal(t.Context(), ann) {
		if err != nil {
			t.Fatal(err)
		}
		journal = append(journal, r)
	}
	for range h.Asides(t.Context()) {
		asides++
	}
	for range h.Doubtful(t.Context()) {
		doubtful++
	}
	return fmt.Sprintf("%q at %d, %d rows, %d records %v, %d aside, %d doubtful", a.Body, a.Rev, rows, len(journal),
		store.Verify(journal), asides, doubtful)
}

func ids(items []store.Item) []string {
	out := []string{}
	for _, it := range items {
		out = append(out, it.ID)
	}
	return out
}

// TestEveryWriteIsRunAgain swallows the answer of each write in turn, also the
// answers of what it reads before: the call runs the same script again, answers
// as if nothing had happened, and has written once.
func TestEveryWriteIsRunAgain(t *testing.T) {
	t.Parallel()
	s := startServer(t)
	p := startProxy(t, s)
	c := client.NewClient(&client.Options{Network: "unix", Addr: s.socket})
	defer func() { _ = c.Close() }()
	fresh := func() *redis.Store {
		t.Helper()
		if err := c.FlushAll(t.Context()).Err(); err != nil {
			t.Fatal(err)
		}
		h, err := redis.Open(t.Context(), "redis+unix://"+p.path)
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
	swallowed := map[string]int64{}
	calm := ""
	for _, nth := range []int64{0, 1, 2, 3} {
		h := fresh()
		for _, w := range writes() {
			before := p.swallowed.Load()
			p.next.Store(nth)
			got := w.do(h)
			p.next.Store(0)
			swallowed[w.name] += p.swallowed.Load() - before
			if d := cmp.Diff(w.want, got, cmp.Comparer(func(a, b error) bool { return errors.Is(a, b) })); d != "" {
				t.Fatalf("%s, answer %d swallowed (-want +got):\n%s", w.name, nth, d)
			}
		}
		left := remains(t, h)
		if nth == 0 {
			calm = left
		}
		if left != calm {
			t.Errorf("answer %d swallowed: %s is left, want %s", nth, left, calm)
		}
		if err := h.Close(); err != nil {
			t.Fatal(err)
		}
	}
	for _, w := range writes() {
		if swallowed[w.name] == 0 {
			t.Errorf("%s: no answer was swallowed", w.name)
		}
	}
	t.Log(calm)
}
