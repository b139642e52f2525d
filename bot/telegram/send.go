package telegram

import (
	"bytes"
	"context"

	"github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"
)

// Message is what the bot says in one chat. Texts go without markup of any
// kind, so nothing a person wrote can act as markup.
type Message struct {
	Chat           int64
	Text           string // the caption where a file goes along
	Keyboard       [][]string
	RemoveKeyboard bool
	Inline         [][]Button
	File           *File
	CopyOf         *Place // a message of another chat to show here, with Text as its caption
	ReplyTo        int64  // a message of this chat; ignored if it is gone
	Silent         bool   // without a sound
	Protect        bool   // official apps then do not forward or save it
}

// Place is a message of a chat.
type Place struct{ Chat, Message int64 }

// Button is an inline button; Data is 1 to 64 bytes.
type Button struct{ Label, Data string }

// FileKind is how a file is shown.
type FileKind string

const (
	Photo    FileKind = "photo"
	Document FileKind = "document"
	Video    FileKind = "video"
)

// File is bytes to upload under a name, or the id of a file sent before. The
// name is seen by everybody: it must not say who or what.
type File struct {
	Kind FileKind
	Name string
	Data []byte
	ID   string
}

// Send sends a message once. It never repeats it by itself: the platform has
// no key for a repeated message, so whether to is the caller's to decide.
func (c *Client) Send(ctx context.Context, m Message) Result {
	if no := m.check(); no != "" {
		return Result{Outcome: Rejected, Class: no}
	}
	switch {
	case m.CopyOf != nil:
		return c.copy(ctx, m)
	case m.File == nil:
		return c.sendText(ctx, m)
	}
	var media string
	r := c.do(ctx, func(ctx context.Context) (int, error) {
		sent, err := c.send(ctx, m)
		if err != nil {
			return 0, err
		}
		media = fileID(sent)
		return sent.ID, nil
	})
	r.MediaID = media
	return r
}

// copy shows a message of another chat. A copy, not a forward: a forward names whose message it was.
func (c *Client) copy(ctx context.Context, m Message) Result {
	r := c.do(ctx, func(ctx context.Context) (int, error) {
		sent, err := c.api.CopyMessage(ctx, &bot.CopyMessageParams{ChatID: m.Chat, FromChatID: m.CopyOf.Chat,
			MessageID: int(m.CopyOf.Message), Caption: m.Text, DisableNotification: m.Silent, ProtectContent: m.Protect})
		if err != nil {
			return 0, err
		}
		return sent.ID, nil
	})
	if r.Outcome == Blocked || r.Outcome == Moved { // perhaps the other chat: of its own what else is sent there says so
		r.Outcome = Rejected
	}
	return r
}

// check refuses what the library would turn into something else.
func (m Message) check() string {
	for _, row := range m.Inline {
		for _, b := range row {
			if b.Label == "" || b.Data == "" || len(b.Data) > 64 {
				return "button data must be 1 to 64 bytes under a label"
			}
		}
	}
	if len(m.Inline) > 0 && (len(m.Keyboard) > 0 || m.RemoveKeyboard) {
		return "one kind of keyboard only"
	}
	if f := m.File; f != nil && (f.ID == "") == (len(f.Data) == 0) {
		return "a file is bytes or an id"
	}
	if m.CopyOf != nil && (m.File != nil || len(m.Inline)+len(m.Keyboard) > 0 || m.RemoveKeyboard || m.ReplyTo != 0) {
		return "a copy goes alone"
	}
	return ""
}

// send sends a message with a file through the library.
func (c *Client) send(ctx context.Context, m Message) (*models.Message, error) {
	reply := m.reply()
	switch file := m.File.input(); m.File.Kind {
	case Photo:
		return c.api.SendPhoto(ctx, &bot.SendPhotoParams{
			ChatID: m.Chat, Photo: file, Caption: m.Text, ReplyMarkup: m.markup(), ReplyParameters: reply,
			DisableNotification: m.Silent, ProtectContent: m.Protect,
		})
	case Video:
		return c.api.SendVideo(ctx, &bot.SendVideoParams{
			ChatID: m.Chat, Video: file, Caption: m.Text, ReplyMarkup: m.markup(), ReplyParameters: reply,
			DisableNotification: m.Silent, ProtectContent: m.Protect,
		})
	default:
		return c.api.SendDocument(ctx, &bot.SendDocumentParams{
			ChatID: m.Chat, Document: file, Caption: m.Text, ReplyMarkup: m.markup(), ReplyParameters: reply,
			DisableNotification: m.Silent, ProtectContent: m.Protect,
		})
	}
}

// input is always a pointer to a reader: anything else panics in a goroutine of
// the library.
func (f *File) input() models.InputFile {
	if f.ID != "" {
		return &models.InputFileString{Data: f.ID}
	}
	name := f.Name
	if name == "" {
		name = string(f.Kind)
	}
	return &models.InputFileUpload{Filename: name, Data: bytes.NewReader(f.Data)}
}

func (m Message) reply() *models.ReplyParameters {
	if m.ReplyTo == 0 {
		return nil
	}
	return &models.ReplyParameters{MessageID: int(m.ReplyTo), AllowSendingWithoutReply: true}
}

func (m Message) markup() models.ReplyMarkup {
	switch {
	case len(m.Inline) > 0:
		k := &inline{}
		for _, row := range m.Inline {
			var line []inlineButton
			for _, b := range row {
				line = append(line, inlineButton{b.Label, b.Data})
			}
			k.Rows = append(k.Rows, line)
		}
		return k
	case len(m.Keyboard) > 0:
		k := &models.ReplyKeyboardMarkup{ResizeKeyboard: true, OneTimeKeyboard: true}
		for _, row := range m.Keyboard {
			var line []models.KeyboardButton
			for _, label := range row {
				line = append(line, models.KeyboardButton{Text: label})
			}
			k.Keyboard = append(k.Keyboard, line)
		}
		return k
	case m.RemoveKeyboard:
		return &models.ReplyKeyboardRemove{RemoveKeyboard: true}
	}
	return nil
}

// inline and its buttons stand for the library's types, which write a copy_text
// without a text beside every button; the platform's description gives it 1 to
// 256 characters.
type inline struct {
	Rows [][]inlineButton `json:"inline_keyboard"`
}

type inlineButton struct {
	Text string `json:"text"`
	Data string `json:"callback_data"`
}

func fileID(m *models.Message) string {
	switch {
	case len(m.Photo) > 0:
		return m.Photo[len(m.Photo)-1].FileID
	case m.Document != nil:
		return m.Document.FileID
	case m.Video != nil:
		return m.Video.FileID
	}
	return ""
}
