package rehearsal

import (
	"context"
	"fmt"
	"net/http"
	"time"
)

// farthest bounds one move: a year of check-ins is worked through in a request.
const farthest = 366 * 24 * time.Hour

type state struct {
	Now   time.Time  `json:"now"`
	Next  *time.Time `json:"next"` // null when nothing waits
	Chats []Chat     `json:"chats"`
}

func (s *server) now() state {
	out := state{Now: s.course.Now().UTC(), Chats: s.course.Chats()}
	if t, ok := s.course.Next(); ok {
		t = t.UTC()
		out.Next = &t
	}
	if out.Chats == nil {
		out.Chats = []Chat{}
	}
	return out
}

func (s *server) state(w http.ResponseWriter, _ *http.Request) { reply(w, 200, s.now()) }

// clock moves the time by a span, to an instant, or to the next waiting thing.
func (s *server) clock(w http.ResponseWriter, r *http.Request) {
	var in struct {
		By *string `json:"by"`
		To *string `json:"to"`
	}
	if !read(w, r, &in) {
		return
	}
	s.act.Lock()
	defer s.act.Unlock()
	target, code, err := s.target(in.By, in.To)
	if err != nil {
		fail(w, code, err.Error())
		return
	}
	if err := s.move(r.Context(), target); err != nil {
		fail(w, 500, "the clock stopped on its way, at "+s.course.Now().UTC().Format(time.RFC3339)+": "+err.Error())
		return
	}
	reply(w, 200, s.now())
}

func (s *server) target(by, to *string) (t time.Time, code int, err error) {
	now := s.course.Now()
	switch {
	case (by == nil) == (to == nil):
		return t, 400, fmt.Errorf(`give either "by" or "to"`)
	case by != nil:
		d, err := time.ParseDuration(*by)
		if err != nil {
			return t, 400, fmt.Errorf(`"by" is a span such as 90m or 12h, not %q`, *by)
		}
		t = now.Add(d)
	case *to == "next":
		next, ok := s.course.Next()
		if !ok {
			return t, 409, fmt.Errorf("nothing waits")
		}
		if t = next; t.Before(now) {
			t = now
		}
	default:
		if t, err = time.Parse(time.RFC3339, *to); err != nil {
			return t, 400, fmt.Errorf(`"to" is next, or an instant such as 2026-03-08T21:00:00Z, not %q`, *to)
		}
	}
	if t.Before(now) {
		return t, 400, fmt.Errorf("the clock stands at %s and never goes back", now.UTC().Format(time.RFC3339))
	}
	if t.Sub(now) > farthest {
		return t, 400, fmt.Errorf("one move is a year at most")
	}
	return t, 0, nil
}

// move goes from one waiting thing to the next, each worked off before the
// clock goes on, so that nothing sees a time at which something else was late.
func (s *server) move(ctx context.Context, target time.Time) error {
	for {
		if err := s.rest(ctx); err != nil {
			return err
		}
		next, ok := s.course.Next()
		now := s.course.Now()
		if !ok || next.After(target) {
			break
		}
		if !next.After(now) {
			return fmt.Errorf("something due at %s does not run", next.UTC().Format(time.RFC3339))
		}
		s.course.Set(next)
	}
	if target.After(s.course.Now()) {
		s.course.Set(target)
	}
	return s.rest(ctx)
}
