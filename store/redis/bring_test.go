package redis_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"duskdawn/store"
	"duskdawn/store/redis"

	client "github.com/redis/go-redis/v9"
)

// undo writes what a store holds back in the form that the first version had:
// every row without its envelope, and the events that were seen under their old key.
func undo(t *testing.T, s *server, st *redis.Store) *client.Client {
	t.Helper()
	c := client.NewClient(&client.Options{Network: "unix", Addr: s.socket})
	t.Cleanup(func() { _ = c.Close() })
	rows := redis.RowsOf(t, st)
	for name, row := range rows.All() {
		rows.Put(name, row[7:])
	}
	for shard := range store.Shards {
		_ = c.Rename(t.Context(), fmt.Sprintf("duskdawn:{%02d}:events", shard), fmt.Sprintf("duskdawn:{%02d}:seen", shard)).Err()
	}
	if err := c.HSet(t.Context(), "duskdawn:{all}:meta", "form", 1).Err(); err != nil {
		t.Fatal(err)
	}
	return c
}

// fill commits what there is to commit, of many aggregates.
func fill(t *testing.T, st store.Store) {
	t.Helper()
	at := time.Date(2026, 3, 1, 20, 0, 0, 0, time.UTC)
	for i := range 40 {
		ref := store.Ref{Kind: store.Patient, ID: fmt.Sprintf("%02dp%d", i, i)}
		for n := range 3 {
			if err := st.Update(t.Context(), ref, fmt.Sprint("e", n), at, func(store.Aggregate) (store.Change, error) {
				return store.Change{Body: fmt.Appendf(nil, "\x10body %d %d", i, n), Summary: &store.Summary{Label: "l", State: "s"},
					Diary:   []store.Row{{Night: 7, Source: "patient", At: at, Body: []byte("\x10row")}},
					Journal: []store.Record{{At: at, What: "said", Body: []byte("\x10said")}},
					Set:     []store.Timer{{Name: fmt.Sprint("t", n), At: at, Body: []byte("x")}},
					Out:     []store.Item{{ID: fmt.Sprintf("%02di%d", i, n), Queue: "q", Lane: store.LanePrompt, Body: []byte("hello")}}}, nil
			}); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := st.SetAside(t.Context(), "an-id", "a class", []byte("{}"), at); err != nil {
		t.Fatal(err)
	}
	for range 3 {
		if wait, err := st.Reserve(t.Context(), at, "7", false, store.LaneReply); err != nil || wait != 0 {
			t.Fatal(wait, err)
		}
	}
}

// kept is all that a store says.
func kept(t *testing.T, st store.Store) (out string) {
	t.Helper()
	ctx := t.Context()
	for ref, err := range st.Refs(ctx) {
		if err != nil {
			t.Fatal(err)
		}
		a, err := st.Get(ctx, ref)
		out += fmt.Sprintf("%s %d %q %v\n", ref, a.Rev, a.Body, err)
		for r, err := range st.Diary(ctx, ref) {
			out += fmt.Sprintf("%+v %v\n", r, err)
		}
		for r, err := range st.Journal(ctx, ref) {
			out += fmt.Sprintf("%+v %v\n", r, err)
		}
		for r, err := range st.Pending(ctx, ref) {
			out += fmt.Sprintf("%+v %v\n", r, err)
		}
	}
	for m, err := range st.List(ctx, store.Query{}) {
		out += fmt.Sprintf("%+v %v\n", m, err)
	}
	for a, err := range st.Asides(ctx) {
		out += fmt.Sprintf("%+v %v\n", a, err)
	}
	secret, err := st.Secret(ctx)
	return out + fmt.Sprintf("%x %v\n", secret, err)
}

// TestBroughtOver: what the first form stored is brought over by several at once,
// cut off half way and begun again, and means the same; a command beside does not
// do it, and whoever looks changes nothing.
func TestBroughtOver(t *testing.T) {
	t.Parallel()
	s := startServer(t)
	address := fmt.Sprintf("redis+unix://%s?db=0", s.socket)
	first, err := redis.Open(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	fill(t, first)
	want := kept(t, first)
	c := undo(t, s, first)
	_ = first.Close()

	if _, err := redis.OpenBeside(t.Context(), address); err == nil {
		t.Error("a command beside a program of the older version brings its store over")
	}
	l, err := redis.Look(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	if got := kept(t, l); got != want {
		t.Errorf("looked at, it says\n%s", got)
	}
	if has, writes, older := l.Older(); !older || has != 1 || writes != 3 {
		t.Errorf("form %d of %d, older %v", has, writes, older)
	}
	if err := l.Update(t.Context(), ann, "e", time.Now(), func(store.Aggregate) (store.Change, error) { return store.Change{Body: []byte("\x10")}, nil }); err == nil {
		t.Error("who looks writes")
	}
	_ = l.Close()
	if n, err := c.HGet(t.Context(), "duskdawn:{all}:meta", "form").Int(); err != nil || n != 1 {
		t.Errorf("who looks made it form %d, %v", n, err)
	}

	ctx, cut := context.WithTimeout(t.Context(), 15*time.Millisecond)
	if st, err := redis.Open(ctx, address); err == nil {
		_ = st.Close() // it was quick
	}
	cut()
	var wg sync.WaitGroup
	for range 3 {
		wg.Go(func() {
			st, err := redis.Open(t.Context(), address)
			if err != nil {
				t.Error(err)
				return
			}
			defer st.Close()
			if got := kept(t, st); got != want {
				t.Errorf("brought over, it says\n%s", got)
			}
			for name, err := range st.Damaged(t.Context()) {
				t.Errorf("%s is damaged, %v", name, err)
			}
			at := time.Date(2026, 3, 1, 20, 0, 0, 0, time.UTC)
			if wait, err := st.Reserve(t.Context(), at, "7", false, store.LaneReply); err != nil || wait == 0 {
				t.Error("what the flood limiter remembers is forgotten", err)
			}
		})
	}
	wg.Wait()
	st, err := redis.Open(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	ref := store.Ref{Kind: store.Patient, ID: "07p7"}
	if err := st.Update(t.Context(), ref, "e1", time.Now(), func(store.Aggregate) (store.Change, error) { return store.Change{}, nil }); !errors.Is(err,
		store.ErrSeen) {
		t.Errorf("an event that was seen: %v", err)
	}
	if err := st.Update(t.Context(), ref, "e9", time.Now(), func(store.Aggregate) (store.Change, error) {
		return store.Change{Body: []byte("\x10on"), Journal: []store.Record{{What: "on"}}}, nil
	}); err != nil {
		t.Error(err)
	}
	if _, err := store.Audit(t.Context(), st); err != nil {
		t.Error(err)
	}
}

// TestAnOlderProgramThatGoesOn: a program of the older version that still runs
// when its store was brought over can commit nothing any more.
func TestAnOlderProgramThatGoesOn(t *testing.T) {
	t.Parallel()
	s := startServer(t)
	address := fmt.Sprintf("redis+unix://%s?db=0", s.socket)
	st, err := redis.Open(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	fill(t, st)
	c := undo(t, s, st)
	_ = st.Close()
	if st, err = redis.Open(t.Context(), address); err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	// what the first version's commit looked at before it wrote anything
	if err := c.HGet(t.Context(), "duskdawn:{07}:seen", "P07p7\x00e1").Err(); err == nil || errors.Is(err, client.Nil) {
		t.Errorf("an older program looks for the events it has seen and finds %v", err)
	}
	head, err := c.HGet(t.Context(), "duskdawn:{07}:agg:P07p7", "journal").Result()
	if err != nil || len(head) == 40 {
		t.Errorf("an older program takes a head of %d bytes for its own, %v", len(head), err)
	}
}

// TestBroughtOverFromTheSecondForm: of a form whose rows lie in envelopes already only
// the flood limiter's are put into theirs; a row that was damaged before stays so.
func TestBroughtOverFromTheSecondForm(t *testing.T) {
	t.Parallel()
	s := startServer(t)
	address := fmt.Sprintf("redis+unix://%s?db=0", s.socket)
	st, err := redis.Open(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	fill(t, st)
	rows := redis.RowsOf(t, st)
	all, body := rows.All(), store.RowName(store.RowBody, "P07p7")
	for _, queue := range []string{"", "7"} {
		name := store.RowName(store.RowFlood, queue)
		rows.Put(name, all[name][7:])
	}
	rows.Put(body, append(all[body][:len(all[body])-1:len(all[body])-1], '?'))
	c := client.NewClient(&client.Options{Network: "unix", Addr: s.socket})
	defer c.Close()
	if err := c.HSet(t.Context(), "duskdawn:{all}:meta", "form", 2).Err(); err != nil {
		t.Fatal(err)
	}
	_ = st.Close()
	damaged := func(st *redis.Store) (names []string) {
		for name, err := range st.Damaged(t.Context()) {
			names = append(names, name)
			if err != nil {
				t.Error(err)
			}
		}
		return names
	}
	l, err := redis.Look(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	if got := damaged(l); !slices.Equal(got, []string{body}) {
		t.Errorf("looked at, damaged: %q", got)
	}
	_ = l.Close()
	if st, err = redis.Open(t.Context(), address); err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	if got := damaged(st); !slices.Equal(got, []string{body}) {
		t.Errorf("brought over, damaged: %q", got)
	}
	at := time.Date(2026, 3, 1, 20, 0, 0, 0, time.UTC)
	if wait, err := st.Reserve(t.Context(), at, "7", false, store.LaneReply); err != nil || wait == 0 {
		t.Error("what the flood limiter remembers is forgotten", err)
	}
}
