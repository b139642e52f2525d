package telegram_test

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"testing/synctest"
	"time"

	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
)

// refused reports whether the client holds its token for revoked.
func refused(c *telegram.Client) bool {
	select {
	case <-c.Refused():
		return true
	default:
		return false
	}
}

// A 401 or a 404 to any method, for as long as it may last, is no word about
// the token while getMe is answered.
func TestA401OrA404IsNotARevokedToken(t *testing.T) {
	for name, kind := range map[string]standin.Kind{"401": standin.Unauthorized, "404": standin.NotFound} {
		for _, method := range []string{"sendMessage", "getUpdates", "sendDocument"} {
			t.Run(name+" "+method, func(t *testing.T) {
				synctest.Test(t, func(t *testing.T) {
					b := newBed(t, standin.Options{})
					b.open(t, 11)
					b.s.Inject(standin.Fault{Kind: kind, Method: method, Times: -1})
					var k shelf
					stop, _ := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside})
					for range 60 {
						for _, f := range []*telegram.File{nil, {Kind: telegram.Document, Name: "d", Data: []byte("x")}} {
							r := b.Send(t.Context(), telegram.Message{Chat: 11, Text: canary, File: f})
							if r.Outcome != telegram.Sent && r.Outcome != telegram.NotWritten {
								t.Fatalf("%v: %+v", r.Outcome, r)
							}
						}
						time.Sleep(10 * time.Second)
					}
					if refused(b.Client) || b.Doubted() != 0 {
						t.Error("in doubt:", b.Doubted())
					}
					b.s.Mend()
					b.quiet(t)
					if err := stop(); err != nil || len(k.texts(11)) != 1 {
						t.Error(err, k.texts(11))
					}
				})
			})
		}
	}
}

// A front that answers 401 to everything, getMe as well, for less than a minute
// is lived through; whatever is executed clears the doubt.
func TestADoubtIsClearedByAnySuccess(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		b.open(t, 11)
		var k shelf
		stop, _ := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside})
		b.quiet(t)
		for range 5 {
			for _, m := range []string{"", "getUpdates"} {
				b.s.Inject(standin.Fault{Kind: standin.Unauthorized, Method: m, Times: -1})
			}
			for range 20 {
				if r := b.Send(t.Context(), telegram.Message{Chat: 11, Text: canary}); r.Outcome != telegram.NotWritten {
					t.Fatalf("%v: %+v", r.Outcome, r)
				}
				time.Sleep(2 * time.Second)
			}
			if b.Doubted() == 0 {
				t.Error("no doubt")
			}
			b.s.Mend()
			if r := b.Send(t.Context(), telegram.Message{Chat: 11, Text: canary}); r.Outcome != telegram.Sent {
				t.Fatalf("%+v", r)
			}
			if b.Doubted() != 0 || refused(b.Client) {
				t.Error("still in doubt")
			}
		}
		if err := stop(); err != nil {
			t.Error(err)
		}
	})
}

// A token that getMe refuses for more than a minute is refused for good: polling
// ends, and who only sends learns it as well.
func TestARefusedTokenEndsPolling(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		b.open(t, 11)
		if r := b.Send(t.Context(), telegram.Message{Chat: 11, Text: canary}); r.Outcome != telegram.Sent {
			t.Fatal(r)
		}
		began := time.Now()
		for _, m := range []string{"", "getUpdates"} {
			b.s.Inject(standin.Fault{Kind: standin.Unauthorized, Method: m, Times: -1})
		}
		var k shelf
		err := b.Poller(telegram.PollOptions{Handle: k.handle, SetAside: k.setAside}).Run(t.Context())
		if !errors.Is(err, telegram.ErrRevoked) || !refused(b.Client) {
			t.Error(err)
		}
		if took := time.Since(began); took < time.Minute || took > 3*time.Minute {
			t.Error("after", took)
		}
		if calls := b.s.Calls("getUpdates") + b.s.Calls("getMe"); calls > 40 {
			t.Error(calls, "calls")
		}
		clean(t, fmt.Sprint(err))
	})
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		b.s.Inject(standin.Fault{Kind: standin.Unauthorized, Times: -1})
		for i := range 62 { // nothing was ever executed with it, and no less is needed
			if refused(b.Client) != (i > 60) {
				t.Error("after", i, "seconds:", refused(b.Client))
			}
			b.Send(context.Background(), telegram.Message{Chat: 11, Text: canary})
			time.Sleep(time.Second)
		}
		if r := b.Send(context.Background(), telegram.Message{Chat: 11, Text: canary}); r.Outcome != telegram.Revoked ||
			!refused(b.Client) {
			t.Errorf("%+v", r)
		}
	})
}
