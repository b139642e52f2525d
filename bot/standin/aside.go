package standin

// Aside puts a message into a chat that goes to nobody: what is typed at the host's
// command line, and what it answers.
func (s *Server) Aside(chat int64, bot bool, text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, err := s.place(chat, chat)
	if err != nil {
		return
	}
	m := &Message{From: chat, Kind: "text", Text: text, Bot: bot}
	if bot {
		m.From = s.id
	}
	s.add(r, m)
}
