package storetest

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"iter"
	"testing"
	"time"

	"duskdawn/store"
	"duskdawn/store/memory"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// testModel runs random operations against a store and against the reference
// model: every answer must be the same.
func testModel(t *testing.T, b Backend) {
	if b.Again != nil { // a store on a disk syncs every step; -rapid.checks asks for more
		if f := flag.Lookup("rapid.checks"); f != nil && f.Value.String() == f.DefValue {
			must(t, f.Value.Set("25"))
			defer func() { must(t, f.Value.Set(f.DefValue)) }()
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		m := &model{T: rt, got: b.Open(t), want: memory.New(), now: start}
		defer func() { _ = m.got.Close() }()
		rt.Repeat(map[string]func(*rapid.T){
			"update": m.update, "again": m.again, "claim": m.claim, "lease": m.lease, "settle": m.settle,
			"wrote": m.wrote, "reserve": m.reserve, "holdOff": m.holdOff, "wait": m.wait, "read": m.read,
		})
	})
}

// model drives two stores alike.
type model struct {
	*rapid.T
	got, want store.Store
	now       time.Time
	events    int
	items     []string
}

var (
	refs  = rapid.SampledFrom([]store.Ref{ann, ben, cyd, chat, practice})
	names = rapid.SampledFrom([]string{"evening", "morning", "late"})
	lanes = rapid.SampledFrom([]store.Lane{store.LaneEvent, store.LaneUrgent, store.LaneReply, store.LanePrompt,
		store.LaneAll})
	queues = rapid.SampledFrom([]string{"1", "2", "-3"})
	short  = rapid.IntRange(0, 5000)
)

// some is a time a little way from now, in milliseconds.
func (m *model) some(label string) time.Time {
	return m.now.Add(time.Duration(rapid.IntRange(-2000, 8000).Draw(m.T, label)) * time.Millisecond)
}

func (m *model) same(what string, got, want any) {
	m.Helper()
	if d := cmp.Diff(want, got, cmpopts.EquateEmpty(), cmpopts.IgnoreFields(store.Item{}, "Seq")); d != "" {
		m.Fatalf("%s (-model +store):\n%s", what, d)
	}
}

func (m *model) must(err error) {
	m.Helper()
	if err != nil {
		m.Fatal(err)
	}
}

func (m *model) sameError(what string, got, want error) {
	m.Helper()
	if !errors.Is(got, want) || (got == nil) != (want == nil) {
		m.Fatalf("%s: error %v, the model's %v", what, got, want)
	}
}

func (m *model) change(ref store.Ref) (c store.Change) {
	if rapid.Bool().Draw(m.T, "body") {
		c.Body = rapid.SliceOfN(rapid.Byte(), 1, 8).Draw(m.T, "bytes")
	}
	if rapid.Bool().Draw(m.T, "summary") {
		s := store.Summary{State: names.Draw(m.T, "state"), Label: queues.Draw(m.T, "label"),
			Answered: int32(short.Draw(m.T, "answered"))}
		if rapid.Bool().Draw(m.T, "open") {
			s.Class, s.Deadline = 'S', m.some("deadline")
		}
		c.Summary = &s
	}
	key := rapid.Map(names, func(n string) string { return fmt.Sprintf("%02d%s", ref.Shard(), n) })
	c.Own = rapid.SliceOfN(key, 0, 1).Draw(m.T, "own")
	c.Disown = rapid.SliceOfN(key, 0, 1).Draw(m.T, "disown")
	for range rapid.IntRange(0, 2).Draw(m.T, "rows") {
		c.Diary = append(c.Diary, store.Row{Night: int32(rapid.IntRange(1, 3).Draw(m.T, "night")), At: m.now,
			Source: "patient"})
		c.Journal = append(c.Journal, store.Record{At: m.now, What: names.Draw(m.T, "what")})
	}
	c.Clear = rapid.SliceOfN(names, 0, 1).Draw(m.T, "clear")
	for _, name := range rapid.SliceOfN(names, 0, 2).Draw(m.T, "set") {
		c.Set = append(c.Set, store.Timer{Name: name, At: m.some("at"), Wall: "w"})
	}
	c.Withdraw = rapid.SliceOfN(names, 0, 1).Draw(m.T, "withdraw")
	for i := range rapid.IntRange(0, 3).Draw(m.T, "out") {
		it := store.Item{ID: fmt.Sprintf("%02d-%d-%d", ref.Shard(), m.events, i), Queue: queues.Draw(m.T, "queue"),
			Lane: lanes.Draw(m.T, "lane"), Key: names.Draw(m.T, "key")}
		if rapid.Bool().Draw(m.T, "delayed") {
			it.NotBefore = m.some("before")
		}
		if rapid.Bool().Draw(m.T, "limited") {
			it.NotAfter = m.some("after")
		}
		m.items = append(m.items, it.ID)
		c.Out = append(c.Out, it)
	}
	return c
}

func (m *model) update(rt *rapid.T) {
	m.T = rt
	m.now = m.now.Add(time.Millisecond) // so that the order of commits is the order of instants
	m.events++
	ref := refs.Draw(rt, "ref")
	c := m.change(ref)
	var hand store.Handoff
	if rapid.Bool().Draw(rt, "hand") {
		hand = store.Handoff{N: rapid.IntRange(1, 3).Draw(rt, "hands"), Most: lanes.Draw(rt, "most"),
			Hold: time.Duration(short.Draw(rt, "hold")+1) * time.Millisecond}
	}
	do := func(s store.Store) ([]store.Item, error) {
		c, mine := c, hand
		if mine.N > 0 {
			c.Hand = &mine
		}
		err := s.Update(context.Background(), ref, fmt.Sprint("e", m.events), m.now,
			func(store.Aggregate) (store.Change, error) { return c, nil })
		return mine.Items, err
	}
	got, err := do(m.got)
	want, wantErr := do(m.want)
	m.sameError("update", err, wantErr)
	m.same("handed over", got, want)
}

func (m *model) again(rt *rapid.T) {
	if m.events == 0 {
		return
	}
	m.T = rt
	ref, event := refs.Draw(rt, "ref"), fmt.Sprint("e", rapid.IntRange(1, m.events).Draw(rt, "event"))
	do := func(s store.Store) error { return s.Update(context.Background(), ref, event, m.now, nothing) }
	m.sameError("an event again", do(m.got), do(m.want))
}

func (m *model) wait(rt *rapid.T) {
	m.now = m.now.Add(time.Duration(short.Draw(rt, "wait")) * time.Millisecond)
}

func (m *model) claim(rt *rapid.T) {
	m.T = rt
	n, hold := rapid.IntRange(1, 5).Draw(rt, "n"), time.Duration(short.Draw(rt, "hold")+1)*time.Millisecond
	do := func(s store.Store) []store.Timer {
		timers, err := s.Claim(context.Background(), m.now, n, hold)
		m.must(err)
		return timers
	}
	m.same("claim", do(m.got), do(m.want))
}

func (m *model) lease(rt *rapid.T) {
	m.T = rt
	n, most, hold := rapid.IntRange(1, 5).Draw(rt, "n"), lanes.Draw(rt, "most"),
		time.Duration(short.Draw(rt, "hold")+1)*time.Millisecond
	do := func(s store.Store) [2][]store.Item {
		ready, err := s.Ready(context.Background(), most)
		m.must(err)
		out, expired, err := s.Lease(context.Background(), m.now, n, most, hold)
		m.must(err)
		if len(out)+len(expired) > 0 && (ready.IsZero() || ready.After(m.now)) {
			rt.Fatalf("ready at %v, and something was at %v", ready, m.now)
		}
		if after, err := s.Ready(context.Background(), most); err != nil || len(out)+len(expired) == 0 && !after.IsZero() &&
			!after.After(m.now) {
			rt.Fatalf("still ready at %v after nothing was at %v (%v)", after, m.now, err)
		}
		return [2][]store.Item{out, expired}
	}
	m.same("lease", do(m.got), do(m.want))
}

func (m *model) settle(rt *rapid.T) {
	m.T = rt
	if len(m.items) == 0 {
		return
	}
	id := rapid.SampledFrom(m.items).Draw(rt, "item")
	s := store.Settlement{Outcome: store.Outcome(rapid.IntRange(0, int(store.Doubt)).Draw(rt, "outcome")),
		Written: rapid.Bool().Draw(rt, "written"), At: m.now}
	if rapid.Bool().Draw(rt, "later") {
		s.Until = m.some("until")
	}
	if rapid.Bool().Draw(rt, "text") {
		s.Text = []byte("shown")
	}
	m.sameError("settle", m.got.Settle(context.Background(), id, s), m.want.Settle(context.Background(), id, s))
}

func (m *model) wrote(rt *rapid.T) {
	m.T = rt
	if len(m.items) == 0 {
		return
	}
	id := rapid.SampledFrom(m.items).Draw(rt, "item")
	m.sameError("wrote", m.got.Wrote(context.Background(), id), m.want.Wrote(context.Background(), id))
}

func (m *model) reserve(rt *rapid.T) {
	m.T = rt
	queue, lane := queues.Draw(rt, "queue"), lanes.Draw(rt, "lane")
	do := func(s store.Store) time.Duration {
		wait, err := s.Reserve(context.Background(), m.now, queue, queue[0] == '-', lane)
		m.must(err)
		return wait
	}
	m.same("reserve", do(m.got), do(m.want))
}

func (m *model) holdOff(rt *rapid.T) {
	m.T = rt
	queue, until := rapid.SampledFrom([]string{"", "1", "-3"}).Draw(rt, "queue"), m.some("until")
	m.must(m.got.HoldOff(context.Background(), queue, until))
	m.must(m.want.HoldOff(context.Background(), queue, until))
}

// read compares everything that can be read.
func (m *model) read(rt *rapid.T) {
	m.T = rt
	ctx := context.Background()
	for _, ref := range []store.Ref{ann, ben, cyd, chat, practice} {
		got, err := m.got.Get(ctx, ref)
		want, wantErr := m.want.Get(ctx, ref)
		m.sameError("get", err, wantErr)
		m.same("aggregate", got, want)
		m.same("diary", all(m, m.got.Diary(ctx, ref)), all(m, m.want.Diary(ctx, ref)))
		m.same("journal", all(m, m.got.Journal(ctx, ref)), all(m, m.want.Journal(ctx, ref)))
		m.same("pending", all(m, m.got.Pending(ctx, ref)), all(m, m.want.Pending(ctx, ref)))
		for _, name := range []string{"evening", "morning", "late"} {
			key := fmt.Sprintf("%02d%s", ref.Shard(), name)
			got, err := m.got.Lookup(ctx, key)
			want, wantErr := m.want.Lookup(ctx, key)
			m.sameError("lookup", err, wantErr)
			m.same("owner", got, want)
		}
	}
	for _, q := range []store.Query{{}, {Open: true}, {Label: "1"}, {State: "late", Limit: 2}, {Silent: 2500},
		{After: ann}} {
		m.same("list", all(m, m.got.List(ctx, q)), all(m, m.want.List(ctx, q)))
	}
	m.same("doubtful", all(m, m.got.Doubtful(ctx)), all(m, m.want.Doubtful(ctx)))
	got, err := m.got.Next(ctx)
	m.must(err)
	want, err := m.want.Next(ctx)
	m.must(err)
	m.same("next", got, want)
}

func all[T any](m *model, seq iter.Seq2[T, error]) (out []T) {
	m.Helper()
	for v, err := range seq {
		m.must(err)
		out = append(out, v)
	}
	return out
}
