package telegram_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
)

// Every call that a client can make, with everything that it can carry and with
// nothing beside what it must, passes the platform's own description, to which
// the stand-in holds it.
func TestEveryCallFitsTheDescription(t *testing.T) {
	b := newBed(t, standin.Options{})
	b.open(t, 11)
	g := b.s.AddGroup("Desk", 11)
	ctx := t.Context()
	long := strings.Repeat("ä", 4096)
	inline := [][]telegram.Button{{{Label: "a", Data: "b"}, {Label: long[:64], Data: strings.Repeat("x", 64)}}, {{Label: "c", Data: "d"}}}
	calls := map[string]bool{}
	ok := func(call string, r telegram.Result) int64 {
		t.Helper()
		calls[call] = true
		if r.Outcome != telegram.Sent {
			t.Errorf("%s: %v %s", call, r.Outcome, r.Class)
		}
		return r.MessageID
	}
	for _, m := range []telegram.Message{{Text: "x"}, {Text: long}, {Text: "x", Keyboard: [][]string{{"a", "b"}, {"c"}}},
		{Text: "x", RemoveKeyboard: true}, {Text: "x", ReplyTo: 1, Silent: true, Protect: true}, {Text: "x", Inline: inline}} {
		m.Chat = 11
		ok("Send", b.Send(ctx, m))
		if m.Text != long {
			for _, f := range []telegram.File{{Kind: telegram.Photo, Name: "p.png", Data: picture()},
				{Kind: telegram.Document, Name: "d.csv", Data: []byte("x")}, {Kind: telegram.Video, Name: "v.mp4", Data: []byte("x")}} {
				m.File = &f
				r := b.Send(ctx, m)
				ok("Send", r)
				m.File = &telegram.File{Kind: f.Kind, ID: r.MediaID}
				m.Text = ""
				ok("Send", b.Send(ctx, m))
			}
		}
	}
	id := ok("Send", b.Send(ctx, telegram.Message{Chat: 11, Text: "x", Inline: inline}))
	ok("Send", b.Send(ctx, telegram.Message{Chat: 11, Text: long[:1024], CopyOf: &telegram.Place{Chat: 11, Message: id}, Silent: true, Protect: true}))
	ok("Send", b.Send(ctx, telegram.Message{Chat: 11, CopyOf: &telegram.Place{Chat: 11, Message: id}}))
	ok("Edit", b.Edit(ctx, 11, id, telegram.Message{Text: "y", Inline: inline[:1]}))
	ok("Edit", b.Edit(ctx, 11, id, telegram.Message{Inline: inline}))
	ok("Edit", b.Edit(ctx, 11, id, telegram.Message{}))
	ok("Edit", b.Edit(ctx, 11, id, telegram.Message{Text: "z"}))
	ok("Answer", b.Answer(ctx, "long gone", "", false))
	ok("Answer", b.Answer(ctx, "long gone", long[:200], true))
	ok("Commands", b.Commands(ctx, 0, "", nil))
	ok("Commands", b.Commands(ctx, 11, "es", []telegram.Command{{Name: "today", Description: "x"}}))
	ok("Description", b.Description(ctx, "es", long[:512]))
	ok("Description", b.Description(ctx, "", ""))
	ok("SetWebhook", b.SetWebhook(ctx, "https://front.invalid/x", "secret"))
	ok("DropWebhook", b.DropWebhook(ctx))
	_, _, r := b.Me(ctx)
	ok("Me", r)
	var k shelf
	stop, _ := b.poll(t, telegram.PollOptions{Handle: k.handle, SetAside: k.setAside})
	b.quiet(t)
	if err := stop(); err != nil || len(k.texts(11)) == 0 {
		t.Error(err, k.texts(11))
	}
	calls["Poller"] = true
	ok("Delete", b.Delete(ctx, 11, id))
	ok("Leave", b.Leave(ctx, g))

	asks := reflect.TypeFor[*telegram.Client]()
	silent := []string{"Doubted", "Refused"} // they ask nothing
	for i := range asks.NumMethod() {
		if name := asks.Method(i).Name; !calls[name] && !slices.Contains(silent, name) {
			t.Errorf("%s is not tried here", name)
		}
	}
}
