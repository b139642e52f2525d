package telegram_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
)

// TestNothingIsLostWhateverHappens mixes people who write, handlers that fail
// and panic, every fault of the platform, updates that cannot be read, and
// restarts. In the end each chat's texts are all kept, in the order written;
// and at no moment was anything acknowledged that was not kept.
func TestNothingIsLostWhateverHappens(t *testing.T) {
	for seed := range uint64(60) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) { lossRun(t, rand.New(rand.NewPCG(seed, 7))) })
		})
	}
}

func lossRun(t *testing.T, r *rand.Rand) {
	var k shelf
	luck := rand.New(rand.NewPCG(r.Uint64(), 1)) // under the shelf's lock
	calm := false
	k.fail = func(telegram.Update) error {
		if calm {
			return nil
		}
		switch luck.IntN(8) {
		case 0:
			return errors.New("store away")
		case 1:
			panic("store broken")
		}
		return nil
	}
	early := 0
	var mu sync.Mutex // a request that was given up is still answered
	unreadable := map[int64]bool{}
	b := newBed(t, standin.Options{Brake: true, OnAck: func(offset int64) {
		mu.Lock()
		defer mu.Unlock()
		for id := int64(500_001); id < offset; id++ {
			if !k.has(id) && !unreadable[id] {
				early++
			}
		}
	}})
	o := telegram.PollOptions{Handle: k.handle, SetAside: k.setAside}
	stop, _ := b.poll(t, o)
	said := map[int64][]string{}
	for i := range 120 {
		switch r.IntN(12) {
		case 0:
			if err := stop(); err != nil {
				t.Fatal(err)
			}
			stop, _ = b.poll(t, o)
		case 1:
			kinds := []standin.Kind{standin.TooMany, standin.Conflict, standin.ServerError, standin.BadGateway, standin.Dropped,
				standin.Lost, standin.Unreachable}
			b.s.Inject(standin.Fault{Kind: kinds[r.IntN(len(kinds))], Method: "getUpdates", RetryAfter: 1 + r.IntN(5),
				Times: 1 + r.IntN(3)})
		case 2:
			mu.Lock()
			unreadable[b.s.LastUpdate()+1] = true
			mu.Unlock()
			b.s.Raw("message", []byte(`{"message_id":"x"}`))
		case 3:
			time.Sleep(time.Duration(r.IntN(20_000)) * time.Millisecond)
		default:
			u := int64(11 + r.IntN(2))
			text := fmt.Sprint(i)
			if _, err := b.s.Say(u, text); err != nil {
				t.Fatal(err)
			}
			said[u] = append(said[u], text)
		}
	}
	k.mu.Lock()
	calm = true
	k.mu.Unlock()
	b.s.Mend()
	b.quiet(t)
	if err := stop(); err != nil {
		t.Fatal(err)
	}
	if early != 0 {
		t.Errorf("%d acknowledged before they were kept", early)
	}
	for u, want := range said {
		var got []string // a restart delivers again: the first time counts
		for _, s := range k.texts(u) {
			if !slices.Contains(got, s) {
				got = append(got, s)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("chat %d:\nsaid %v\nkept %v", u, want, got)
		}
	}
	if len(k.aside) < len(unreadable) {
		t.Errorf("%d of %d set aside", len(k.aside), len(unreadable))
	}
}
