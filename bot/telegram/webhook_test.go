package telegram_test

import (
	"context"
	"errors"
	"fmt"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
)

const secret = "canary-token_secret"

func TestWebhookRefusals(t *testing.T) {
	var k shelf
	k.fail = func(u telegram.Update) error {
		switch u.Text {
		case "fail":
			return errors.New(canary)
		case "panic":
			panic(canary)
		}
		return nil
	}
	h, err := telegram.Webhook(telegram.WebhookOptions{Secret: secret, Handle: k.handle, SetAside: k.setAside})
	if err != nil {
		t.Fatal(err)
	}
	update := func(text string) string {
		return `{"update_id":1,"message":{"message_id":1,"chat":{"id":11,"type":"private"},"from":{"id":11},"text":"` + text +
			`"}}`
	}
	for _, c := range []struct {
		name, method, secret, body string
		want, handled, aside       int
	}{
		{"right", "POST", secret, update("fine"), 200, 1, 0},
		{"wrong secret", "POST", "other", update("x"), 401, 0, 0},
		{"secret and more", "POST", secret + "x", update("x"), 401, 0, 0},
		{"no secret", "POST", "", update("x"), 401, 0, 0},
		{"GET", "GET", secret, "", 405, 0, 0},
		{"too large", "POST", secret, update(strings.Repeat("x", 1<<20)), 413, 0, 0},
		{"handler fails", "POST", secret, update("fail"), 500, 0, 0},
		{"handler panics", "POST", secret, update("panic"), 500, 0, 0},
		{"undecodable", "POST", secret, "{", 200, 0, 1},
	} {
		k.got, k.aside = nil, nil
		r := httptest.NewRequest(c.method, "/hook", strings.NewReader(c.body))
		r.Header.Set("X-Telegram-Bot-Api-Secret-Token", c.secret)
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code != c.want || len(k.got) != c.handled || len(k.aside) != c.aside {
			t.Errorf("%s: %d, %d handled, %d set aside", c.name, w.Code, len(k.got), len(k.aside))
		}
		if c.want == 500 && w.Header().Get("Retry-After") == "" {
			t.Error(c.name, "without Retry-After")
		}
		clean(t, w.Body.String())
	}
	if _, err := telegram.Webhook(telegram.WebhookOptions{}); err == nil {
		t.Error("a webhook without a secret")
	}
}

func TestWebhookDeliversUntilTaken(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var k shelf
		fails := 4
		k.fail = func(telegram.Update) error {
			if fails--; fails >= 0 {
				return errors.New("store away")
			}
			return nil
		}
		h, err := telegram.Webhook(telegram.WebhookOptions{Secret: secret, Handle: k.handle, SetAside: k.setAside})
		if err != nil {
			t.Fatal(err)
		}
		b := newBed(t, standin.Options{Webhook: standin.Local{Handler: h}})
		_, _ = b.s.Say(11, "waited")
		ctx := t.Context()
		if r := b.SetWebhook(ctx, "https://bot.example/hook", secret); r.Outcome != telegram.Sent {
			t.Fatal(r)
		}
		for i := range 20 {
			_, _ = b.s.Say(11, fmt.Sprint(i))
			time.Sleep(time.Second)
		}
		b.quiet(t)
		got := k.texts(11)
		if len(got) != 21 || got[0] != "waited" || got[20] != "19" {
			t.Error(got)
		}
		var none shelf
		p := b.Poller(telegram.PollOptions{Handle: none.handle, SetAside: none.setAside,
			OnConflict: func() { b.DropWebhook(ctx) }})
		run, cancel := context.WithTimeout(ctx, time.Minute)
		defer cancel()
		go func() { time.Sleep(10 * time.Second); _, _ = b.s.Say(11, "polled") }()
		if err := p.Run(run); err != nil || len(none.texts(11)) != 1 {
			t.Error("polling after the webhook was dropped:", err, none.texts(11))
		}
	})
}

func TestWrongSecretReachesNobody(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var k shelf
		h, _ := telegram.Webhook(telegram.WebhookOptions{Secret: secret, Handle: k.handle, SetAside: k.setAside})
		b := newBed(t, standin.Options{Webhook: standin.Local{Handler: h}})
		b.SetWebhook(t.Context(), "https://bot.example/hook", "another")
		_, _ = b.s.Say(11, "x")
		time.Sleep(time.Hour)
		if len(k.got) != 0 || b.s.Pending() != 1 {
			t.Error(len(k.got), b.s.Pending())
		}
	})
}
