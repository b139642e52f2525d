package standin

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// User is a person, or another bot.
type User struct {
	ID       int64
	Name     string
	Language string // IETF tag; may be empty
	Bot      bool
}

var (
	errNoPerson = errors.New("standin: no such person")
	errNoChat   = errors.New("standin: no such chat, or the person is not in it")
)

// AddUser makes a person. The private chat, of the same id, opens with the
// person's first message: a bot cannot open one.
func (s *Server) AddUser(u User) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.people[u.ID] = u
}

// Open opens the private chats of people who pressed Start long ago, so that
// thousands need not say hello first.
func (s *Server) Open(users ...int64) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, user := range users {
		if _, err := s.place(user, user); err != nil {
			return err
		}
	}
	return nil
}

// AddGroup makes a group of these people, adds the bot, and gives its id.
func (s *Server) AddGroup(title string, members ...int64) int64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := &room{id: -(4_000_000 + s.nextGroup), kind: "group", title: title, open: true, members: map[int64]bool{}}
	s.nextGroup++
	for _, m := range members {
		r.members[m] = true
	}
	s.chats[r.id] = r
	by := s.id
	if len(members) > 0 {
		by = members[0]
	}
	s.member(r, by, "left", "member")
	m := s.add(r, &Message{From: by, Kind: "service", joined: true})
	s.push("message", s.messageJSON(r, m), messageLife, r.id)
	return r.id
}

// Admin lets the bot see every message of a group.
func (s *Server) Admin(group int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.chats[group].admin = true
}

// place finds the chat where a person may act, opening a private one.
func (s *Server) place(chat, user int64) (*room, error) {
	if _, ok := s.people[user]; !ok {
		return nil, errNoPerson
	}
	r := s.chats[chat]
	switch {
	case r == nil && chat == user:
		r = &room{id: chat, kind: "private"}
		s.chats[chat] = r
	case r == nil || r.movedTo != 0 || r.left || (r.kind != "private" && !r.members[user]) ||
		(r.kind == "private" && chat != user):
		return nil, errNoChat
	case r.blocked:
		return nil, errors.New("standin: the bot is blocked; unblock it first")
	}
	r.open = true
	return r, nil
}

// member tells the bot that its membership changed; the lock is held.
func (s *Server) member(r *room, by int64, was, is string) {
	state := func(status string) map[string]any {
		m := map[string]any{"user": s.me(), "status": status}
		if status == "kicked" {
			m["until_date"] = 0
		}
		return m
	}
	s.push("my_chat_member", map[string]any{
		"chat": s.chatJSON(r), "from": s.userJSON(by), "date": s.opt.Now().Unix(),
		"old_chat_member": state(was), "new_chat_member": state(is),
	}, messageLife, r.id)
}

// Block stops the bot in a private chat; Unblock lets it write again.
func (s *Server) Block(user int64) error   { return s.block(user, true) }
func (s *Server) Unblock(user int64) error { return s.block(user, false) }

func (s *Server) block(user int64, on bool) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.chats[user]
	if r == nil {
		return errNoChat
	}
	if r.blocked != on {
		r.blocked = on
		if on {
			s.member(r, user, "member", "kicked")
		} else {
			s.member(r, user, "kicked", "member")
		}
	}
	return nil
}

// Migrate turns a group into a supergroup, as the platform does by itself when
// a group's settings change, and gives the new id.
func (s *Server) Migrate(group int64) (int64, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	old := s.chats[group]
	if old == nil || old.kind != "group" || old.movedTo != 0 {
		return 0, errNoChat
	}
	r := &room{id: -(1_000_000_000_000 - group), kind: "supergroup", title: old.title, open: true, admin: old.admin,
		members: old.members}
	old.movedTo = r.id
	s.chats[r.id] = r
	by := s.id
	for u := range r.members {
		by = u
		break
	}
	m := s.add(old, &Message{From: by, Kind: "service", migrateTo: r.id})
	s.push("message", s.messageJSON(old, m), messageLife, old.id)
	m = s.add(r, &Message{From: by, Kind: "service", moved: old.id})
	s.push("message", s.messageJSON(r, m), messageLife, r.id)
	return r.id, nil
}

// Raw queues an update of any content, well formed or not for a reader.
func (s *Server) Raw(kind string, body json.RawMessage) (id int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.allowed = nil // whatever was asked, this one comes
	s.push(kind, body, messageLife, 0)
	return s.nextUpdate - 1
}

// Number gives the next update that number, as the platform may after a quiet week.
func (s *Server) Number(next int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.nextUpdate = next
}

// Messages is a chat's talk, oldest first, deleted ones marked.
func (s *Server) Messages(chat int64) []Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.chats[chat]
	if r == nil {
		return nil
	}
	out := make([]Message, len(r.messages))
	for i, m := range r.messages {
		out[i] = m.copy()
		out[i].Shown = m == r.keyboard
	}
	return out
}

// Since is a chat's talk after the message of a number, oldest first.
func (s *Server) Since(chat, after int64) []Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.chats[chat]
	if r == nil {
		return nil
	}
	from := len(r.messages)
	for from > 0 && r.messages[from-1].ID > after {
		from--
	}
	out := make([]Message, 0, len(r.messages)-from)
	for _, m := range r.messages[from:] {
		c := m.copy()
		c.Shown = m == r.keyboard
		out = append(out, c)
	}
	return out
}

// Newest is a chat's newest message; the zero Message where nothing was said.
func (s *Server) Newest(chat int64) Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.chats[chat]
	if r == nil || len(r.messages) == 0 {
		return Message{}
	}
	return r.messages[len(r.messages)-1].copy()
}

// Keyboard is the reply keyboard a person sees in a chat now.
func (s *Server) Keyboard(chat int64) [][]string {
	s.mu.Lock()
	defer s.mu.Unlock()
	if r := s.chats[chat]; r != nil && r.keyboard != nil {
		return rows(r.keyboard.Keyboard)
	}
	return nil
}

// Press presses a label of the reply keyboard. It arrives as a message; in a
// group as a reply to the question, which is why the bot sees it.
func (s *Server) Press(chat, user int64, label string) (int64, error) {
	s.mu.Lock()
	r := s.chats[chat]
	if r == nil || r.keyboard == nil || !slices.ContainsFunc(r.keyboard.Keyboard,
		func(row []string) bool { return slices.Contains(row, label) }) {
		s.mu.Unlock()
		return 0, fmt.Errorf("standin: no key %q on the keyboard", label)
	}
	p := Post{Chat: chat, From: user, Text: label}
	if r.kind != "private" {
		p.ReplyTo = r.keyboard.ID
	}
	s.mu.Unlock()
	return s.Post(p)
}

// seen reports whether a group's message reaches a bot in privacy mode.
func (s *Server) seen(r *room, m *Message) bool {
	if r.kind == "private" || r.admin {
		return true
	}
	if q := r.find(m.ReplyTo); m.ReplyTo != 0 && q != nil && q.Bot {
		return true
	}
	word, _, _ := strings.Cut(m.Text, " ")
	_, to, named := strings.Cut(word, "@")
	return strings.HasPrefix(word, "/") && (!named || to == s.opt.Username)
}
