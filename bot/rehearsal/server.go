package rehearsal

import (
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net/http"
	"strconv"
	"sync"
	"time"

	"duskdawn/bot/standin"
)

//go:embed page.html
var page []byte

// server answers the page and its interface. One act at a time: the clock and
// the people share one world.
type server struct {
	platform *standin.Server
	course   Course
	act      sync.Mutex
}

// New serves the page at / and the interface under /rehearsal/.
func New(platform *standin.Server, course Course) http.Handler {
	s := &server{platform: platform, course: course}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", s.page)
	mux.HandleFunc("GET /rehearsal/state", s.state)
	mux.HandleFunc("GET /rehearsal/chats/{id}/messages", s.messages)
	mux.HandleFunc("GET /rehearsal/chats/{id}/files/{message}", s.file)
	mux.HandleFunc("POST /rehearsal/chats/{id}/say", s.say)
	mux.HandleFunc("POST /rehearsal/chats/{id}/tap", s.tap)
	mux.HandleFunc("POST /rehearsal/clock", s.clock)
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		fail(w, 404, "no such address: "+r.Method+" "+r.URL.Path)
	})
	// Another site open in the same browser must not act here.
	return http.NewCrossOriginProtection().Handler(mux)
}

func (s *server) page(w http.ResponseWriter, _ *http.Request) {
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Security-Policy", "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src 'self' data:; connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'")
	_, _ = w.Write(page)
}

// find reads the chat from the address, or answers.
func (s *server) find(w http.ResponseWriter, r *http.Request) (Chat, bool) {
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err != nil {
		fail(w, 404, "a chat's id is a number: "+strconv.Quote(r.PathValue("id")))
		return Chat{}, false
	}
	for _, c := range s.course.Chats() {
		if c.ID == id {
			return c, true
		}
	}
	fail(w, 404, "no chat "+strconv.FormatInt(id, 10))
	return Chat{}, false
}

// read decodes a small strict JSON body, or answers.
func read(w http.ResponseWriter, r *http.Request, into any) bool {
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, 64<<10))
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

// settle waits until all is quiet, and answers.
func (s *server) settle(w http.ResponseWriter, r *http.Request, body any) {
	if !s.quiet(w, r.Context()) {
		return
	}
	reply(w, 200, body)
}

func (s *server) quiet(w http.ResponseWriter, ctx context.Context) bool {
	if err := s.rest(ctx); err != nil {
		fail(w, 500, "the program did not come to rest: "+err.Error())
		return false
	}
	return true
}

// restLimit is how long one act may keep the program busy.
const restLimit = time.Minute

func (s *server) rest(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, restLimit)
	defer cancel()
	return s.course.Quiet(ctx)
}

func reply(w http.ResponseWriter, code int, body any) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(code)
	_ = json.NewEncoder(w).Encode(body)
}

func fail(w http.ResponseWriter, code int, text string) {
	reply(w, code, map[string]string{"error": text})
}

// file gives a picture or document of a talk.
func (s *server) file(w http.ResponseWriter, r *http.Request) {
	c, ok := s.find(w, r)
	if !ok {
		return
	}
	id, _ := strconv.ParseInt(r.PathValue("message"), 10, 64)
	for _, m := range s.platform.Messages(c.room()) {
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
