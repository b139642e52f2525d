package standin

import (
	"context"
	"encoding/json"
	"slices"
	"time"
)

const (
	hour        = time.Hour
	messageLife = 24 * time.Hour    // from the message's date
	tapLife     = 150 * time.Second // the platform's own source
	maxWait     = 50 * time.Second  // it cuts a longer timeout
)

// queued is an update that nobody has confirmed.
type queued struct {
	id      int64
	kind    string
	body    json.RawMessage
	expires time.Time
	given   int   // how often it was handed out
	row     int64 // the webhook's queue: a chat's texts in one, a person's taps in another
}

// poll is one waiting getUpdates.
type poll struct{ ended chan struct{} }

// push queues an update; the lock is held.
func (s *Server) push(kind string, body any, life time.Duration, row int64) {
	if s.allowed != nil && !s.allowed[kind] {
		return
	}
	raw, err := json.Marshal(body)
	if err != nil {
		panic(err) // only a test's own Raw could do that
	}
	s.queue = append(s.queue, &queued{id: s.nextUpdate, kind: kind, body: raw, expires: s.opt.Now().Add(life), row: row})
	s.nextUpdate++
	s.signal()
	s.pump(row)
}

func (q *queued) json() map[string]any { return map[string]any{"update_id": q.id, q.kind: q.body} }

// prune drops what the platform no longer keeps; the lock is held.
func (s *Server) prune() {
	now := s.opt.Now()
	s.queue = slices.DeleteFunc(s.queue, func(q *queued) bool { return !now.Before(q.expires) })
}

// Pending is how many updates nobody has confirmed.
func (s *Server) Pending() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.prune()
	return len(s.queue)
}

// Quiet tells that every update is confirmed.
func (s *Server) Quiet() bool { return s.Pending() == 0 }

// Acked is the highest offset asked for: every update below it is confirmed.
func (s *Server) Acked() int64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.acked
}

// LastUpdate is the id of the newest update.
func (s *Server) LastUpdate() int64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.nextUpdate - 1
}

func (s *Server) getUpdates(ctx context.Context, f *form) (any, *refusal) {
	s.mu.Lock()
	if s.hook != nil {
		s.mu.Unlock()
		return nil, &refusal{code: 409, text: "Conflict: can't use getUpdates method while webhook is active; use deleteWebhook to delete the webhook first"}
	}
	offset, limit := f.int("offset"), 100
	if offset < 0 {
		s.mu.Unlock()
		return nil, bad("a negative offset forgets updates; the stand-in refuses it")
	}
	if f.has("limit") {
		limit = min(max(int(f.int("limit")), 1), 100)
	}
	wait := min(max(time.Duration(f.int("timeout"))*time.Second, 0), maxWait)
	if no := s.allow(f.str("allowed_updates")); no != nil {
		s.mu.Unlock()
		return nil, no
	}
	if s.poll != nil { // the newer poll ends the older one
		close(s.poll.ended)
	}
	me := &poll{ended: make(chan struct{})}
	s.poll = me
	if offset > s.nextUpdate {
		offset = 0 // not an id it knows: from the head of the queue
	}
	confirmed := s.confirm(offset)
	if s.opt.Brake && offset == s.lastOffset && s.opt.Now().Sub(s.lastPoll) < 500*time.Millisecond {
		limit = 1
	}
	s.lastOffset, s.lastPoll = offset, s.opt.Now()
	s.mu.Unlock()
	if confirmed && s.opt.OnAck != nil {
		s.opt.OnAck(offset)
	}
	return s.await(ctx, me, offset, limit, wait)
}

// await answers at once if there is anything, else when there is.
func (s *Server) await(ctx context.Context, me *poll, offset int64, limit int, wait time.Duration) (any, *refusal) {
	timer := time.NewTimer(wait)
	defer timer.Stop()
	for late := wait == 0; ; {
		s.mu.Lock()
		s.prune()
		batch := []any{}
		for _, q := range s.queue {
			if q.id >= offset && len(batch) < limit {
				batch = append(batch, q.json())
				s.give(q)
			}
		}
		changed := s.changed
		if s.poll != me {
			s.mu.Unlock()
			return nil, &refusal{code: 409, text: "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running"}
		}
		if len(batch) > 0 || late || ctx.Err() != nil {
			s.poll = nil
			s.mu.Unlock()
			return batch, nil
		}
		s.mu.Unlock()
		select {
		case <-changed:
		case <-me.ended:
		case <-timer.C:
			late = true
		case <-ctx.Done():
		}
	}
}

// give counts an update that is handed out; the lock is held.
func (s *Server) give(q *queued) {
	if q.given++; q.given == 2 {
		s.again++
	}
}

// Redelivered is how many updates were handed out more than once.
func (s *Server) Redelivered() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.again
}

// Polling tells that a getUpdates waits, with nothing to give.
func (s *Server) Polling() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.poll != nil
}

// confirm forgets everything below the offset; the lock is held.
func (s *Server) confirm(offset int64) bool {
	before := len(s.queue)
	s.queue = slices.DeleteFunc(s.queue, func(q *queued) bool { return q.id < offset })
	s.acked = max(s.acked, offset)
	if len(s.queue) != before {
		s.signal()
	}
	return len(s.queue) != before
}

// allow remembers which kinds of update the bot wants; none given keeps the list.
func (s *Server) allow(raw string) *refusal {
	if raw == "" {
		return nil
	}
	var list []string
	if json.Unmarshal([]byte(raw), &list) != nil {
		return bad("can't parse allowed_updates")
	}
	s.allowed = map[string]bool{}
	for _, k := range list {
		switch k {
		case "message", "edited_message", "callback_query", "my_chat_member":
			s.allowed[k] = true
		default:
			return bad("unknown update kind " + k)
		}
	}
	if len(list) == 0 {
		s.allowed = nil
	}
	return nil
}
