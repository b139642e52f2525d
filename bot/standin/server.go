package standin

import (
	"context"
	"encoding/json"
	"net/http"
	"regexp"
	"strings"
	"sync"
	"time"
)

// Token is the token the stand-in answers to unless told another. It has the
// platform's shape and opens nothing.
const Token = "1000001:standin-token-for-rehearsal-only-0000"

// Options of a stand-in; the zero value is useful.
type Options struct {
	Token    string           // default: the constant Token
	Username string           // the bot's user name; default duskdawn_bot
	Now      func() time.Time // the platform's clock, of dates and expiries; default time.Now
	Flood    bool             // enforce the flood limits
	Brake    bool             // a repeated offset within half a second gets one update, as the platform does
	Webhook  http.RoundTripper
	OnAck    func(offset int64) // an offset arrived that confirms updates below it; called before the answer
	OnTaken  func(update int64) // the webhook took an update: it answered 2xx
}

// Server is one bot's platform.
type Server struct {
	opt     Options
	id      int64
	methods map[string]method

	mu      sync.Mutex
	changed chan struct{} // closed and replaced at every change
	people  map[int64]User
	chats   map[int64]*room
	files   map[string]file
	taps    map[string]*Tapped
	faults  []*Fault
	calls   map[string]int
	menus   map[string]json.RawMessage // commands and descriptions, by scope and language
	rate    meter

	queue      []*queued
	nextUpdate int64
	nextPlain  int64 // message ids of private chats and plain groups: one row for the whole account
	nextGroup  int64
	nextFile   int64
	nextTap    int64
	allowed    map[string]bool
	acked      int64 // the highest offset asked
	again      int   // how many updates were handed out more than once
	poll       *poll // the long poll that waits
	lastOffset int64
	lastPoll   time.Time
	hook       *hook
}

// New starts an empty platform.
func New(o Options) *Server {
	if o.Token == "" {
		o.Token = Token
	}
	if o.Username == "" {
		o.Username = "duskdawn_bot"
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Webhook == nil {
		o.Webhook = http.DefaultTransport
	}
	id, _ := number(strings.SplitN(o.Token, ":", 2)[0])
	s := &Server{
		opt: o, id: id, changed: make(chan struct{}),
		people: map[int64]User{}, chats: map[int64]*room{}, files: map[string]file{},
		taps: map[string]*Tapped{}, calls: map[string]int{}, menus: map[string]json.RawMessage{},
		nextUpdate: 500_001, nextPlain: 1, nextGroup: 1, lastOffset: -1,
	}
	s.methods = s.table()
	return s
}

// refusal is an error answer of the platform.
type refusal struct {
	code       int
	text       string
	retryAfter int
	migrateTo  int64
}

func bad(text string) *refusal       { return &refusal{code: 400, text: "Bad Request: " + text} }
func forbidden(text string) *refusal { return &refusal{code: 403, text: "Forbidden: " + text} }

var shape = regexp.MustCompile(`^[0-9]{5,20}:[A-Za-z0-9_-]{30,}$`)

// ServeHTTP answers /bot<token>/<method> and /file/bot<token>/<path>.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if rest, ok := strings.CutPrefix(r.URL.Path, "/file/bot"); ok {
		s.serveFile(w, rest)
		return
	}
	rest, ok := strings.CutPrefix(r.URL.Path, "/bot")
	token, name, ok2 := strings.Cut(rest, "/")
	if !ok || !ok2 || !shape.MatchString(token) {
		refuse(w, &refusal{code: 404, text: "Not Found"})
		return
	}
	if token != s.opt.Token {
		refuse(w, &refusal{code: 401, text: "Unauthorized"})
		return
	}
	m, ok := s.methods[strings.ToLower(name)]
	if !ok {
		refuse(w, &refusal{code: 404, text: "Not Found"})
		return
	}
	f, bad := readForm(w, r)
	if bad == nil {
		bad = m.check(f)
	}
	if bad != nil {
		refuse(w, bad)
		return
	}
	s.call(w, r, m, f)
}

// call runs a checked request through the faults asked for, then the method.
func (s *Server) call(w http.ResponseWriter, r *http.Request, m method, f *form) {
	s.mu.Lock()
	s.calls[m.name]++
	fault := s.takeFault(m.name, f.int("chat_id"))
	s.mu.Unlock()
	if fault != nil && fault.strike(w, r) {
		return
	}
	var result any
	var no *refusal
	if m.name == "getUpdates" {
		if no = description().check(m.name, f); no == nil {
			result, no = s.getUpdates(r.Context(), f)
		}
	} else {
		s.mu.Lock()
		if no = s.flood(m, f.int("chat_id")); no == nil {
			result, no = m.do(f)
		}
		if no == nil { // what it refuses anyway it refuses in the platform's own words
			no = description().check(m.name, f)
		}
		s.signal()
		s.mu.Unlock()
	}
	if fault != nil && fault.Kind == Lost {
		panic(http.ErrAbortHandler) // executed, and the answer never arrives
	}
	if r.Context().Err() != nil {
		panic(http.ErrAbortHandler)
	}
	if no != nil {
		refuse(w, no)
		return
	}
	answer(w, 200, map[string]any{"ok": true, "result": result})
}

func refuse(w http.ResponseWriter, no *refusal) {
	body := map[string]any{"ok": false, "error_code": no.code, "description": no.text}
	if p := map[string]any{}; no.retryAfter > 0 || no.migrateTo != 0 {
		if no.retryAfter > 0 {
			p["retry_after"] = no.retryAfter
		}
		if no.migrateTo != 0 {
			p["migrate_to_chat_id"] = no.migrateTo
		}
		body["parameters"] = p
	}
	answer(w, no.code, body)
}

func answer(w http.ResponseWriter, code int, body any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(code)
	_ = json.NewEncoder(w).Encode(body)
}

// signal wakes whoever waits for a change; the lock is held.
func (s *Server) signal() {
	close(s.changed)
	s.changed = make(chan struct{})
}

// Wait returns when cond holds. It is asked again after every change, without
// the lock, so it may use the server.
func (s *Server) Wait(ctx context.Context, cond func() bool) error {
	for {
		s.mu.Lock()
		changed := s.changed
		s.mu.Unlock()
		if cond() {
			return nil
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// Calls is how often a method arrived in good form.
func (s *Server) Calls(method string) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.calls[method]
}
