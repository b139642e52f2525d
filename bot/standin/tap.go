package standin

import (
	"errors"
	"slices"
	"strconv"
	"time"
)

// Tapped is one press of an inline button, and what the bot answered.
type Tapped struct {
	ID       string
	Chat     int64
	User     int64
	Message  int64
	Data     string
	At       time.Time
	Answered bool
	Text     string
	Alert    bool
}

var errNoButton = errors.New("standin: no such button on that message")

// Tap presses an inline button that is on the message now, and gives the tap's id.
func (s *Server) Tap(chat, user, message int64, data string) (string, error) {
	return s.tap(chat, user, message, data, false)
}

// ForceTap presses one that may not be there: a forged or a long removed one.
func (s *Server) ForceTap(chat, user, message int64, data string) (string, error) {
	return s.tap(chat, user, message, data, true)
}

// TapAgain delivers a tap once more under a new id, as an impatient client does.
func (s *Server) TapAgain(id string) (string, error) {
	s.mu.Lock()
	t, ok := s.taps[id]
	s.mu.Unlock()
	if !ok {
		return "", errNoButton
	}
	return s.tap(t.Chat, t.User, t.Message, t.Data, true)
}

func (s *Server) tap(chat, user, message int64, data string, force bool) (string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, err := s.place(chat, user)
	if err != nil {
		return "", err
	}
	m := r.find(message)
	has := m != nil && !m.Deleted && slices.ContainsFunc(m.Buttons, func(row []Button) bool {
		return slices.ContainsFunc(row, func(b Button) bool { return b.Data == data })
	})
	if !has && !force {
		return "", errNoButton
	}
	s.nextTap++
	t := &Tapped{ID: "tap" + strconv.FormatInt(s.nextTap, 10), Chat: r.id, User: user, Message: message, Data: data,
		At: s.opt.Now()}
	s.taps[t.ID] = t
	body := map[string]any{"id": t.ID, "from": s.userJSON(user), "data": data, "chat_instance": strconv.FormatInt(r.id,
		10)}
	if m == nil || m.Deleted { // the platform then tells the chat and the id alone
		body["message"] = map[string]any{"chat": s.chatJSON(r), "message_id": message, "date": 0}
	} else {
		body["message"] = s.messageJSON(r, m)
	}
	s.push("callback_query", body, tapLife, user+3<<33)
	return t.ID, nil
}

func (s *Server) answerTap(f *form) (any, *refusal) {
	t, ok := s.taps[f.str("callback_query_id")]
	if !ok || s.opt.Now().Sub(t.At) >= tapLife || t.Answered {
		return nil, bad("query is too old and response timeout expired or query ID is invalid")
	}
	if units(f.str("text")) > 200 {
		return nil, bad("MESSAGE_TOO_LONG")
	}
	t.Answered, t.Text, t.Alert = true, f.str("text"), f.bool("show_alert")
	return true, nil
}

// Tapped is what became of a tap.
func (s *Server) Tapped(id string) (Tapped, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	t, ok := s.taps[id]
	if !ok {
		return Tapped{}, false
	}
	return *t, true
}
