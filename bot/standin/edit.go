package standin

import (
	"slices"
	"strings"
)

// own finds a message of the bot that may be edited.
func (s *Server) own(f *form) (*room, *Message, *refusal) {
	r, no := s.reach(f.int("chat_id"))
	if no != nil {
		return nil, nil, no
	}
	m := r.find(f.int("message_id"))
	switch {
	case m == nil || m.Deleted:
		return nil, nil, bad("message to edit not found")
	case !m.Bot || m.Keyboard != nil || m.Removes:
		// the platform edits messages without a keyboard or with an inline one
		return nil, nil, bad("message can't be edited")
	}
	return r, m, nil
}

func (s *Server) editText(f *form) (any, *refusal) {
	text := strings.TrimSpace(f.str("text"))
	switch {
	case text == "":
		return nil, bad("message text is empty")
	case units(text) > maxText:
		return nil, bad("message is too long")
	}
	return s.edit(f, &text, "text")
}

func (s *Server) editCaption(f *form) (any, *refusal) {
	text := strings.TrimSpace(f.str("caption"))
	if units(text) > maxCaption {
		return nil, bad("message caption is too long")
	}
	return s.edit(f, &text, "caption")
}

func (s *Server) editMarkup(f *form) (any, *refusal) { return s.edit(f, nil, "") }

func (s *Server) edit(f *form, text *string, part string) (any, *refusal) {
	r, m, no := s.own(f)
	if no != nil {
		return nil, no
	}
	if part == "text" && m.Kind != "text" {
		return nil, bad("there is no text in the message to edit")
	}
	if part == "caption" && m.Kind == "text" {
		return nil, bad("there is no caption in the message to edit")
	}
	next := m.copy()
	if no := dress(&next, f.str("reply_markup"), true); no != nil {
		return nil, no
	}
	if text != nil {
		next.Text = *text
	}
	same := slices.EqualFunc(next.Buttons, m.Buttons, slices.Equal[[]Button])
	if next.Text == m.Text && same {
		return nil, bad("message is not modified: specified new message content and reply markup are exactly the same as a current content and reply markup of the message")
	}
	if next.Text != m.Text {
		m.Past = append(m.Past, m.Text)
	}
	m.Text, m.Buttons, m.Edited = next.Text, next.Buttons, s.opt.Now()
	return s.messageJSON(r, m), nil
}

// deleteMessage takes back a message younger than 48 hours.
func (s *Server) deleteMessage(f *form) (any, *refusal) {
	r, no := s.reach(f.int("chat_id"))
	if no != nil {
		return nil, no
	}
	m := r.find(f.int("message_id"))
	switch {
	case m == nil || m.Deleted:
		return nil, bad("message to delete not found")
	case s.opt.Now().Sub(m.At) >= 48*hour || (!m.Bot && r.kind != "private"):
		return nil, bad("message can't be deleted")
	}
	m.Deleted = true
	if r.keyboard == m {
		r.keyboard = nil
	}
	return true, nil
}
