package main

import (
	"context"
	"fmt"
	"iter"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"duskdawn/bot/chat"
	"duskdawn/bot/logs"
	"duskdawn/bot/program"
	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/memory"
)

// telltale is a store whose every error tells an answer.
type telltale struct {
	store.Store
	on atomic.Bool
	n  atomic.Int64
	up atomic.Int64 // its own, so that the first that is tried fails whatever else was
}

func (s *telltale) err(n *atomic.Int64) error {
	if s.on.Load() && n.Add(1)%3 != 0 {
		return fmt.Errorf("constraint failed: %s of %s", canaryAnswer, canaryLabel)
	}
	return nil
}

func (s *telltale) Update(ctx context.Context, ref store.Ref, event string, at time.Time,
	fn func(store.Aggregate) (store.Change, error)) error {
	if err := s.err(&s.up); err != nil {
		return err
	}
	return s.Store.Update(ctx, ref, event, at, fn)
}

func (s *telltale) Claim(ctx context.Context, now time.Time, n int, hold time.Duration) ([]store.Timer, error) {
	if err := s.err(&s.n); err != nil {
		return nil, err
	}
	return s.Store.Claim(ctx, now, n, hold)
}

func (s *telltale) Next(ctx context.Context) (time.Time, error) {
	if err := s.err(&s.n); err != nil {
		return time.Time{}, err
	}
	return s.Store.Next(ctx)
}

func (s *telltale) Settle(ctx context.Context, id string, m store.Settlement) error {
	if err := s.err(&s.n); err != nil {
		return err
	}
	return s.Store.Settle(ctx, id, m)
}

func (s *telltale) Lead(ctx context.Context, what, who string, ttl time.Duration) (bool, error) {
	if err := s.err(&s.n); err != nil {
		return false, err
	}
	return s.Store.Lead(ctx, what, who, ttl)
}

func (s *telltale) Waiting(ctx context.Context) (store.Backlog, error) {
	if err := s.err(&s.n); err != nil {
		return store.Backlog{}, err
	}
	return s.Store.Waiting(ctx)
}

func (s *telltale) List(ctx context.Context, q store.Query) iter.Seq2[store.Summary, error] {
	if err := s.err(&s.n); err != nil {
		return func(yield func(store.Summary, error) bool) { yield(store.Summary{}, err) }
	}
	return s.Store.List(ctx, q)
}

// panicky is a runner that panics with the answer in its hand.
type panicky struct {
	chat.Runner
	times atomic.Int64
}

func (p *panicky) Handle(ctx context.Context, ref store.Ref, event string, body flows.Body) error {
	if said, ok := body.(flows.Said); ok && p.times.Add(1) <= 3 {
		panic(said.Text)
	}
	return p.Runner.Handle(ctx, ref, event, body)
}

// A store's errors and a handler's panics reach the log by class and by line.
func TestCanaryInErrorsAndPanics(t *testing.T) {
	t.Parallel()
	st, log := &telltale{Store: memory.New()}, &lockedBuffer{}
	platform := standin.New(standin.Options{})
	defer platform.Close()
	api, err := telegram.New(telegram.Options{Token: standin.Token, Transport: platform.Transport(), Log: logs.New(log)})
	if err != nil {
		t.Fatal(err)
	}
	p, err := program.Build(t.Context(), program.Parts{Store: st, API: api, Clock: scheduler.RealClock{}, Log: logs.New(log)})
	if err != nil {
		t.Fatal(err)
	}
	odd := &panicky{Runner: p.Inbound.Runner}
	p.Inbound.Runner = odd
	ctx, cancel := context.WithCancel(t.Context())
	over := make(chan error, 1)
	go func() { over <- p.Poll(ctx, nil) }()
	platform.AddUser(standin.User{ID: 9, Name: "Zebrafinch Stranger", Language: "en"})
	if _, err := platform.Say(9, canaryAnswer); err != nil {
		t.Fatal(err)
	}
	told := func(what string) {
		t.Helper()
		for end := time.Now().Add(20 * time.Second); !strings.Contains(log.String(), what); time.Sleep(time.Millisecond) {
			if time.Now().After(end) {
				t.Fatalf("the log never says %s:\n%s", what, log)
			}
		}
	}
	told(`"class":"bot.(*panicky).Handle:`)
	told(`"class":"telegram: handler panicked"`)
	st.on.Store(true)
	platform.Say(9, canaryAnswer)
	told(`"msg":"pass"`)
	told(`"class":"not committed"`)
	health, err := p.Handler("")
	if err != nil {
		t.Fatal(err)
	}
	served := func(path string) string {
		w := httptest.NewRecorder()
		health.ServeHTTP(w, httptest.NewRequest("GET", path, nil))
		return w.Body.String()
	}
	ready, counted := served("/readyz"), served("/metrics")
	st.on.Store(false)
	cancel()
	<-over
	for what, text := range map[string]string{"the log": log.String(), "/readyz": ready, "/metrics": counted} {
		if found := tells(text); len(found) > 0 {
			t.Errorf("%s tells %q:\n%s", what, found, text)
		}
	}
}
