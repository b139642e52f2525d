package rehearsal

import (
	"context"
	"crypto/rand"
	"embed"
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net"
	"net/http"
	"path"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"
	"time"
)

//go:embed page
var pages embed.FS

// play is one world, with what was done in it. Reading it needs nothing; acting
// in it goes one at a time.
type play struct {
	world World
	scene string
	id    string
	acts  []Act
	chats []Chat          // who can be played, as the world was opened
	seen  map[int64]int64 // the newest message of each chat that the strip has

	langs  []string
	opened bool // it is what the page shows: what happens is written down
	saved  time.Time

	told  sync.Mutex // guards what follows
	strip []stripItem
	count int
	heard map[int64]int64 // how many messages of the bot's each chat got here
}

func newPlay(w World, scene string, langs []string) *play {
	g := &play{world: w, scene: scene, id: rand.Text()[:12], chats: w.Chats(), seen: map[int64]int64{},
		heard: map[int64]int64{}, langs: langs}
	for _, c := range g.chats {
		g.seen[c.ID] = w.Platform().Newest(c.room()).ID
	}
	return g
}

// server answers the page and its interface. One act at a time: the clock and
// the people share one world.
type server struct {
	house   House
	act     sync.Mutex
	working atomic.Int32
	bell    bell
	closed  chan struct{}

	swap sync.Mutex // guards play, which is another one after a scene was opened
	play *play
}

// Options of the page.
type Options struct {
	Anyone bool // answer whatever host name the page is asked for by, not this machine's alone
}

// New serves the page at / and the interface under /rehearsal/, on a world that
// is open. Its Close closes the world that is open then.
func New(house House, w World, o Options) *Room {
	return serving(house, newPlay(w, "", house.Languages()), o)
}

// Resume is New on a world that was left, with what World.Save was given of it.
func Resume(house House, w World, room []byte, o Options) (*Room, error) {
	g, err := readPlay(w, house.Languages(), room)
	if err != nil {
		return nil, err
	}
	return serving(house, g, o), nil
}

func serving(house House, g *play, o Options) *Room {
	g.opened = true
	s := &server{house: house, play: g, closed: make(chan struct{})}
	s.bell.ring()
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", s.page)
	mux.HandleFunc("GET /page/{file}", s.page)
	mux.HandleFunc("GET /rehearsal/words", s.words)
	mux.HandleFunc("GET /rehearsal/events", s.events)
	for at, do := range map[string]func(http.ResponseWriter, *http.Request, *play){
		"GET /rehearsal/state":                      s.state,
		"GET /rehearsal/strip":                      s.stripLines,
		"GET /rehearsal/chats/{id}/messages":        s.messages,
		"GET /rehearsal/chats/{id}/files/{message}": s.file,
		"GET /rehearsal/chats/{id}/course":          s.course,
		"GET /rehearsal/chats/{id}/nights/{night}":  s.night,
		"POST /rehearsal/chats/{id}/say":            s.say,
		"POST /rehearsal/chats/{id}/send":           s.send,
		"POST /rehearsal/chats/{id}/tap":            s.tap,
		"POST /rehearsal/clock":                     s.clock,
		"GET /rehearsal/kept":                       s.kept,
	} {
		mux.HandleFunc(at, func(w http.ResponseWriter, r *http.Request) {
			do(w, r, s.current())
		})
	}
	mux.HandleFunc("GET /rehearsal/scenes", s.scenes)
	mux.HandleFunc("POST /rehearsal/scenes/{scene}", s.open)
	mux.HandleFunc("POST /rehearsal/play", s.again)
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		fail(w, 404, "no such address: "+r.Method+" "+r.URL.Path)
	})
	// Another site open in the same browser must not act here, nor read by a
	// name of its own that leads to this machine.
	inner := http.NewCrossOriginProtection().Handler(mux)
	return &Room{s: s, Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !o.Anyone && !ours(r.Host) {
			fail(w, 403, "this page is for this machine alone, not for "+strconv.Quote(r.Host))
			return
		}
		inner.ServeHTTP(w, r)
	})}
}

// Room is the page and its interface.
type Room struct {
	http.Handler
	s *server
}

// Close ends the pages that wait for news, and the world that is open, which is
// written down first.
func (r *Room) Close() error {
	close(r.s.closed)
	defer r.s.turn()()
	g := r.s.current()
	defer g.world.Close()
	return g.save()
}

// Has reports whether a world is the one that is open.
func (r *Room) Has(w World) bool { return r.s.current().world == w }

// ours reports whether a Host header names this machine.
func ours(host string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

func (s *server) current() *play {
	s.swap.Lock()
	defer s.swap.Unlock()
	return s.play
}

// acting waits for its turn in the world that is open; what it gives ends the
// turn and tells every page. Where another world was opened meanwhile it answers.
func (s *server) acting(w http.ResponseWriter, g *play) (end func(), ok bool) {
	s.working.Add(1)
	s.act.Lock()
	end = func() {
		s.act.Unlock()
		s.working.Add(-1)
		s.bell.ring()
	}
	if g != s.current() {
		fail(w, 409, "another scene was opened meanwhile")
		end()
		return func() {}, false
	}
	return end, true
}

var types = map[string]string{".html": "text/html", ".css": "text/css", ".js": "text/javascript"}

func (s *server) page(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("file")
	if name == "" {
		name = "index.html"
	}
	raw, err := pages.ReadFile("page/" + name)
	if err != nil {
		fail(w, 404, "no such address: "+r.Method+" "+r.URL.Path)
		return
	}
	h := w.Header()
	h.Set("Content-Type", types[path.Ext(name)]+"; charset=utf-8")
	h.Set("Cache-Control", "no-store")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "+
		"connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'")
	_, _ = w.Write(raw)
}

// lang is the language a request asks for, or the first there is.
func (s *server) lang(r *http.Request) string {
	all := s.house.Languages()
	if lang := r.URL.Query().Get("lang"); slices.Contains(all, lang) {
		return lang
	}
	return all[0]
}

func (s *server) words(w http.ResponseWriter, r *http.Request) {
	lang := s.lang(r)
	reply(w, 200, map[string]any{"lang": lang, "languages": s.house.Languages(), "words": s.house.Words(lang)})
}

// find reads the chat from the address, or answers.
func (g *play) find(w http.ResponseWriter, r *http.Request) (Chat, bool) {
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err != nil {
		fail(w, 404, "a chat's id is a number: "+strconv.Quote(r.PathValue("id")))
		return Chat{}, false
	}
	c, ok := g.chat(id)
	if !ok {
		fail(w, 404, "no chat "+strconv.FormatInt(id, 10))
	}
	return c, ok
}

// read decodes a small strict JSON body, or answers.
func read(w http.ResponseWriter, r *http.Request, into any) bool {
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, 256<<10))
	d.DisallowUnknownFields()
	err := d.Decode(into)
	if err == nil && d.Decode(&struct{}{}) != io.EOF {
		err = errors.New("more than one value")
	}
	if err != nil {
		fail(w, 400, "the body is not the JSON expected: "+err.Error())
		return false
	}
	return true
}

func reply(w http.ResponseWriter, code int, body any) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("X-Content-Type-Options", "nosniff")
	w.WriteHeader(code)
	_ = json.NewEncoder(w).Encode(body)
}

func fail(w http.ResponseWriter, code int, text string) {
	reply(w, code, map[string]string{"error": text})
}

// file gives a picture or document of a talk.
func (s *server) file(w http.ResponseWriter, r *http.Request, g *play) {
	c, ok := g.find(w, r)
	if !ok {
		return
	}
	id, _ := strconv.ParseInt(r.PathValue("message"), 10, 64)
	for _, m := range g.world.Platform().Since(c.room(), id-1) {
		if m.ID != id || m.Deleted || len(m.Data) == 0 {
			continue
		}
		h := w.Header()
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Content-Type", "application/octet-stream")
		if kind := http.DetectContentType(m.Data); m.Kind == "photo" && (kind == "image/png" || kind == "image/jpeg") {
			h.Set("Content-Type", kind)
		} else {
			h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": m.Filename}))
		}
		_, _ = w.Write(m.Data)
		return
	}
	fail(w, 404, "no file at message "+strconv.Quote(r.PathValue("message")))
}

// settle waits until all is quiet, and reports whether it is.
func settled(w http.ResponseWriter, ctx context.Context, g *play, err error) bool {
	var no refused
	switch {
	case errors.As(err, &no):
		fail(w, 409, no.Error())
	case err != nil:
		fail(w, 500, "the program did not come to rest: "+err.Error())
	default:
		if _, err := g.look(ctx); err != nil {
			fail(w, 500, err.Error())
			return false
		}
		if err := g.save(); err != nil {
			fail(w, 500, err.Error())
			return false
		}
		return true
	}
	return false
}
