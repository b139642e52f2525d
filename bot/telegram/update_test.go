package telegram_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"
	"testing/synctest"

	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
)

func TestEveryKindOfUpdate(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		var k shelf
		stop, _ := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside, Workers: 1})
		next := func(what string) telegram.Update {
			t.Helper()
			b.quiet(t)
			if len(k.got) != 1 || len(k.aside) != 0 {
				t.Fatalf("%s: %d handled, %v set aside", what, len(k.got), k.aside)
			}
			u := k.got[0]
			k.got = nil
			return u
		}
		id, _ := b.s.Say(11, "hola")
		if u := next("text"); u.Kind != telegram.Text || u.Text != "hola" || u.From != 11 || u.Chat != 11 || !u.Private ||
			u.Language != "es" || u.MessageID != id || u.At.Unix() != b.s.Messages(11)[0].At.Unix() {
			t.Errorf("%+v", u)
		}
		_ = b.s.Edit(11, 11, id, "hola!")
		if u := next("edit"); u.Kind != telegram.Edited || u.Text != "hola!" || u.MessageID != id || u.At.IsZero() {
			t.Errorf("%+v", u)
		}
		for _, kind := range []string{"photo", "voice", "audio", "video", "sticker", "document", "location", "contact",
			"poll", "dice"} {
			_, err := b.s.Post(standin.Post{Chat: 11, From: 11, Kind: kind, Text: "cap"})
			if u := next(kind); err != nil || u.Kind != telegram.Media || u.Media != kind || u.Text != "cap" {
				t.Errorf("%s: %+v %v", kind, u, err)
			}
		}
		_, _ = b.s.Post(standin.Post{Chat: 11, From: 11, Text: "news", Forwarded: true, ReplyTo: id})
		if u := next("forward"); !u.Forwarded || u.ReplyTo != id {
			t.Errorf("%+v", u)
		}
		r := b.Send(t.Context(), telegram.Message{Chat: 11, Text: "?",
			Inline: [][]telegram.Button{{{Label: "Yes", Data: "y"}}}})
		tap, err := b.s.Tap(11, 11, r.MessageID, "y")
		u := next("tap")
		if err != nil || u.Kind != telegram.Tap || u.Data != "y" || u.CallbackID != tap || u.MessageID != r.MessageID ||
			u.Chat != 11 || u.From != 11 || !u.At.IsZero() {
			t.Errorf("%+v %v", u, err)
		}
		if r := b.Answer(t.Context(), u.CallbackID, "Saved", true); r.Outcome != telegram.Sent {
			t.Error(r)
		}
		if got, _ := b.s.Tapped(tap); !got.Answered || got.Text != "Saved" || !got.Alert {
			t.Errorf("%+v", got)
		}
		again, _ := b.s.TapAgain(tap)
		if u := next("tap again"); u.CallbackID != again || again == tap || u.Data != "y" {
			t.Errorf("%+v", u)
		}
		_, _ = b.s.ForceTap(11, 11, 9999, "y")
		if u := next("tap on a deleted message"); u.Kind != telegram.Tap || u.MessageID != 9999 || u.Chat != 11 {
			t.Errorf("%+v", u)
		}
		_ = b.s.Block(11)
		if u := next("block"); u.Kind != telegram.BotBlocked || u.Chat != 11 {
			t.Errorf("%+v", u)
		}
		_ = b.s.Unblock(11)
		if u := next("unblock"); u.Kind != telegram.BotUnblocked {
			t.Errorf("%+v", u)
		}
		_ = stop()
	})
}

func TestGroupUpdates(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBed(t, standin.Options{})
		var k shelf
		g := b.s.AddGroup("Desk", 11, 12)
		_, _ = b.s.Post(standin.Post{Chat: g, From: 11, Text: "not for the bot"})
		_, _ = b.s.Post(standin.Post{Chat: g, From: 11, Text: "/queue"})
		_, _ = b.s.Post(standin.Post{Chat: g, From: 11, Text: "/queue@another_bot"})
		_, _ = b.s.Post(standin.Post{Chat: g, From: 12, Text: "/queue@duskdawn_bot", Anonymous: true})
		moved, _ := b.s.Migrate(g)
		stop, _ := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside, Workers: 1})
		b.quiet(t)
		b.Leave(t.Context(), moved)
		b.quiet(t)
		_ = stop()
		// the group before and after its move are two chats: no order is promised
		slices.SortFunc(k.got, func(a, b telegram.Update) int { return int(a.ID - b.ID) })
		var got []string
		for _, u := range k.got {
			got = append(got, string(u.Kind))
			if u.Private {
				t.Errorf("private: %+v", u)
			}
		}
		want := "[group joined service text text group moved service group left]"
		if s := fmt.Sprint(got); s != want {
			t.Fatalf("%s", s)
		}
		if u := k.got[3]; u.SenderChat != g || !u.FromBot {
			t.Errorf("anonymous: %+v", u)
		}
		if u := k.got[4]; u.Chat != g || u.MovedTo != moved {
			t.Errorf("moved: %+v", u)
		}
	})
}

// FuzzDecode: whatever arrives, it is an update or set aside, never a panic,
// and an id that is there is found.
func FuzzDecode(f *testing.F) {
	for _, s := range []string{
		`{"update_id":7,"message":{"message_id":1,"chat":{"id":1,"type":"private"},"text":"x"}}`,
		`{"update_id":7,"message":{"photo":[]}}`, `{"update_id":7,"callback_query":{}}`, `{"update_id":7,"my_chat_member":{"chat":{"id":3}}}`,
		`{"update_id":7,"message":3}`, `[]`, `null`, `{`, `{"update_id":"x"}`,
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		u, err := telegram.Decode(raw)
		if err == nil && u.Kind == "" {
			t.Errorf("no kind: %s", raw)
		}
		var id struct {
			ID int64 `json:"update_id"`
		}
		if json.Unmarshal(raw, &id) == nil && u.ID != id.ID {
			t.Errorf("id %d of %s", u.ID, raw)
		}
	})
}
