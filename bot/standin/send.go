package standin

import (
	"encoding/json"
	"strings"
)

const (
	maxText    = 4096
	maxCaption = 1024
)

// reach finds a chat the bot may write to.
func (s *Server) reach(id int64) (*room, *refusal) {
	r := s.chats[id]
	switch {
	case r == nil && s.people[id].ID != 0:
		return nil, forbidden("bot can't initiate conversation with a user")
	case r == nil:
		return nil, bad("chat not found")
	case r.movedTo != 0:
		return nil, &refusal{code: 400, text: "Bad Request: group chat was upgraded to a supergroup chat",
			migrateTo: r.movedTo}
	case r.blocked:
		return nil, forbidden("bot was blocked by the user")
	case r.left:
		return nil, forbidden("bot is not a member of the " + r.kind + " chat")
	case !r.open:
		return nil, forbidden("bot can't initiate conversation with a user")
	}
	return r, nil
}

func (s *Server) sendMessage(f *form) (any, *refusal) {
	text := strings.TrimSpace(f.str("text"))
	switch {
	case text == "":
		return nil, bad("message text is empty")
	case units(text) > maxText:
		return nil, bad("message is too long")
	}
	return s.post(f, &Message{Kind: "text", Text: text})
}

// post checks what all messages share, and delivers.
func (s *Server) post(f *form, m *Message) (any, *refusal) {
	r, no := s.reach(f.int("chat_id"))
	if no != nil {
		return nil, no
	}
	if no := dress(m, f.str("reply_markup"), false); no != nil {
		return nil, no
	}
	if raw := f.str("reply_parameters"); raw != "" {
		var p struct {
			ID   int64 `json:"message_id"`
			Lone bool  `json:"allow_sending_without_reply"`
		}
		if json.Unmarshal([]byte(raw), &p) != nil || (r.find(p.ID) == nil && !p.Lone) {
			return nil, bad("message to be replied not found")
		}
		m.ReplyTo = p.ID
	}
	m.From, m.Bot = s.id, true
	m.Silent, m.Protected = f.bool("disable_notification"), f.bool("protect_content")
	return s.messageJSON(r, s.add(r, m)), nil
}

// sendMedia takes an upload, or the id of a file sent before.
func (s *Server) sendMedia(kind string, limit int) func(*form) (any, *refusal) {
	return func(f *form) (any, *refusal) {
		caption := strings.TrimSpace(f.str("caption"))
		if units(caption) > maxCaption {
			return nil, bad("message caption is too long")
		}
		up, ok := f.files[kind]
		switch {
		case !ok:
			if up = s.files[f.str(kind)]; up.kind != kind {
				return nil, bad("wrong file identifier/HTTP URL specified")
			}
		case len(up.data) == 0:
			return nil, bad("file must be non-empty")
		case len(up.data) > limit:
			return nil, &refusal{code: 413, text: "Request Entity Too Large"}
		}
		if kind == "photo" {
			if no := measure(up.data); no != nil {
				return nil, no
			}
		}
		if _, no := s.reach(f.int("chat_id")); no != nil {
			return nil, no
		}
		up = s.keep(kind, up)
		return s.post(f, &Message{Kind: kind, Text: caption, Data: up.data, FileID: up.id, Filename: up.name})
	}
}

// captioned are the kinds of messages that have a caption.
var captioned = map[string]bool{"photo": true, "video": true, "audio": true, "voice": true, "document": true, "animation": true}

// uncopied are those that cannot be copied.
var uncopied = map[string]bool{"service": true, "poll": true}

// copyMessage shows a message of one chat in another, with no word of where it is from: its caption, or a new one where
// that is given. It answers with the copy's id alone.
func (s *Server) copyMessage(f *form) (any, *refusal) {
	caption := strings.TrimSpace(f.str("caption"))
	if units(caption) > maxCaption {
		return nil, bad("message caption is too long")
	}
	var of *Message
	from := s.chats[f.int("from_chat_id")]
	if from != nil {
		of = from.find(f.int("message_id"))
	}
	switch {
	case from == nil || !from.open || from.left:
		return nil, bad("chat not found")
	case of == nil || of.Deleted:
		return nil, bad("message to copy not found")
	case uncopied[of.Kind]:
		return nil, bad("message can't be copied")
	case caption == "" || !captioned[of.Kind]:
		caption = of.Text
	}
	r, no := s.reach(f.int("chat_id"))
	if no != nil {
		return nil, no
	}
	m := s.add(r, &Message{From: s.id, Bot: true, Kind: of.Kind, Text: caption, Data: of.Data, FileID: of.FileID,
		Filename: of.Filename, Silent: f.bool("disable_notification"), Protected: f.bool("protect_content")})
	return map[string]any{"message_id": m.ID}, nil
}
