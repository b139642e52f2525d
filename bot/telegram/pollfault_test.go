package telegram_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
)

func TestPollSetsAsideWhatCannotBeRead(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		var k shelf
		_, _ = b.s.Say(11, "before")
		b.s.Raw("message", json.RawMessage(`{"message_id":"`+canary+`"}`))
		b.s.Raw("message", json.RawMessage(`{"message_id":5,"text":"no chat"}`))
		b.s.Raw("message", json.RawMessage(`{"message_id":6,"date":1,"chat":{"id":11,"type":"novelty"},"from":{"id":11},"forward_origin":{"type":"novelty"},"text":"new kinds"}`))
		b.s.Raw("novelty", json.RawMessage(`{"a":1}`))
		_, _ = b.s.Say(11, "after")
		stop, _ := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside})
		b.quiet(t)
		_ = stop()
		if got := fmt.Sprint(k.texts(11)); got != "[before new kinds after]" || !k.got[1].Forwarded && !k.got[2].Forwarded {
			t.Error(got)
		}
		if len(k.aside) != 2 {
			t.Error(k.aside)
		}
		clean(t, fmt.Sprint(k.aside))
	})
}

func TestPollHonoursTheFloodLimit(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		var k shelf
		b.s.Inject(standin.Fault{Kind: standin.TooMany, Method: "getUpdates", RetryAfter: 25})
		_, _ = b.s.Say(11, "hello")
		start := time.Now()
		stop, _ := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside})
		b.quiet(t)
		if waited := time.Since(start); waited != 25*time.Second || b.s.Calls("getUpdates") > 3 {
			t.Error(waited, b.s.Calls("getUpdates"))
		}
		_ = stop()
	})
}

func TestPollSurvivesFaults(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		var k shelf
		for _, kind := range []standin.Kind{standin.ServerError, standin.BadGateway, standin.Dropped, standin.Lost,
			standin.Unreachable} {
			b.s.Inject(standin.Fault{Kind: kind, Method: "getUpdates"})
		}
		_, _ = b.s.Say(11, canary)
		stop, _ := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside})
		b.quiet(t)
		_ = stop()
		if got := k.texts(11); len(got) != 1 {
			t.Error(got)
		}
	})
}

func TestTwoPollersConflict(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		var k1, k2 shelf
		var conflicts [2]int
		leader := true
		stop1, _ := b.poll(t, telegram.PollOptions{Handle: k1.handle, SetAside: k1.setAside,
			OnConflict: func() { conflicts[0]++; leader = false }, May: func() bool { return leader }})
		synctest.Wait()
		stop2, _ := b.poll(t, telegram.PollOptions{Handle: k2.handle, SetAside: k2.setAside,
			OnConflict: func() { conflicts[1]++ }})
		time.Sleep(5 * time.Minute)
		_, _ = b.s.Say(11, "hello")
		b.quiet(t)
		if conflicts[0] == 0 || conflicts[1] != 0 {
			t.Error("conflicts:", conflicts)
		}
		if len(k1.texts(11)) != 0 || len(k2.texts(11)) != 1 {
			t.Error("the one that yielded went on:", k1.texts(11), k2.texts(11))
		}
		_ = stop1()
		_ = stop2()
	})
}

func TestPollTellsOfAGap(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		var k shelf
		var story []string
		for i := range 150 {
			_, _ = b.s.Say(11, fmt.Sprint(i))
		}
		stop, _ := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside,
			OnGap: func(d time.Duration) {
				story = append(story, fmt.Sprintf("gap %v after %d", d > 2*time.Minute, len(k.got)))
			},
			OnDrained: func() { story = append(story, fmt.Sprintf("drained after %d", len(k.got))) },
		})
		b.quiet(t)
		time.Sleep(time.Minute)
		b.s.Inject(standin.Fault{Kind: standin.ServerError, Method: "getUpdates", Times: 12})
		time.Sleep(10 * time.Minute)
		_, _ = b.s.Say(11, "later")
		b.quiet(t)
		_ = stop()
		want := []string{"gap false after 0", "drained after 150", "gap true after 150", "drained after 150"}
		if !slices.Equal(story, want) {
			t.Errorf("%q", story)
		}
	})
}

// A front that answers every request for updates at once, with nothing, is not
// asked thousands of times; and what comes afterwards is taken within seconds.
func TestAnEmptyAnswerThatComesAtOnceIsBounded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		var k shelf
		stop, _ := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside})
		b.quiet(t)
		b.s.Inject(standin.Fault{Kind: standin.Empty, Method: "getUpdates", Times: -1})
		_, _ = b.s.Say(11, "first") // ends the poll that waits
		time.Sleep(time.Second)
		calls := b.s.Calls("getUpdates")
		time.Sleep(10 * time.Minute)
		if n := b.s.Calls("getUpdates") - calls; n > 320 {
			t.Errorf("%d requests in ten minutes", n)
		}
		b.s.Mend()
		_, _ = b.s.Say(11, "second")
		time.Sleep(3 * time.Second)
		if got := k.texts(11); len(got) != 2 {
			t.Error(got)
		}
		_ = stop()
	})
}

// A number near the largest cannot be acknowledged: the offset never goes below
// nought, the update is set aside once, and whatever else comes is handled.
func TestAHugeUpdateNumberIsBounded(t *testing.T) {
	for _, id := range []int64{1<<63 - 1, 1<<63 - 2, 1<<53 + 1} {
		synctest.Test(t, func(t *testing.T) {
			offsets := []int64{}
			b := newBed(t, standin.Options{OnAck: func(o int64) { offsets = append(offsets, o) }})
			var k shelf
			stop, _ := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside})
			_, _ = b.s.Say(11, "before")
			b.quiet(t)
			b.s.Number(id)
			_, _ = b.s.Say(11, "huge")
			b.s.Number(600_001)
			_, _ = b.s.Say(11, "after")
			calls := b.s.Calls("getUpdates")
			time.Sleep(10 * time.Minute)
			if n := b.s.Calls("getUpdates") - calls; n > 320 {
				t.Errorf("%d requests in ten minutes", n)
			}
			if got := k.texts(11); !slices.Equal(got, []string{"before", "after"}) || len(k.aside) != 1 {
				t.Error(got, k.aside)
			}
			for _, o := range offsets {
				if o < 0 || o > 600_002 {
					t.Error("offset", o)
				}
			}
			_ = stop()
		})
	}
}

// A platform that asks the poller for hours is asked again within half a minute.
func TestPollingIsNeverDeafForHours(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		var k shelf
		var asked time.Duration
		b.s.Inject(standin.Fault{Kind: standin.TooMany, Method: "getUpdates", RetryAfter: 36_000})
		_, _ = b.s.Say(11, "now")
		stop, _ := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside,
			OnLater: func(d time.Duration) { asked = d }})
		time.Sleep(31 * time.Second)
		if len(k.texts(11)) != 1 || asked != 10*time.Hour {
			t.Error(k.texts(11), asked)
		}
		_ = stop()
	})
}
