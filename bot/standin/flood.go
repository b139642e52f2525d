package standin

import "time"

// meter counts what the bot sends, and enforces the limits where asked. The
// exact numbers are unpublished; these are those of the platform's own advice:
// about 30 a second in all, one a second in a chat with short bursts, 20 a
// minute in a group.
type meter struct {
	all     []time.Time
	maxAll  int
	rooms   map[int64][]time.Time
	maxRoom map[int64]int
	refused int
}

const (
	perSecond = 30
	burst     = 3 // a short burst in one chat; the number is ours
	perMinute = 20
)

// flood lets a sending request pass or answers 429; the lock is held.
func (s *Server) flood(m method, chat int64) *refusal {
	if !m.sends() && !m.edits() {
		return nil
	}
	now := s.opt.Now()
	t := &s.rate
	if t.rooms == nil {
		t.rooms, t.maxRoom = map[int64][]time.Time{}, map[int64]int{}
	}
	t.all = recent(t.all, now, time.Second)
	span, most := burst*time.Second, burst
	if chat < 0 {
		span, most = time.Minute, perMinute
	}
	t.rooms[chat] = recent(t.rooms[chat], now, span)
	if s.opt.Flood {
		var until time.Time
		if len(t.all) >= perSecond {
			until = t.all[0].Add(time.Second)
		}
		// a private chat's edits are not counted against it
		if in := t.rooms[chat]; len(in) >= most && (chat < 0 || m.sends()) {
			until = in[0].Add(span)
		}
		if wait := until.Sub(now); wait > 0 {
			t.refused++
			return &refusal{code: 429, text: "Too Many Requests: retry after",
				retryAfter: int((wait + time.Second - 1) / time.Second)}
		}
	}
	t.all = append(t.all, now)
	t.maxAll = max(t.maxAll, len(t.all))
	if chat < 0 || m.sends() {
		t.rooms[chat] = append(t.rooms[chat], now)
		t.maxRoom[chat] = max(t.maxRoom[chat], len(recent(t.rooms[chat], now, time.Second)))
	}
	return nil
}

func recent(in []time.Time, now time.Time, span time.Duration) []time.Time {
	for len(in) > 0 && now.Sub(in[0]) >= span {
		in = in[1:]
	}
	return in
}

// MaxPerSecond is the most that was sent and edited in any one second.
func (s *Server) MaxPerSecond() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.rate.maxAll
}

// MaxPerSecondIn is the same for one chat.
func (s *Server) MaxPerSecondIn(chat int64) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.rate.maxRoom[chat]
}

// Flooded is how many requests were refused because a limit was passed.
func (s *Server) Flooded() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.rate.refused
}
