package rehearsal

import (
	"context"
	"fmt"
	"maps"
	"net/http"
	"time"
)

// farthest bounds one move: a year of check-ins is worked through in a request.
const farthest = 366 * 24 * time.Hour

// patience bounds a move that waits for something to happen.
const patience = 60 * 24 * time.Hour

type state struct {
	Now   time.Time   `json:"now"`
	Next  *time.Time  `json:"next"` // null when nothing waits
	Chats []chatState `json:"chats"`
	Opens int64       `json:"opens"` // the chat to show first
	Scene string      `json:"scene"`
	World string      `json:"world"` // another one after a scene was opened, or the program started anew
	Busy  bool        `json:"busy"`  // somebody's act is being worked off
}

type chatState struct {
	Chat
	Last  int64 `json:"last"`  // its newest message
	Heard int64 `json:"heard"` // how many messages the bot has sent to it since the world was opened
}

func (g *play) now(busy bool) state {
	out := state{Now: g.world.Now().UTC(), Chats: []chatState{}, Opens: g.world.Opens(), Scene: g.scene,
		World: g.id, Busy: busy}
	g.told.Lock()
	heard := maps.Clone(g.heard)
	g.told.Unlock()
	for _, c := range g.world.Chats() {
		out.Chats = append(out.Chats, chatState{c, g.world.Platform().Newest(c.room()).ID, heard[c.ID]})
	}
	if t, ok := g.world.Next(); ok {
		t = t.UTC()
		out.Next = &t
	}
	return out
}

func (s *server) state(w http.ResponseWriter, _ *http.Request, g *play) {
	reply(w, 200, g.now(s.working.Load() > 0))
}

// clock moves the time by a span, to an instant, to the next waiting thing, or
// to what the chosen person waits for.
func (s *server) clock(w http.ResponseWriter, r *http.Request, g *play) {
	var in struct {
		By     *string `json:"by"`
		To     *string `json:"to"`
		Chat   int64   `json:"chat"`   // whose prompt, morning or evening
		Answer bool    `json:"answer"` // the patients answer on the way, as on a quiet day
	}
	if !read(w, r, &in) {
		return
	}
	end, ok := s.acting(w, g)
	if !ok {
		return
	}
	defer end()
	c, _ := g.chat(in.Chat)
	target, until, code, err := g.target(in.By, in.To, c)
	if err != nil {
		fail(w, code, err.Error())
		return
	}
	if err := g.move(r.Context(), target, in.Answer, until); err != nil {
		fail(w, 500, "the clock stopped on its way, at "+g.world.Now().UTC().Format(time.RFC3339)+": "+err.Error())
		return
	}
	g.keep(Act{To: g.world.Now().UTC().Format(time.RFC3339), Live: in.Answer})
	if err := g.save(); err != nil {
		fail(w, 500, err.Error())
		return
	}
	reply(w, 200, g.now(false))
}

// target is how far a move goes, and what ends it before that; nil for nothing.
func (g *play) target(by, to *string, c Chat) (t time.Time, until func([]stripItem) bool, code int, err error) {
	now := g.world.Now()
	switch {
	case (by == nil) == (to == nil):
		return t, nil, 400, fmt.Errorf(`give either "by" or "to"`)
	case by != nil:
		d, err := time.ParseDuration(*by)
		if err != nil {
			return t, nil, 400, fmt.Errorf(`"by" is a span such as 90m or 12h, not %q`, *by)
		}
		t = now.Add(d)
	case *to == "next":
		next, ok := g.world.Next()
		if !ok {
			return t, nil, 409, fmt.Errorf("nothing waits")
		}
		if t = next; t.Before(now) {
			t = now
		}
	case *to == "prompt": // of the chosen patient; where staff are shown, of anybody
		return now.Add(patience), func(news []stripItem) bool {
			return anyOf(news, func(i stripItem) bool { return i.asks && (c.Role != "patient" || i.chat == c.ID) })
		}, 0, nil
	case *to == "event":
		return now.Add(patience), func(news []stripItem) bool {
			return anyOf(news, func(i stripItem) bool { return i.kind != "" })
		}, 0, nil
	case *to == "morning" || *to == "evening":
		var ok bool
		if t, ok = g.world.Moment(c, *to); !ok {
			return t, nil, 409, fmt.Errorf("nobody's %s is known here", *to)
		}
	default:
		if t, err = time.Parse(time.RFC3339, *to); err != nil {
			return t, nil, 400, fmt.Errorf(`"to" is next, prompt, morning, evening, event, `+
				`or an instant such as 2026-03-08T21:00:00Z, not %q`, *to)
		}
	}
	if t.Before(now) {
		return t, nil, 400, fmt.Errorf("the clock stands at %s and never goes back", now.UTC().Format(time.RFC3339))
	}
	if t.Sub(now) > farthest {
		return t, nil, 400, fmt.Errorf("one move is a year at most")
	}
	return t, nil, 0, nil
}

// move goes from one waiting thing to the next, each worked off before the
// clock goes on, so that nothing sees a time at which something else was late.
func (g *play) move(ctx context.Context, target time.Time, live bool, until func([]stripItem) bool) error {
	for {
		if err := g.rest(ctx); err != nil {
			return err
		}
		if live {
			if err := g.world.Answer(ctx); err != nil {
				return err
			}
		}
		news, err := g.look(ctx)
		if err != nil {
			return err
		}
		if until != nil && until(news) {
			return nil
		}
		if g.opened && time.Since(g.saved) > saveEvery {
			if err := g.save(); err != nil {
				return err
			}
		}
		next, ok := g.world.Next()
		now := g.world.Now()
		if !ok || next.After(target) {
			break
		}
		if !next.After(now) {
			return fmt.Errorf("something due at %s does not run", next.UTC().Format(time.RFC3339))
		}
		g.world.Set(next)
	}
	if until != nil && !target.After(g.world.Now()) {
		return nil
	}
	if target.After(g.world.Now()) {
		g.world.Set(target)
	}
	return g.rest(ctx)
}

// restLimit is how long one act may keep the program busy.
const restLimit = time.Minute

func (g *play) rest(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, restLimit)
	defer cancel()
	return g.world.Quiet(ctx)
}
