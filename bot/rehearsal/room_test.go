package rehearsal_test

import (
	"bufio"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"

	"duskdawn/bot/rehearsal"
	"duskdawn/bot/standin"
)

// The page asks for nothing from elsewhere and runs nothing that stands in its
// text, and no other site may act here or read by a name of its own.
func TestStrict(t *testing.T) {
	_, h := newFake(t)
	for _, path := range []string{"/", "/page/room.js", "/page/room.css"} {
		w := do(t, h, "GET", path, "", nil)
		policy := w.Header().Get("Content-Security-Policy")
		if w.Code != 200 || !strings.Contains(policy, "default-src 'none'") || strings.Contains(policy, "unsafe") ||
			w.Header().Get("X-Content-Type-Options") != "nosniff" {
			t.Error(path, w.Code, w.Header())
		}
		outside := regexp.MustCompile(`(src|href)="(https?:)?//|style="|\son[a-z]+="`)
		if outside := outside.FindString(w.Body.String()); outside != "" {
			t.Errorf("%s has %q", path, outside)
		}
	}
	for host, code := range map[string]int{"localhost:8484": 200, "127.0.0.1": 200, "[::1]:8484": 200,
		"dusk.example.org":           403,
		"localhost.example.org:8484": 403, "10.0.0.7:8484": 403} {
		r := httptest.NewRequest("GET", "/rehearsal/state", nil)
		r.Host = host
		w := httptest.NewRecorder()
		if h.ServeHTTP(w, r); w.Code != code {
			t.Errorf("asked for as %s: %d, want %d", host, w.Code, code)
		}
	}
	f, _ := newFake(t)
	r := httptest.NewRequest("GET", "/rehearsal/state", nil)
	r.Host = "room.example.org"
	w := httptest.NewRecorder()
	if rehearsal.New(f, f, rehearsal.Options{Anyone: true}).ServeHTTP(w, r); w.Code != 200 {
		t.Error("opened to anyone:", w.Code)
	}
}

// The clock goes to what the chosen person waits for, and to what happens.
func TestTheClockWaitsForSomething(t *testing.T) {
	f, h := newFake(t)
	do(t, h, "POST", "/rehearsal/chats/1/say", `{"text":"hello"}`, &struct{}{})
	var s state
	do(t, h, "POST", "/rehearsal/clock", `{"to":"prompt","chat":1}`, &s)
	if s.Now != "2026-03-08T21:00:00Z" {
		t.Error("the next prompt is at", s.Now)
	}
	// Where staff are shown it is anybody's prompt: they themselves are asked nothing.
	_, other := newFake(t)
	do(t, other, "POST", "/rehearsal/chats/1/say", `{"text":"hello"}`, &struct{}{})
	do(t, other, "POST", "/rehearsal/clock", `{"to":"prompt","chat":2}`, &s)
	if s.Now != "2026-03-08T21:00:00Z" {
		t.Error("beside a clinician the next prompt is at", s.Now)
	}
	do(t, h, "POST", "/rehearsal/clock", `{"to":"morning","chat":1}`, &s)
	if s.Now != "2026-03-09T04:00:00Z" {
		t.Error("the next morning is at", s.Now)
	}
	if w := do(t, h, "POST", "/rehearsal/clock", `{"to":"evening","chat":1}`, nil); w.Code != 409 {
		t.Error("an evening that nobody has:", w.Code)
	}
	f.news = []rehearsal.Told{{At: f.Now(), Chat: 1, Kind: "step", What: "stands at 1"}}
	do(t, h, "POST", "/rehearsal/clock", `{"to":"event"}`, &s)
	if s.Now != "2026-03-09T04:00:00Z" {
		t.Error("something happened already, and the clock went on to", s.Now)
	}
	var strip []struct {
		N         int
		Who, Kind string
		Text      string
	}
	do(t, h, "GET", "/rehearsal/strip?lang=es", "", &strip)
	kinds := ""
	for _, l := range strip {
		kinds += l.Kind + " "
	}
	if kinds != "message message step " || strip[2].Text != "es stands at 1" || strip[1].Who != "Ilse Varn" ||
		!strings.HasPrefix(strip[1].Text, "Good evening") {
		t.Errorf("%+v", strip)
	}
	do(t, h, "GET", "/rehearsal/strip?after=2", "", &strip)
	if len(strip) != 1 || strip[0].N != 3 {
		t.Errorf("%+v", strip)
	}
}

// What is no text can be sent, and the newest few messages asked for.
func TestOtherKinds(t *testing.T) {
	f, h := newFake(t)
	do(t, h, "POST", "/rehearsal/chats/1/say", `{"text":"hello"}`, &struct{}{})
	for _, kind := range []string{"photo", "voice", "sticker", "location"} {
		do(t, h, "POST", "/rehearsal/chats/1/send", `{"kind":"`+kind+`"}`, &struct{}{})
		if got := f.platform.Newest(ann).Kind; got != kind && got != "text" {
			t.Errorf("%s arrives as %s", kind, got)
		}
	}
	if w := do(t, h, "POST", "/rehearsal/chats/1/send", `{"kind":"poll"}`, nil); w.Code != 400 {
		t.Error(w.Code, w.Body)
	}
	var talk []line
	do(t, h, "GET", "/rehearsal/chats/1/messages?last=3", "", &talk)
	all := f.platform.Messages(ann)
	if len(talk) != 3 || talk[2].ID != all[len(all)-1].ID {
		t.Errorf("%+v", talk)
	}
}

// A scene is another world, and the old one ends. What was done in it is kept
// as a link that plays it again.
func TestAScene(t *testing.T) {
	f, h := newFake(t)
	var s struct{ Scene, World string }
	do(t, h, "GET", "/rehearsal/state", "", &s)
	before := s.World
	do(t, h, "POST", "/rehearsal/scenes/quiet", `{}`, &s)
	if !f.closed || s.Scene != "quiet" || s.World == before {
		t.Errorf("%+v, the old one closed: %v", s, f.closed)
	}
	if w := do(t, h, "POST", "/rehearsal/scenes/loud", `{}`, nil); w.Code != 404 {
		t.Error(w.Code, w.Body)
	}
	do(t, h, "POST", "/rehearsal/chats/1/say", `{"text":"hello"}`, &struct{}{})
	do(t, h, "POST", "/rehearsal/chats/1/tap", `{"message":2,"data":"undo"}`, &struct{}{})
	do(t, h, "POST", "/rehearsal/clock", `{"by":"30h"}`, &struct{}{})
	played := f.opened
	var kept struct {
		Link string
		Acts int
	}
	do(t, h, "GET", "/rehearsal/kept", "", &kept)
	if kept.Acts != 3 || len(played.noted) != 3 || played.noted[1].Tap != "Undo" {
		t.Errorf("%+v %+v", kept, played.noted)
	}
	do(t, h, "POST", "/rehearsal/play", `{"link":"`+kept.Link+`"}`, &s)
	again := f.opened
	if again == played || !again.Now().Equal(played.Now()) {
		t.Errorf("played again it is %v, and was %v", again.Now(), played.Now())
	}
	was, is := played.platform.Messages(ann), again.platform.Messages(ann)
	if !slices.EqualFunc(was, is, func(a, b standin.Message) bool { return a.Text == b.Text && a.At.Equal(b.At) }) {
		t.Errorf("%+v\n%+v", was, is)
	}
	for _, link := range []string{"", "%%%", "AAAA", strings.Repeat("A", 999)} {
		if w := do(t, h, "POST", "/rehearsal/play", `{"link":"`+link+`"}`, nil); w.Code != 400 {
			t.Errorf("%.20q: %d %s", link, w.Code, w.Body)
		}
	}
}

// A page hears of what others do, without asking.
func TestEvents(t *testing.T) {
	_, h := newFake(t)
	srv := httptest.NewServer(h)
	t.Cleanup(func() { h.Close(); srv.Close() })
	r, err := http.Get(srv.URL + "/rehearsal/events")
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	lines := bufio.NewScanner(r.Body)
	next := func() string {
		for lines.Scan() {
			if lines.Text() != "" {
				return lines.Text()
			}
		}
		return "the end"
	}
	if got := next(); r.Header.Get("Content-Type") != "text/event-stream" || got != "data: 1" {
		t.Error(got, r.Header)
	}
	do(t, h, "POST", "/rehearsal/chats/1/say", `{"text":"hello"}`, &struct{}{})
	if got := next(); got != "data: 2" {
		t.Error(got)
	}
}

// A limit to try is a number of the query; words come in the language asked for,
// or the first there is.
func TestAsking(t *testing.T) {
	_, h := newFake(t)
	var c struct{ SVG, Other string }
	do(t, h, "GET", "/rehearsal/chats/1/course?lang=es&width=390&interval=5", "", &c)
	if !strings.HasPrefix(c.SVG, "<svg") || c.Other != "map[interval:5]" {
		t.Errorf("%+v", c)
	}
	if w := do(t, h, "GET", "/rehearsal/chats/1/course?interval=x", "", nil); w.Code != 400 {
		t.Error(w.Code)
	}
	if w := do(t, h, "GET", "/rehearsal/chats/1/nights/2026-03-08", "", nil); w.Code != 404 {
		t.Error(w.Code)
	}
	for lang, want := range map[string]string{"es": "es", "en": "en", "xx": "en", "": "en"} {
		var words struct {
			Lang      string
			Languages []string
			Words     map[string]string
		}
		w := do(t, h, "GET", "/rehearsal/words?lang="+lang, "", nil)
		if err := json.Unmarshal(w.Body.Bytes(), &words); err != nil || words.Lang != want || len(words.Languages) != 2 ||
			words.Words["page.title"] != "Rehearsal "+want {
			t.Errorf("%q: %v %+v", lang, err, words)
		}
	}
}
