package telegram

import (
	"encoding/json"
	"time"
)

// Kind of an update.
type Kind string

const (
	Text         Kind = "text"
	Edited       Kind = "edited"  // a person rewrote an earlier message
	Tap          Kind = "tap"     // an inline button
	Media        Kind = "media"   // anything sent that is not text; see Update.Media
	Service      Kind = "service" // a group's own notices: somebody joined, a new title
	BotBlocked   Kind = "blocked" // the person blocked the bot
	BotUnblocked Kind = "unblocked"
	GroupIn      Kind = "group joined" // the bot was added to a group
	GroupOut     Kind = "group left"
	GroupMoved   Kind = "group moved" // Chat is the old id, MovedTo the new
	Other        Kind = "other"       // understood as an update, of no use here
)

// Update is one thing that happened, with the few fields a bot like this uses.
type Update struct {
	ID         int64
	Kind       Kind
	Media      string // photo, voice, audio, video, video_note, sticker, animation, document, location, contact, poll, dice, other
	Chat       int64
	Private    bool
	From       int64
	FromBot    bool
	SenderChat int64     // an anonymous admin writes as this chat: nobody's name stands behind it
	MessageID  int64     // the message, or the one whose button was tapped
	ReplyTo    int64     // the message this one answers
	At         time.Time // zero for a tap: the platform does not date it
	Text       string    // also the caption of a picture
	Data       string    // of the button
	CallbackID string
	Language   string // IETF tag of the person's app; may be empty
	Forwarded  bool
	MovedTo    int64
}

// Only what is used is decoded, so that a value the platform invents next year
// in a field nobody reads cannot make an update unreadable.
type rawUpdate struct {
	ID      *int64      `json:"update_id"`
	Message *rawMessage `json:"message"`
	Edited  *rawMessage `json:"edited_message"`
	Tap     *rawTap     `json:"callback_query"`
	Member  *rawMember  `json:"my_chat_member"`
}

type rawUser struct {
	ID       int64  `json:"id"`
	Bot      bool   `json:"is_bot"`
	Language string `json:"language_code"`
}

type rawChat struct {
	ID   int64  `json:"id"`
	Type string `json:"type"`
}

type rawMessage struct {
	ID         int64           `json:"message_id"`
	From       rawUser         `json:"from"`
	SenderChat rawChat         `json:"sender_chat"`
	Chat       rawChat         `json:"chat"`
	Date       int64           `json:"date"`
	EditDate   int64           `json:"edit_date"`
	Text       *string         `json:"text"`
	Caption    string          `json:"caption"`
	Forward    json.RawMessage `json:"forward_origin"`
	MovedTo    int64           `json:"migrate_to_chat_id"`
	ReplyTo    *struct {
		ID int64 `json:"message_id"`
	} `json:"reply_to_message"`
}

type rawTap struct {
	ID      string      `json:"id"`
	From    rawUser     `json:"from"`
	Data    string      `json:"data"`
	Message *rawMessage `json:"message"`
}

type rawMember struct {
	Chat rawChat `json:"chat"`
	From rawUser `json:"from"`
	Date int64   `json:"date"`
	Old  struct {
		Status string `json:"status"`
	} `json:"old_chat_member"`
	New struct {
		Status string `json:"status"`
	} `json:"new_chat_member"`
}

// maxID bounds an update's number. The platform counts up from a random one that
// fits a few digits; a number near the largest would leave none to acknowledge it by.
const maxID = 1 << 53

const (
	errDecode = fault("undecodable update")
	errChat   = fault("update without a chat")
)

// Decode reads one update as the platform sent it. The id, and the private chat
// it came from, are given whenever they can be read, also beside an error.
func Decode(raw json.RawMessage) (Update, error) {
	var r rawUpdate
	if err := json.Unmarshal(raw, &r); err != nil || r.ID == nil || *r.ID <= 0 || *r.ID > maxID {
		return remains(raw), errDecode
	}
	u := Update{ID: *r.ID, Kind: Other}
	switch {
	case r.Message != nil:
		u.message(r.Message, raw, "message")
	case r.Edited != nil:
		u.message(r.Edited, raw, "edited_message")
		if u.Kind == Text || u.Kind == Media {
			u.Kind = Edited
		}
		u.At = stamp(r.Edited.EditDate)
	case r.Tap != nil:
		u.tap(r.Tap)
	case r.Member != nil:
		u.member(r.Member)
	default:
		return u, nil // a kind nobody asked for
	}
	if u.Chat == 0 && u.Kind != Other {
		return u, errChat
	}
	return u, nil
}

// remains is what can still be read of an update that cannot: its id, and the
// private chat it came from, so that its sender can be told.
func remains(raw json.RawMessage) (u Update) {
	var r struct {
		ID      int64           `json:"update_id"`
		Message json.RawMessage `json:"message"`
		Edited  json.RawMessage `json:"edited_message"`
	}
	var m struct {
		Chat rawChat `json:"chat"`
	}
	_ = json.Unmarshal(raw, &r) // a field of the wrong kind leaves the others readable
	if u.ID = r.ID; u.ID < 0 || u.ID > maxID {
		u.ID = 0
	}
	for _, part := range []json.RawMessage{r.Message, r.Edited} {
		if len(part) == 0 {
			continue
		}
		_ = json.Unmarshal(part, &m)
		if m.Chat.Type == "private" {
			u.Chat, u.Private = m.Chat.ID, true
		}
	}
	return u
}

func stamp(seconds int64) time.Time {
	if seconds <= 0 {
		return time.Time{}
	}
	return time.Unix(seconds, 0).UTC()
}

func (u *Update) from(f rawUser, c rawChat) {
	u.From, u.FromBot, u.Language = f.ID, f.Bot, f.Language
	u.Chat, u.Private = c.ID, c.Type == "private"
}

func (u *Update) message(m *rawMessage, raw json.RawMessage, field string) {
	u.from(m.From, m.Chat)
	u.MessageID, u.At, u.SenderChat = m.ID, stamp(m.Date), m.SenderChat.ID
	u.Forwarded = len(m.Forward) > 0
	if m.ReplyTo != nil {
		u.ReplyTo = m.ReplyTo.ID
	}
	switch {
	case m.MovedTo != 0:
		u.Kind, u.MovedTo = GroupMoved, m.MovedTo
	case m.Text != nil:
		u.Kind, u.Text = Text, *m.Text
	default:
		u.Text = m.Caption
		u.Kind, u.Media = content(raw, field)
	}
}

// content names what a message without text holds, by the presence of a field.
func content(raw json.RawMessage, field string) (Kind, string) {
	var outer, in map[string]json.RawMessage
	_ = json.Unmarshal(raw, &outer)
	_ = json.Unmarshal(outer[field], &in)
	for _, k := range []string{"photo", "voice", "audio", "video", "video_note", "sticker", "animation", "document",
		"location", "contact", "poll", "dice"} {
		if _, ok := in[k]; ok {
			return Media, k
		}
	}
	for _, k := range []string{
		"new_chat_members", "left_chat_member", "new_chat_title", "new_chat_photo", "delete_chat_photo", "pinned_message", "migrate_from_chat_id",
		"group_chat_created", "supergroup_chat_created", "message_auto_delete_timer_changed", "chat_background_set", "boost_added", "chat_shared", "users_shared",
		"video_chat_started", "video_chat_ended", "video_chat_scheduled", "video_chat_participants_invited", "forum_topic_created", "forum_topic_closed",
	} {
		if _, ok := in[k]; ok {
			return Service, ""
		}
	}
	return Media, "other"
}

func (u *Update) tap(t *rawTap) {
	u.Kind, u.CallbackID, u.Data = Tap, t.ID, t.Data
	u.From, u.FromBot, u.Language = t.From.ID, t.From.Bot, t.From.Language
	if t.Message == nil { // a button outside any chat of ours
		u.Kind = Other
		return
	}
	u.Chat, u.Private, u.MessageID = t.Message.Chat.ID, t.Message.Chat.Type == "private", t.Message.ID
}

func (u *Update) member(m *rawMember) {
	u.from(m.From, m.Chat)
	u.At = stamp(m.Date)
	out := func(s string) bool { return s == "left" || s == "kicked" }
	switch gone := out(m.New.Status); {
	case u.Private && gone:
		u.Kind = BotBlocked
	case u.Private:
		u.Kind = BotUnblocked
	case gone:
		u.Kind = GroupOut
	case out(m.Old.Status):
		u.Kind = GroupIn
	}
}

// allowed is what the bot asks to be told, exactly.
func allowed() []string {
	return []string{"message", "edited_message", "callback_query", "my_chat_member"}
}
