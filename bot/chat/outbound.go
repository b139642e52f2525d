package chat

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/desk"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/locales"
	"duskdawn/store"
)

// Outbound puts outbox items into words and hands them to the platform.
type Outbound struct {
	API      *telegram.Client
	Words    *locales.Words
	Store    store.Store
	Practice func(ctx context.Context) (practice.Practice, error)
	// nil where the text goes alone
	Media func(ctx context.Context, m message.Message, lang string) (*telegram.File, error)
	List  func(ctx context.Context, m message.Message) ([]flows.Patient, error) // the patients a view shows
}

// Sent is what became of one try.
type Sent struct {
	telegram.Result
	Text []byte // the text shown
}

// errUnread is of a message for which something could not be read just now.
var errUnread = errors.New("chat: the store does not answer")

// unread marks an error of reading, but for what will never be read.
func unread(err error) error {
	if err == nil || errors.Is(err, store.ErrCorrupt) || errors.Is(err, store.ErrNotFound) {
		return err
	}
	return errors.Join(errUnread, err)
}

// Send makes one try. A message that cannot be put together is Rejected: it
// would fail the same way again. One for which the store does not answer waits.
func (o *Outbound) Send(ctx context.Context, it store.Item, written func() error) Sent {
	m, err := o.message(ctx, it)
	if errors.Is(err, errUnread) {
		return Sent{Result: telegram.Result{Outcome: telegram.NotWritten, Class: "store"}}
	}
	if err != nil {
		return Sent{Result: telegram.Result{Outcome: telegram.Rejected, Class: "not put into words"}}
	}
	if err := written(); err != nil {
		return Sent{Result: telegram.Result{Outcome: telegram.NotWritten, Class: "store"}}
	}
	sent := Sent{Text: journalled(m.Text)}
	if m.edit != 0 {
		if sent.Result = o.API.Edit(ctx, m.Chat, m.edit, m.Message); sent.Outcome == telegram.Blocked {
			sent.Outcome = telegram.Rejected // of an older message alone: what is sent says whether the chat is closed
		}
	} else {
		sent.Result = o.API.Send(ctx, m.Message)
	}
	if sent.Outcome == telegram.Rejected && m.alone != "" { // it was surely not sent
		m.File, m.Text = nil, m.alone
		sent = Sent{Result: o.API.Send(ctx, m.Message), Text: journalled(m.Text)}
	}
	if m.leave {
		o.API.Leave(ctx, m.Chat) // best effort: the next word in that group leaves it again
	}
	return sent
}

// journalled is a text as the journal keeps it: a code that somebody was given to
// join by is nobody's to read there.
func journalled(text string) []byte {
	shown, _, _ := locales.Mask(text)
	return []byte(shown)
}

// worded is a message put into words.
type worded struct {
	telegram.Message
	edit  int64  // the message that becomes this one; 0 for a new one
	leave bool   // it is the last in a group
	alone string // the text where the platform refuses the picture that goes with it; empty: nothing is said then
}

// message puts an item into words, in its reader's language, as late as possible.
func (o *Outbound) message(ctx context.Context, it store.Item) (out worded, err error) {
	var m message.Message
	if err := store.Decode(it.Body, &m); err != nil {
		return out, err
	}
	chat, err := strconv.ParseInt(it.Queue, 10, 64)
	if err != nil {
		return out, fmt.Errorf("reading a queue: %w", err)
	}
	pr, err := o.Practice(ctx)
	if err != nil {
		return out, unread(err)
	}
	words := o.Words.Default(pr.Lang)
	if !it.Ordered.IsZero() {
		words = words.On(it.Ordered)
	}
	lang := it.Lang
	if lang == "" {
		lang = pr.Lang
	}
	if m.View != message.NoView {
		if err := o.view(ctx, &m, pr, chat); err != nil {
			return out, err
		}
	}
	out.Message = telegram.Message{Chat: chat, Silent: m.Silent, Protect: m.View != message.NoView}
	out.edit, out.leave = m.Edit, m.Media == leaveGroup
	if err := Put(words, lang, m, &out.Message); err != nil {
		return out, err
	}
	switch {
	case out.leave:
	case strings.HasPrefix(m.Media, flows.MediaCopy):
		out.CopyOf, err = place(m.MediaOf)
		out.Text, out.Protect = locales.Cut(out.Text, maxCaption), true
	case m.Media != "":
		err = o.attach(ctx, &out, m, lang)
	}
	return out, err
}

// place reads which message a copy is of.
func place(of string) (*telegram.Place, error) {
	chat, number, _ := strings.Cut(of, "/")
	c, err := strconv.ParseInt(chat, 10, 64)
	n, err2 := strconv.ParseInt(number, 10, 64)
	if err := errors.Join(err, err2); err != nil {
		return nil, fmt.Errorf("reading which message to copy: %w", err)
	}
	return &telegram.Place{Chat: c, Message: n}, nil
}

// leaveGroup is the media of a last message to a group that is not ours.
const leaveGroup = "leave"

// Put puts lines, quick answers and buttons into words.
func Put(words *locales.Words, lang string, m message.Message, out *telegram.Message) error {
	out.Text, out.RemoveKeyboard = words.Text(lang, m), m.Plain
	for _, row := range m.Choices {
		var labels []string
		for _, c := range row {
			labels = append(labels, words.Label(lang, c))
		}
		out.Keyboard = append(out.Keyboard, labels)
	}
	for _, row := range m.Inline {
		var buttons []telegram.Button
		for _, b := range row {
			data, err := encodeData(b)
			if err != nil {
				return err
			}
			buttons = append(buttons, telegram.Button{Label: words.Line(lang, b.Label), Data: data})
		}
		out.Inline = append(out.Inline, buttons)
	}
	return nil
}

// view adds the lines and buttons of something shown as it stands now.
func (o *Outbound) view(ctx context.Context, m *message.Message, pr practice.Practice, chat int64) error {
	var subject flows.Patient
	if m.Subject != "" {
		var err error
		if subject, err = o.subject(ctx, m); err != nil {
			return unread(err)
		}
	}
	var listed []flows.Patient
	if o.List != nil && m.Subject == "" {
		var err error
		if listed, err = o.List(ctx, *m); err != nil {
			return unread(err)
		}
	}
	reader, _ := pr.ByChat(chat)
	lines, inline := desk.Show(pr, reader, *m, subject, listed)
	if !desk.Private(reader) || subject.ID == "" {
		m.Media = ""
	}
	m.Lines = append(m.Lines, lines...)
	m.Inline = append(m.Inline, inline...)
	return nil
}

// together is how long every card of an escalation waits: by then the words that
// it tells of have mostly arrived, and cards of one moment go out in their order.
const together = 200 * time.Millisecond

// Early reports whether an item, ordered so long ago, is a card that says what
// the patient was told while those words are still on their way to the patient's
// chat. What cannot be read is not early: Send will say why.
func (o *Outbound) Early(ctx context.Context, it store.Item, age time.Duration) bool {
	var m message.Message
	if it.Lane == store.LaneEvent || store.Decode(it.Body, &m) != nil || m.View != message.ViewEscalation {
		return false
	}
	if age < together {
		return true
	}
	p, err := o.subject(ctx, &m)
	return err == nil && p.Undelivered(m.MediaOf)
}

// subject reads the patient whom a message is about.
func (o *Outbound) subject(ctx context.Context, m *message.Message) (flows.Patient, error) {
	a, err := o.Store.Get(ctx, store.Ref{Kind: store.Patient, ID: string(m.Subject)})
	if err != nil && !errors.Is(err, store.ErrNotFound) {
		return flows.Patient{}, fmt.Errorf("reading a patient: %w", err)
	}
	return store.DecodePatient(a.Body)
}

// attach adds a picture or a document; the text becomes its caption. The words
// of a picture stand where there is none.
func (o *Outbound) attach(ctx context.Context, out *worded, m message.Message, lang string) error {
	file, err := o.Media(ctx, m, lang)
	if err != nil {
		return err
	}
	alone := out.Text
	if strings.HasPrefix(m.Media, flows.MediaCourse) { // somebody asked to see it
		alone += "\n" + o.Words.Line(lang, message.Say("mycourse.nopicture"))
	}
	if file == nil {
		out.Text = alone
		return nil
	}
	if file.Kind != telegram.Document {
		out.alone = alone
	}
	out.File = file
	out.Text = locales.Cut(out.Text, maxCaption)
	return nil
}

// maxCaption is the platform's limit of a caption, in UTF-16 code units.
const maxCaption = 1024
