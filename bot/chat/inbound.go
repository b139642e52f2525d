package chat

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/desk"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/locales"
	"duskdawn/store"
)

// maxQuote is how much of a text is kept, in runes.
const maxQuote = 1000

// Runner is what takes events: the scheduler.
type Runner interface {
	Handle(ctx context.Context, ref store.Ref, event string, body flows.Body) error
	ChatRef(chat int64) store.Ref
	PatientRef(id chart.PatientID) store.Ref
	PracticeRef() store.Ref
	StaffKey(code string) string
	Practice(ctx context.Context) (practice.Practice, error)
	LabelTaken(ctx context.Context, id chart.PatientID, label string) (bool, error)
	Zones(text string) []string // the zones a text names, or whose clocks show the time it gives
}

// Inbound turns updates into events.
type Inbound struct {
	Store  store.Store
	Runner Runner
	Words  *locales.Words
	Answer func(ctx context.Context, callback, text string) // answers a tap, best effort; the commit is behind it
	Delete func(ctx context.Context, chat, message int64)   // takes a message out of a chat, best effort
	// Stranger reports whether somebody whom nobody knows may be heard now; nil is
	// always. Codes and red flags are heard in any case.
	Stranger func() bool

	known known
}

// Handle takes one update and returns when what follows from it is committed.
// An error means that it is not, and the update must come again.
func (in *Inbound) Handle(ctx context.Context, u telegram.Update) error {
	switch u.Kind {
	case telegram.BotBlocked, telegram.BotUnblocked:
		return in.reach(ctx, u)
	case telegram.GroupMoved:
		body := flows.GroupMoved{From: u.Chat, To: u.MovedTo}
		return in.Runner.Handle(ctx, in.Runner.PracticeRef(), fmt.Sprintf("moved/%d/%d", body.From, body.To), body)
	case telegram.GroupOut, telegram.Service, telegram.Other:
		return nil
	}
	c, err := in.Chat(ctx, u.Chat)
	if err != nil {
		return err
	}
	ref := in.Runner.ChatRef(u.Chat)
	if c.Patient != "" {
		ref = in.Runner.PatientRef(c.Patient)
	}
	body := in.Body(u, c)
	if body == nil || c.Patient == "" && c.Staff == "" && u.Private && !in.hears(body) {
		return nil
	}
	if s, ok := body.(flows.Said); ok && c.Patient == "" && c.Staff != "" {
		if s, err = in.learn(ctx, s, &c); err != nil {
			return err
		}
		if s.PIN != flows.NoPIN { // nobody who finds the telephone is to read it there
			defer in.Delete(ctx, u.Chat, u.MessageID)
		}
		body = s
	}
	if err := in.Runner.Handle(ctx, ref, eventID(u), body); err != nil {
		return err
	}
	if u.Kind == telegram.Tap {
		in.Answer(ctx, u.CallbackID, "")
	}
	return nil
}

// learn is Learn with what the store knows.
func (in *Inbound) learn(ctx context.Context, s flows.Said, c *desk.Chat) (flows.Said, error) {
	pr, err := in.Runner.Practice(ctx)
	if err != nil {
		return s, err
	}
	err = Learn(ctx, &s, c, &pr, func(ctx context.Context, label string) (bool, error) {
		return in.Runner.LabelTaken(ctx, "", label)
	})
	return s, err
}

// hears reports whether a stranger's event is taken.
func (in *Inbound) hears(body flows.Body) bool {
	s, ok := body.(flows.Said)
	return in.Stranger == nil || ok && (s.Reading.Code != "" || s.CodeHash != "" || s.Reading.Dangerous()) || in.Stranger()
}

// Chat reads what is remembered of a chat, not to be written into; the zero Chat for a new one.
func (in *Inbound) Chat(ctx context.Context, id int64) (desk.Chat, error) {
	a, err := in.Store.Get(ctx, in.Runner.ChatRef(id))
	if err != nil && !errors.Is(err, store.ErrNotFound) {
		return desk.Chat{}, fmt.Errorf("reading a chat: %w", err)
	}
	return in.known.read(id, a.Body)
}

// Body makes the event; nil where there is nothing to tell anybody.
func (in *Inbound) Body(u telegram.Update, c desk.Chat) flows.Body {
	from := sender(u)
	kind := u.Kind
	if kind == telegram.Media && u.Text != "" {
		kind = telegram.Text // a caption is said as well
	}
	switch kind {
	case telegram.Text, telegram.Edited:
		text := clean(u.Text)
		s := flows.Said{Chat: u.Chat, Gen: c.Gen, Reading: in.Words.Read(text), Text: text, Sent: u.At,
			ReplyTo: u.ReplyTo,
			Edited:  u.Kind == telegram.Edited, Forwarded: u.Forwarded, Message: u.MessageID, User: u.From, From: from, AppLang: u.Language}
		if u.Kind == telegram.Media || c.Patient == "" { // an edit sends a patient's picture no second time
			s.Media = u.Media
		}
		HideCodes(&s, in.Words, in.Runner.StaffKey)
		s.Text = cut(s.Text, maxQuote)
		if c.Patient == "" && c.Staff != "" { // what only a form of the desk reads
			s.Zones, s.List = in.Runner.Zones(text), in.Words.List(text)
			if c.Form.Op == desk.Transcribe {
				s.Nights = in.Words.Nights(text, u.At)
			}
			if s.Find = in.Words.Find(text); s.List == "" {
				s.List = in.Words.List(s.Find)
			}
			s.Pairs = in.Words.Pairs(u.Text)
			for _, p := range s.Pairs { // a pasted form names its zone on a line of its own
				if p.Key == "zone" {
					s.Zones = in.Runner.Zones(p.Value)
				}
			}
		}
		return s
	case telegram.Tap:
		b, err := decodeData(u.Data)
		if err != nil {
			b = message.Button{Op: "?"} // a person who pressed something still gets an answer
		}
		return flows.Tap{Chat: u.Chat, Gen: c.Gen, Op: b.Op, Arg: b.Arg, Nonce: b.Nonce, Message: u.MessageID, User: u.From,
			Patient: b.Patient}
	default:
		kind := u.Media
		if u.Kind == telegram.GroupIn {
			kind = "joined"
		}
		return flows.Other{Chat: u.Chat, Gen: c.Gen, Kind: kind, Message: u.MessageID, User: u.From, From: from,
			AppLang: u.Language}
	}
}

// HideCodes takes the codes out of what is shown and kept of a text, and has it
// read without them where they stand among other words: their signs are no
// answers. A staff code is known by its keyed hash alone; of the code itself its
// head stays, which says what it is.
func HideCodes(s *flows.Said, words *locales.Words, key func(code string) string) {
	shown, staff, joins := locales.Mask(s.Text)
	code := s.Reading.Code
	if code == "" && shown != s.Text {
		s.Reading, s.Among = words.Read(strings.ReplaceAll(shown, locales.Masked, " ")), joins
	}
	s.Text = shown
	switch {
	case code != "":
		s.CodeHash = key(code)
		if len(staff) > 0 {
			s.Reading.Code = code[:2]
		}
	case len(staff) > 0:
		s.CodeHash = key(staff[0])
	}
}

// reach tells whoever a private chat belongs to that it closed or opened.
func (in *Inbound) reach(ctx context.Context, u telegram.Update) error {
	c, err := in.Chat(ctx, u.Chat)
	if err != nil {
		return err
	}
	var body flows.Body = flows.Reached{Chat: u.Chat}
	if u.Kind == telegram.BotBlocked {
		body = flows.Bounce{Chat: u.Chat, Why: "blocked"}
	}
	switch {
	case c.Patient != "":
		return in.Runner.Handle(ctx, in.Runner.PatientRef(c.Patient), eventID(u), body)
	case c.Staff != "":
		return in.Runner.Handle(ctx, in.Runner.PracticeRef(), eventID(u), body)
	}
	return nil
}

// eventID names an update for ever: update numbers alone start again at random
// after a quiet week.
func eventID(u telegram.Update) string {
	if u.Kind == telegram.Tap {
		return fmt.Sprintf("u/%d/%d/%s", u.ID, u.Chat, u.CallbackID)
	}
	return fmt.Sprintf("u/%d/%d/%d", u.ID, u.Chat, u.MessageID)
}

func sender(u telegram.Update) flows.Sender {
	switch {
	case u.SenderChat != 0:
		return flows.FromAnonymous
	case u.FromBot:
		return flows.FromMachine
	}
	return flows.FromPerson
}

// clean takes out what could make a text look other than it is: direction
// controls and NUL.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 0x202A && r <= 0x202E, r >= 0x2066 && r <= 0x2069, r == 0x200E, r == 0x200F, r == 0, r == utf8.RuneError:
			return -1
		}
		return r
	}, s)
}

// cut shortens a text to n runes.
func cut(s string, n int) string {
	if utf8.RuneCountInString(s) <= n {
		return s
	}
	return string([]rune(s)[:n-1]) + "…"
}
