package standin

import (
	"errors"
	"strings"
)

// Post is what a person sends. The zero Kind is text.
type Post struct {
	Chat, From int64
	Kind       string // text, photo, voice, audio, video, sticker, document, location, contact, poll, dice
	Text       string // the caption where the kind is not text
	Data       []byte
	Filename   string
	ReplyTo    int64
	Forwarded  bool
	Anonymous  bool // a group's admin who writes as the group
}

// anonymous is the platform's fake author of anonymous admins.
const anonymous = 1087968824

// Say writes a text in a private chat and gives the message's id.
func (s *Server) Say(user int64, text string) (int64, error) {
	return s.Post(Post{Chat: user, From: user, Text: text})
}

// Post sends what a person may send, and gives the message's id.
func (s *Server) Post(p Post) (int64, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, err := s.place(p.Chat, p.From)
	if err != nil {
		return 0, err
	}
	m := &Message{From: p.From, Kind: p.Kind, Text: strings.TrimSpace(p.Text), Data: p.Data, Filename: p.Filename,
		ReplyTo: p.ReplyTo, forwarded: p.Forwarded}
	limit := maxCaption
	if p.Kind == "" || p.Kind == "text" {
		m.Kind, limit = "text", maxText
		if m.Text == "" {
			return 0, errors.New("standin: an app sends no empty text")
		}
	} else {
		m.FileID = s.keep(p.Kind, file{name: p.Filename, data: p.Data}).id
	}
	if units(m.Text) > limit {
		return 0, errors.New("standin: an app splits a text that long")
	}
	if p.Anonymous {
		if _, ok := s.people[anonymous]; !ok {
			s.people[anonymous] = User{ID: anonymous, Name: "Group", Bot: true}
		}
		m.From, m.sender = anonymous, r.id
	}
	s.add(r, m)
	if s.seen(r, m) {
		s.push("message", s.messageJSON(r, m), messageLife, r.id)
	}
	s.signal()
	return m.ID, nil
}

// Edit rewrites a person's own message.
func (s *Server) Edit(chat, user, message int64, text string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, err := s.place(chat, user)
	if err != nil {
		return err
	}
	m := r.find(message)
	if m == nil || m.From != user || m.Deleted {
		return errors.New("standin: no own message of that id")
	}
	m.Past = append(m.Past, m.Text)
	m.Text, m.Edited = text, s.opt.Now()
	if s.seen(r, m) {
		s.push("edited_message", s.messageJSON(r, m), messageLife, r.id)
	}
	s.signal()
	return nil
}
