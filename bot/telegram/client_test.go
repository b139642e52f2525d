package telegram_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
)

// canary is a text that may appear in no error, result or log line.
const canary = "canary-jaw-text"

const token = "7654321:canary-token-AAAAAAAAAAAAAAAAAAAAAAA"

// bed is a client at a stand-in, and all that it logged.
type bed struct {
	*telegram.Client
	s   *standin.Server
	log *bytes.Buffer
}

func newBed(t *testing.T, o standin.Options) bed {
	t.Helper()
	o.Token = token
	s := standin.New(o)
	log := new(bytes.Buffer)
	c, err := telegram.New(telegram.Options{Token: token, Address: "http://standin.invalid", Transport: s.Transport(),
		Log: slog.New(slog.NewTextHandler(log, nil))})
	if err != nil {
		t.Fatal(err)
	}
	s.AddUser(standin.User{ID: 11, Name: "Ann", Language: "es"})
	s.AddUser(standin.User{ID: 12, Name: "Bo"})
	t.Cleanup(func() {
		s.Close()
		clean(t, log.String())
	})
	return bed{c, s, log}
}

func clean(t *testing.T, text string) {
	t.Helper()
	if strings.Contains(text, canary) || strings.Contains(text, "canary-token") {
		t.Errorf("a text or the token got out: %q", text)
	}
}

func (b bed) open(t *testing.T, user int64) {
	t.Helper()
	if _, err := b.s.Say(user, "hello"); err != nil {
		t.Fatal(err)
	}
}

func picture() []byte {
	var b bytes.Buffer
	_ = png.Encode(&b, image.NewGray(image.Rect(0, 0, 8, 8)))
	return b.Bytes()
}

func TestSend(t *testing.T) {
	b := newBed(t, standin.Options{})
	b.open(t, 11)
	ctx := context.Background()
	r := b.Send(ctx, telegram.Message{Chat: 11, Text: "How was the night?", Keyboard: [][]string{{"Good", "Bad"}},
		Silent: true, Protect: true})
	if r.Outcome != telegram.Sent || r.MessageID == 0 || r.Class != "" {
		t.Fatalf("%+v", r)
	}
	r = b.Send(ctx, telegram.Message{Chat: 11, Text: "Saved. Wrong?",
		Inline: [][]telegram.Button{{{Label: "Undo", Data: "1|undo"}}}, ReplyTo: 1})
	if r.Outcome != telegram.Sent {
		t.Fatalf("%+v", r)
	}
	m := b.s.Messages(11)
	if q := m[1]; q.Text != "How was the night?" || fmt.Sprint(q.Keyboard) != "[[Good Bad]]" || !q.OneTime || !q.Silent ||
		!q.Protected || !q.Bot {
		t.Errorf("%+v", q)
	}
	if q := m[2]; fmt.Sprint(q.Buttons) != "[[{Undo 1|undo}]]" || q.ReplyTo != 1 {
		t.Errorf("%+v", q)
	}
	if e := b.Edit(ctx, 11, r.MessageID, telegram.Message{Text: "Saved."}); e.Outcome != telegram.Sent ||
		e.MessageID != r.MessageID {
		t.Errorf("%+v", e)
	}
	if e := b.Edit(ctx, 11, r.MessageID, telegram.Message{Text: "Saved."}); e.Outcome != telegram.Sent {
		t.Errorf("an edit that changes nothing: %+v", e)
	}
	if q := b.s.Messages(11)[2]; q.Text != "Saved." || q.Buttons != nil || fmt.Sprint(q.Past) != "[Saved. Wrong?]" {
		t.Errorf("%+v", q)
	}
	r = b.Send(ctx, telegram.Message{Chat: 11, Text: "?", Inline: [][]telegram.Button{{{Label: "Yes", Data: "y"}}}})
	if e := b.Edit(ctx, 11, r.MessageID, telegram.Message{}); e.Outcome != telegram.Sent ||
		b.s.Messages(11)[3].Buttons != nil {
		t.Errorf("buttons alone: %+v", e)
	}
	if r := b.Send(ctx, telegram.Message{Chat: 11, Text: "Done", RemoveKeyboard: true}); r.Outcome != telegram.Sent ||
		b.s.Keyboard(11) != nil {
		t.Errorf("%+v", r)
	}
}

func TestFiles(t *testing.T) {
	b := newBed(t, standin.Options{})
	b.open(t, 11)
	ctx := context.Background()
	for _, f := range []telegram.File{
		{Kind: telegram.Photo, Name: "chart.png", Data: picture()},
		{Kind: telegram.Document, Name: "diary.csv", Data: []byte("night,setting\n")},
		{Kind: telegram.Video, Name: "how.mp4", Data: []byte("video")},
	} {
		r := b.Send(ctx, telegram.Message{Chat: 11, Text: "Here", File: &f,
			Inline: [][]telegram.Button{{{Label: "Ok", Data: "k"}}}})
		if r.Outcome != telegram.Sent || r.MediaID == "" {
			t.Fatalf("%s: %+v", f.Kind, r)
		}
		m := b.s.Messages(11)
		if last := m[len(m)-1]; !bytes.Equal(last.Data, f.Data) || last.Filename != f.Name || last.Text != "Here" ||
			len(last.Buttons) != 1 {
			t.Errorf("%s: %+v", f.Kind, last)
		}
		again := b.Send(ctx, telegram.Message{Chat: 11, File: &telegram.File{Kind: f.Kind, ID: r.MediaID}})
		if again.Outcome != telegram.Sent || again.MediaID != r.MediaID {
			t.Errorf("%s by its id: %+v", f.Kind, again)
		}
	}
	if r := b.Send(ctx, telegram.Message{Chat: 11, File: &telegram.File{Kind: telegram.Photo,
		Data: []byte("no picture")}}); r.Outcome != telegram.Rejected || r.Class != "IMAGE_PROCESS_FAILED" {
		t.Errorf("%+v", r)
	}
}

// A copy shows what another chat said, under words of ours, and names nobody; one that cannot be made is refused, and
// says nothing of the chat that it was for.
func TestCopies(t *testing.T) {
	b := newBed(t, standin.Options{})
	b.open(t, 11)
	b.open(t, 12)
	ctx := context.Background()
	id, err := b.s.Post(standin.Post{Chat: 11, From: 11, Kind: "photo", Text: "my lip", Data: []byte("lip")})
	if err != nil {
		t.Fatal(err)
	}
	r := b.Send(ctx, telegram.Message{Chat: 12, Text: "Number 3", CopyOf: &telegram.Place{Chat: 11, Message: id}, Protect: true})
	all := b.s.Messages(12)
	if last := all[len(all)-1]; r.Outcome != telegram.Sent || r.MessageID != last.ID || last.Kind != "photo" || last.Text != "Number 3" ||
		string(last.Data) != "lip" || !last.Protected {
		t.Errorf("%+v: %+v", r, last)
	}
	if r := b.Send(ctx, telegram.Message{Chat: 12, CopyOf: &telegram.Place{Chat: 11, Message: id + 90}}); r.Outcome != telegram.Rejected {
		t.Errorf("of nothing: %+v", r)
	}
	if err := b.s.Block(12); err != nil {
		t.Fatal(err)
	}
	if r := b.Send(ctx, telegram.Message{Chat: 12, CopyOf: &telegram.Place{Chat: 11, Message: id}}); r.Outcome != telegram.Rejected {
		t.Errorf("to a chat that is closed: %+v", r)
	}
	for _, m := range []telegram.Message{{File: &telegram.File{ID: "x"}}, {Keyboard: [][]string{{"a"}}}, {ReplyTo: 3}} {
		m.Chat, m.CopyOf = 11, &telegram.Place{Chat: 11, Message: id}
		if r := b.Send(ctx, m); r.Outcome != telegram.Rejected {
			t.Errorf("%+v: %+v", m, r)
		}
	}
}

func TestOutcomes(t *testing.T) {
	hello := telegram.Message{Chat: 11, Text: canary}
	for _, c := range []struct {
		name     string
		fault    standin.Fault
		message  telegram.Message
		want     telegram.Outcome
		executed bool
	}{
		{"429", standin.Fault{Kind: standin.TooMany, RetryAfter: 7}, hello, telegram.Later, false},
		{"403", standin.Fault{Kind: standin.Forbidden}, hello, telegram.Blocked, false},
		{"401", standin.Fault{Kind: standin.Unauthorized}, hello, telegram.NotWritten, false},
		{"404", standin.Fault{Kind: standin.NotFound}, hello, telegram.NotWritten, false},
		{"409", standin.Fault{Kind: standin.Conflict}, hello, telegram.Conflict, false},
		{"500", standin.Fault{Kind: standin.ServerError}, hello, telegram.Unknown, false},
		{"502 page", standin.Fault{Kind: standin.BadGateway}, hello, telegram.Unknown, false},
		{"dropped", standin.Fault{Kind: standin.Dropped}, hello, telegram.Unknown, false},
		{"lost", standin.Fault{Kind: standin.Lost}, hello, telegram.Unknown, true},
		{"unreachable", standin.Fault{Kind: standin.Unreachable}, hello, telegram.NotWritten, false},
		{"empty", standin.Fault{}, telegram.Message{Chat: 11}, telegram.Rejected, false},
		{"too long", standin.Fault{}, telegram.Message{Chat: 11, Text: strings.Repeat("🦷", 2049)}, telegram.Rejected, false},
		{"not started", standin.Fault{}, telegram.Message{Chat: 12, Text: canary}, telegram.Blocked, false},
		{"unknown chat", standin.Fault{}, telegram.Message{Chat: 99, Text: canary}, telegram.Rejected, false},
		{"data too long", standin.Fault{}, telegram.Message{Chat: 11, Text: "x", Inline: [][]telegram.Button{{{Label: "a", Data: strings.Repeat("x", 65)}}}}, telegram.Rejected, false},
		{"data empty", standin.Fault{}, telegram.Message{Chat: 11, Text: "x", Inline: [][]telegram.Button{{{Label: "a"}}}}, telegram.Rejected, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBed(t, standin.Options{})
			b.open(t, 11)
			if c.fault.Kind != 0 {
				b.s.Inject(c.fault)
			}
			r := b.Send(context.Background(), c.message)
			if r.Outcome != c.want || r.Class == "" {
				t.Errorf("%v: %+v", r.Outcome, r)
			}
			clean(t, fmt.Sprintf("%+v", r))
			if class := map[string]string{"lost": "connection closed", "unreachable": "network",
				"502 page": "server error"}[c.name]; class != "" && r.Class != class {
				t.Errorf("class: %+v", r)
			}
			if c.want == telegram.Later && r.RetryAfter.Seconds() != 7 {
				t.Errorf("%+v", r)
			}
			if got := len(b.s.Messages(11)) == 2; got != c.executed {
				t.Errorf("executed: %v", got)
			}
			if c.fault.Kind != 0 {
				if r := b.Send(context.Background(), hello); r.Outcome != telegram.Sent {
					t.Errorf("the fault did not pass: %+v", r)
				}
			}
		})
	}
}

func TestMovedGroup(t *testing.T) {
	b := newBed(t, standin.Options{})
	ctx := context.Background()
	g := b.s.AddGroup("Desk", 11, 12)
	now, err := b.s.Migrate(g)
	if err != nil {
		t.Fatal(err)
	}
	r := b.Send(ctx, telegram.Message{Chat: g, Text: canary})
	if r.Outcome != telegram.Moved || r.MigrateTo != now {
		t.Fatalf("%+v", r)
	}
	if r := b.Send(ctx, telegram.Message{Chat: now, Text: canary}); r.Outcome != telegram.Sent {
		t.Errorf("%+v", r)
	}
	if r := b.Leave(ctx, now); r.Outcome != telegram.Sent {
		t.Errorf("%+v", r)
	}
	if r := b.Send(ctx, telegram.Message{Chat: now, Text: canary}); r.Outcome != telegram.Blocked {
		t.Errorf("after leaving: %+v", r)
	}
}

func TestSmallMethods(t *testing.T) {
	b := newBed(t, standin.Options{})
	b.open(t, 11)
	ctx := context.Background()
	if id, name, r := b.Me(ctx); id != 7654321 || name != "duskdawn_bot" || r.Outcome != telegram.Sent {
		t.Error(id, name, r)
	}
	if r := b.Description(ctx, "es", "No vigilado"); r.Outcome != telegram.Sent || b.s.Description("es") != "No vigilado" {
		t.Error(r)
	}
	list := []telegram.Command{{Name: "today", Description: "What to do today"}}
	for _, chat := range []int64{0, 11} {
		if r := b.Commands(ctx, chat, "en", list); r.Outcome != telegram.Sent {
			t.Error(chat, r)
		}
	}
	if r := b.Commands(ctx, 0, "", []telegram.Command{{Name: "To day",
		Description: "x"}}); r.Outcome != telegram.Rejected {
		t.Error(r)
	}
	if r := b.Answer(ctx, "gone", "", false); r.Outcome != telegram.Sent {
		t.Errorf("an answer to an expired tap is no fault: %+v", r)
	}
}

func TestNewChecksItsOptions(t *testing.T) {
	for _, o := range []telegram.Options{
		{Token: ""}, {Token: "123:short"}, {Token: token + "x y"}, {Token: token + "é"},
		{Token: token, Address: "ftp://x"}, {Token: token, Address: "http://"}, {Token: token, Address: "http://x/?a=b"}, {Token: token, Address: "::"},
	} {
		_, err := telegram.New(o)
		if err == nil {
			t.Errorf("taken: %q", o.Address)
			continue
		}
		clean(t, err.Error())
	}
	if _, err := telegram.New(telegram.Options{Token: " " + token + "\n"}); err != nil {
		t.Error(err)
	}
}

func TestRedirectIsNotFollowed(t *testing.T) {
	var seen []string
	other := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter,
		r *http.Request) {
		seen = append(seen, r.Referer())
	}))
	defer other.Close()
	front := httptest.NewServer(http.RedirectHandler(other.URL, http.StatusFound))
	defer front.Close()
	c, err := telegram.New(telegram.Options{Token: token, Address: front.URL})
	if err != nil {
		t.Fatal(err)
	}
	if _, _, r := c.Me(context.Background()); r.Outcome != telegram.Unknown || len(seen) != 0 {
		t.Errorf("%+v, followed %d times", r, len(seen))
	}
}

func TestOverARealConnection(t *testing.T) {
	s := standin.New(standin.Options{Token: token})
	s.AddUser(standin.User{ID: 11})
	_, _ = s.Say(11, "hello")
	srv := httptest.NewServer(s)
	c, err := telegram.New(telegram.Options{Token: token, Address: srv.URL + "/"})
	if err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	if r := c.Send(ctx, telegram.Message{Chat: 11, Text: "hi"}); r.Outcome != telegram.Sent {
		t.Errorf("%+v", r)
	}
	s.Inject(standin.Fault{Kind: standin.Lost})
	if r := c.Send(ctx, telegram.Message{Chat: 11, Text: "hi"}); r.Outcome != telegram.Unknown ||
		len(s.Messages(11)) != 3 {
		t.Errorf("lost: %+v", r)
	}
	srv.Close()
	if r := c.Send(ctx, telegram.Message{Chat: 11, Text: "hi"}); r.Outcome != telegram.NotWritten {
		t.Errorf("nobody listens: %+v", r)
	}
}

func TestSecretIsNeverPrinted(t *testing.T) {
	s := telegram.Secret("canary-token")
	type holder struct{ S telegram.Secret }
	for _, verb := range []string{"%v", "%+v", "%#v", "%s", "%q", "%x", "%X", "%d", "%T"} {
		clean(t, fmt.Sprintf(verb, s)+fmt.Sprintf(verb, holder{s})+fmt.Sprintf(verb, &holder{s}))
	}
	j, err := json.Marshal(map[string]any{"token": s, "in": holder{s}})
	if err != nil {
		t.Fatal(err)
	}
	var log bytes.Buffer
	slog.New(slog.NewTextHandler(&log, nil)).Info("x", "s", s, "h", holder{s})
	slog.New(slog.NewJSONHandler(&log, nil)).Info("x", "s", s, "h", holder{s})
	clean(t, string(j)+log.String()+fmt.Sprint(fmt.Errorf("doing x: %v", s)))
}
