package telegram_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
)

// shelf keeps what a poller handled, as a store would.
type shelf struct {
	mu    sync.Mutex
	got   []telegram.Update
	aside []string
	fail  func(telegram.Update) error
}

func (s *shelf) handle(_ context.Context, u telegram.Update) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.fail != nil {
		if err := s.fail(u); err != nil {
			return err
		}
	}
	s.got = append(s.got, u)
	return nil
}

func (s *shelf) setAside(_ context.Context, raw json.RawMessage, class string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.aside = append(s.aside, class)
	return nil
}

func (s *shelf) texts(chat int64) (out []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, u := range s.got {
		if u.Chat == chat {
			out = append(out, u.Text)
		}
	}
	return out
}

func (s *shelf) has(id int64) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.ContainsFunc(s.got, func(u telegram.Update) bool { return u.ID == id })
}

// poll runs a poller until the returned stop; the bubble must see it end.
func (b bed) poll(t *testing.T, o telegram.PollOptions) (stop func() error, p *telegram.Poller) {
	p = b.Poller(o)
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- p.Run(ctx) }()
	return func() error { cancel(); return <-done }, p
}

func (b bed) quiet(t *testing.T) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Minute)
	defer cancel()
	if err := b.s.Wait(ctx, b.s.Quiet); err != nil {
		t.Fatal("never quiet:", b.s.Pending(), "pending")
	}
}

func TestPollKeepsEachChatInOrder(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var k shelf
		var b bed
		early := int64(0)
		b = newBed(t, standin.Options{OnAck: func(offset int64) {
			for id := int64(500_001); id < offset; id++ {
				if !k.has(id) {
					early++
				}
			}
		}})
		for i := range 300 { // three batches
			for _, u := range []int64{11, 12} {
				if _, err := b.s.Say(u, fmt.Sprint(i)); err != nil {
					t.Fatal(err)
				}
			}
		}
		stop, p := b.poll(t, telegram.PollOptions{Handle: func(ctx context.Context, u telegram.Update) error {
			time.Sleep(time.Duration(u.ID%7) * time.Millisecond)
			return k.handle(ctx, u)
		}, SetAside: k.setAside})
		b.quiet(t)
		synctest.Wait()
		if !p.Idle() {
			t.Error("not idle when quiet")
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
		for _, u := range []int64{11, 12} {
			got := k.texts(u)
			for i, s := range got {
				if s != fmt.Sprint(i) {
					t.Fatalf("chat %d: place %d holds %s", u, i, s)
				}
			}
			if len(got) != 300 {
				t.Errorf("chat %d: %d of 300", u, len(got))
			}
		}
		if early != 0 {
			t.Errorf("%d updates were acknowledged before they were kept", early)
		}
	})
}

func TestPollHandlesAgainAfterAnErrorAndHoldsNobodyUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		k := &shelf{}
		broken := true
		k.fail = func(u telegram.Update) error {
			if broken && u.Chat == 11 {
				if len(u.Text)%2 == 0 {
					panic(canary)
				}
				return errors.New(canary)
			}
			return nil
		}
		stop, p := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside})
		for i := range 3 {
			_, _ = b.s.Say(11, fmt.Sprint("a", i))
			_, _ = b.s.Say(12, fmt.Sprint("b", i))
		}
		time.Sleep(time.Minute)
		_, _ = b.s.Say(12, "b3") // sent while the other chat is stuck
		time.Sleep(time.Minute)
		if got := fmt.Sprint(k.texts(12)); got != "[b0 b1 b2 b3]" {
			t.Error("held up:", got)
		}
		if len(k.texts(11)) != 0 || b.s.Acked() > 500_001 || p.Idle() {
			t.Error("acknowledged what was not kept:", b.s.Acked())
		}
		k.mu.Lock()
		broken = false
		k.mu.Unlock()
		b.quiet(t)
		if got := fmt.Sprint(k.texts(11), k.texts(12)); got != "[a0 a1 a2] [b0 b1 b2 b3]" {
			t.Error("lost, doubled or out of order:", got)
		}
		_ = stop()
		if !strings.Contains(b.log.String(), "update not handled") {
			t.Error("nothing was said of it")
		}
	})
}

func TestPollTakesUpAgainAfterAStop(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		var first, second shelf
		first.fail = func(u telegram.Update) error {
			if u.Text == "two" {
				return errors.New("store away")
			}
			return nil
		}
		for _, s := range []string{"one", "two", "three"} {
			_, _ = b.s.Say(11, s)
		}
		stop, _ := b.poll(t, telegram.PollOptions{Handle: first.handle, SetAside: first.setAside})
		time.Sleep(time.Second)
		if err := stop(); err != nil {
			t.Fatal(err)
		}
		stop, _ = b.poll(t, telegram.PollOptions{Handle: second.handle, SetAside: second.setAside})
		b.quiet(t)
		_ = stop()
		all := append(first.texts(11), second.texts(11)...)
		for _, want := range []string{"one", "two", "three"} {
			if !slices.Contains(all, want) {
				t.Errorf("%q lost: %v", want, all)
			}
		}
		if got := second.texts(11); got[len(got)-2] != "two" || got[len(got)-1] != "three" {
			t.Error("order:", got)
		}
	})
}

// One chat's update fails for good, as where what is stored of it is damaged:
// the others do not wait for ever for the intake to be drained.
func TestWhatFailsForGoodDoesNotHoldUpTheDrain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		var k shelf
		var drained atomic.Bool
		began := time.Now()
		_, _ = b.s.Say(11, "never")
		stop, _ := b.poll(t, telegram.PollOptions{
			Handle:    func(context.Context, telegram.Update) error { return errors.New("damaged") },
			SetAside:  k.setAside,
			OnDrained: func() { drained.Store(true) },
		})
		time.Sleep(4 * time.Minute)
		synctest.Wait()
		if drained.Load() {
			t.Error("it is not waited for")
		}
		time.Sleep(2 * time.Minute)
		synctest.Wait()
		if !drained.Load() {
			t.Errorf("not drained %v after the start", time.Since(began))
		}
		_ = stop()
	})
}

// A webhook that an earlier run left is taken away by the poller itself, without
// an alarm; one that is set again and again is somebody else's doing.
// A webhook that could not be taken away is taken away when the platform lets us.
func TestPollingGoesOnAgainstAWebhook(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		var k shelf
		if r := b.SetWebhook(t.Context(), "https://front.invalid/hook", "secret"); r.Outcome != telegram.Sent {
			t.Fatal(r)
		}
		b.s.Inject(standin.Fault{Kind: standin.ServerError, Method: "deleteWebhook", Times: 6})
		stop, _ := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside})
		time.Sleep(10 * time.Minute)
		_, _ = b.s.Say(11, "hello")
		time.Sleep(time.Minute)
		if len(k.texts(11)) != 1 {
			t.Error("deaf until a restart")
		}
		_ = stop()
	})
}

func TestPollingEndsAWebhook(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		var k shelf
		var conflicts atomic.Int32
		hook := func() {
			if r := b.SetWebhook(t.Context(), "https://front.invalid/hook", "secret"); r.Outcome != telegram.Sent {
				t.Fatal(r)
			}
		}
		hook()
		stop, _ := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside,
			OnConflict: func() { conflicts.Add(1) }})
		time.Sleep(time.Second)
		_, _ = b.s.Say(11, "hello")
		b.quiet(t)
		if len(k.texts(11)) != 1 || conflicts.Load() != 0 {
			t.Error(k.texts(11), conflicts.Load())
		}
		for range 3 {
			hook()
			_, _ = b.s.Say(11, "again")
			time.Sleep(time.Minute)
		}
		if conflicts.Load() == 0 {
			t.Error("no alarm")
		}
		_ = stop()
	})
}
