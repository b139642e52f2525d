package standin

import (
	"slices"
	"time"
)

// Button is an inline button.
type Button struct{ Label, Data string }

// Message is one line of a talk, as a person sees it.
type Message struct {
	ID        int64
	Chat      int64
	From      int64 // user id; the bot's own for its messages
	Bot       bool  // written by the bot
	Kind      string
	Text      string // the caption of a picture or document
	At        time.Time
	Edited    time.Time
	Past      []string   // earlier texts, oldest first
	Buttons   [][]Button // inline
	Keyboard  [][]string // reply keyboard
	Shown     bool       // its reply keyboard is on the screen now
	OneTime   bool
	Removes   bool // takes the reply keyboard away
	Data      []byte
	FileID    string
	Filename  string
	ReplyTo   int64
	Silent    bool
	Protected bool
	Deleted   bool

	forwarded bool
	sender    int64 // sender_chat of an anonymous admin
	migrateTo int64
	moved     int64 // migrate_from
	joined    bool
}

func (m *Message) copy() Message {
	c := *m
	c.Past, c.Data = slices.Clone(m.Past), slices.Clone(m.Data)
	c.Buttons, c.Keyboard = rows(m.Buttons), rows(m.Keyboard)
	return c
}

func rows[T any](in [][]T) [][]T {
	var out [][]T
	for _, r := range in {
		out = append(out, slices.Clone(r))
	}
	return out
}

// room is a chat: private with one person (the ids are equal), or a group.
type room struct {
	id       int64
	kind     string // private, group, supergroup
	title    string
	members  map[int64]bool
	open     bool // the person has written, or the bot is a member
	blocked  bool
	left     bool
	admin    bool // the bot sees every message
	movedTo  int64
	keyboard *Message
	nextID   int64 // a supergroup's own message ids
	messages []*Message
}

func (r *room) find(id int64) *Message {
	for i := len(r.messages) - 1; i >= 0; i-- {
		if r.messages[i].ID == id {
			return r.messages[i]
		}
	}
	return nil
}

// add gives a message its id and its place; the lock is held.
func (s *Server) add(r *room, m *Message) *Message {
	if r.kind == "supergroup" {
		r.nextID++
		m.ID = r.nextID
	} else {
		m.ID = s.nextPlain
		s.nextPlain++
	}
	m.Chat, m.At = r.id, s.opt.Now()
	r.messages = append(r.messages, m)
	if m.Keyboard != nil {
		r.keyboard = m
	} else if m.Removes {
		r.keyboard = nil
	}
	return m
}

func (s *Server) chatJSON(r *room) map[string]any {
	c := map[string]any{"id": r.id, "type": r.kind}
	if r.kind == "private" {
		c["first_name"] = s.people[r.id].Name
	} else {
		c["title"] = r.title
	}
	return c
}

func (s *Server) userJSON(id int64) map[string]any {
	if id == s.id {
		return s.me()
	}
	u := s.people[id]
	j := map[string]any{"id": u.ID, "is_bot": u.Bot, "first_name": u.Name}
	if u.Language != "" {
		j["language_code"] = u.Language
	}
	return j
}

// messageJSON is the message as the platform writes it.
func (s *Server) messageJSON(r *room, m *Message) map[string]any {
	j := map[string]any{"message_id": m.ID, "from": s.userJSON(m.From), "chat": s.chatJSON(r), "date": m.At.Unix()}
	if !m.Edited.IsZero() {
		j["edit_date"] = m.Edited.Unix()
	}
	if m.sender != 0 {
		j["sender_chat"] = s.chatJSON(r)
	}
	if q := r.find(m.ReplyTo); m.ReplyTo != 0 && q != nil {
		j["reply_to_message"] = map[string]any{"message_id": q.ID, "from": s.userJSON(q.From), "chat": s.chatJSON(r),
			"date": q.At.Unix()}
	}
	if m.forwarded {
		j["forward_origin"] = map[string]any{"type": "hidden_user", "sender_user_name": "Somebody", "date": m.At.Unix()}
	}
	switch {
	case m.migrateTo != 0:
		j["migrate_to_chat_id"] = m.migrateTo
	case m.moved != 0:
		j["migrate_from_chat_id"] = m.moved
	case m.joined:
		j["new_chat_members"] = []any{s.me()}
	case m.Kind == "text":
		j["text"] = m.Text
	default:
		j[m.Kind] = mediaJSON(m)
		if m.Text != "" {
			j["caption"] = m.Text
		}
	}
	if len(m.Buttons) > 0 {
		j["reply_markup"] = map[string]any{"inline_keyboard": buttonsJSON(m.Buttons)}
	}
	return j
}

func mediaJSON(m *Message) any {
	f := map[string]any{"file_id": m.FileID, "file_unique_id": "u" + m.FileID, "file_size": len(m.Data)}
	switch m.Kind {
	case "photo":
		f["width"], f["height"] = 1, 1
		return []any{f}
	case "voice", "audio":
		f["duration"] = 1
	case "video":
		f["width"], f["height"], f["duration"] = 1, 1, 1
	case "sticker":
		f["width"], f["height"], f["type"], f["is_animated"], f["is_video"] = 1, 1, "regular", false, false
	case "document":
		f["file_name"] = m.Filename
	case "location":
		return map[string]any{"latitude": 0, "longitude": 0}
	case "contact":
		return map[string]any{"phone_number": "0", "first_name": "Somebody"}
	case "dice":
		return map[string]any{"emoji": "🎲", "value": 1}
	case "poll":
		return map[string]any{"id": "1", "question": "?", "options": []any{}}
	}
	return f
}

func buttonsJSON(b [][]Button) [][]map[string]string {
	out := make([][]map[string]string, len(b))
	for i, row := range b {
		for _, k := range row {
			out[i] = append(out[i], map[string]string{"text": k.Label, "callback_data": k.Data})
		}
	}
	return out
}
