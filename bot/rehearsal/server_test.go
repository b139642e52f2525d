package rehearsal_test

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

type state struct {
	Now   string  `json:"now"`
	Next  *string `json:"next"`
	Chats []struct {
		ID                 int64
		Who, Role, Patient string
	} `json:"chats"`
}

type line struct {
	ID              int64
	From, Text      string
	At              time.Time
	Buttons         [][]struct{ Label, Data string }
	Photo, Document string
}

func do(t *testing.T, h http.Handler, method, path, body string, into any) *httptest.ResponseRecorder {
	t.Helper()
	w := httptest.NewRecorder()
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	r.Host = "127.0.0.1:8484"
	h.ServeHTTP(w, r)
	if into != nil {
		if err := json.Unmarshal(w.Body.Bytes(), into); err != nil || w.Code != 200 {
			t.Fatalf("%s %s: %d %s", method, path, w.Code, w.Body)
		}
	}
	return w
}

func TestATalk(t *testing.T) {
	_, h := newFake(t)
	var s state
	do(t, h, "GET", "/rehearsal/state", "", &s)
	if s.Now != start || s.Next == nil || *s.Next != "2026-03-08T21:00:00Z" || len(s.Chats) != 2 ||
		s.Chats[0].Patient != "V-07" || s.Chats[1].Role != "clinician" {
		t.Errorf("%+v", s)
	}
	var empty []line
	do(t, h, "GET", "/rehearsal/chats/1/messages", "", &empty)
	if empty == nil || len(empty) != 0 {
		t.Error("an empty talk is an empty list")
	}
	do(t, h, "POST", "/rehearsal/chats/1/say", `{"text":"hello"}`, &struct{}{})
	var talk []line
	do(t, h, "GET", "/rehearsal/chats/1/messages?after=0", "", &talk)
	// a text takes its time
	if len(talk) != 2 || talk[0].From != "user" || talk[1].From != "bot" || talk[1].Text != "You said: hello" ||
		talk[1].At.Format(time.RFC3339) != "2026-03-08T18:00:03Z" {
		t.Fatalf("%+v", talk)
	}
	if b := talk[1].Buttons; len(b) != 1 || b[0][0].Label != "Undo" || b[0][0].Data != "undo" || talk[0].Buttons == nil {
		t.Errorf("%+v", b)
	}
	var notice struct{ Notice string }
	do(t, h, "POST", "/rehearsal/chats/1/tap", `{"message":2,"data":"undo"}`, &notice)
	do(t, h, "GET", "/rehearsal/chats/1/messages?after=1", "", &talk)
	if len(talk) != 1 || talk[0].Text != "Undone." || len(talk[0].Buttons) != 0 || notice.Notice != "Undone" {
		t.Errorf("%+v %+v", talk, notice)
	}
	do(t, h, "POST", "/rehearsal/clock", `{"to":"next"}`, &s)
	if s.Now != "2026-03-08T21:00:00Z" {
		t.Errorf("%+v", s)
	}
	do(t, h, "GET", "/rehearsal/chats/1/messages?after=2", "", &talk)
	if len(talk) != 1 || len(talk[0].Buttons) != 2 || talk[0].Buttons[0][3].Label != "Pain 3" ||
		talk[0].Buttons[0][3].Data != "" {
		t.Fatalf("%+v", talk)
	}
	do(t, h, "POST", "/rehearsal/chats/1/say", `{"text":"Pain 3"}`, &struct{}{})
	do(t, h, "POST", "/rehearsal/chats/1/say", `{"text":"picture"}`, &struct{}{})
	do(t, h, "GET", "/rehearsal/chats/1/messages?after=6", "", &talk)
	if len(talk) != 2 || talk[0].Photo == "" || talk[1].Document == "" {
		t.Fatalf("%+v", talk)
	}
	if w := do(t, h, "GET", talk[0].Photo, "", nil); w.Code != 200 || w.Header().Get("Content-Type") != "image/png" {
		t.Error(w.Code, w.Header())
	}
	if w := do(t, h, "GET", talk[1].Document, "", nil); w.Body.String() != "night,setting\n" ||
		!strings.Contains(w.Header().Get("Content-Disposition"), "diary.csv") {
		t.Error(w.Code, w.Header(), w.Body)
	}
}

func TestTheClockGoesFromOneThingToTheNext(t *testing.T) {
	f, h := newFake(t)
	var s state
	do(t, h, "POST", "/rehearsal/clock", `{"by":"16h"}`, &s)
	if s.Now != "2026-03-09T10:00:00Z" || len(f.sets) != 3 || f.sets[0].Hour() != 21 || f.sets[1].Hour() != 9 {
		t.Errorf("%+v %v", s, f.sets)
	}
	do(t, h, "POST", "/rehearsal/clock", `{"to":"2026-03-10T00:00:00+01:00"}`, &s)
	if s.Now != "2026-03-09T23:00:00Z" || s.Next != nil {
		t.Errorf("%+v", s)
	}
	if w := do(t, h, "POST", "/rehearsal/clock", `{"to":"next"}`, nil); w.Code != 409 {
		t.Error(w.Code, w.Body)
	}
	f, h = newFake(t)
	f.stuck = true
	if w := do(t, h, "POST", "/rehearsal/clock", `{"by":"16h"}`, nil); w.Code != 500 ||
		!strings.Contains(w.Body.String(), "does not run") {
		t.Error("a thing that never runs must be told, not passed over:", w.Code, w.Body)
	}
}

func TestBadInput(t *testing.T) {
	f, h := newFake(t)
	do(t, h, "POST", "/rehearsal/chats/1/say", `{"text":"hello"}`, &struct{}{})
	before := len(f.platform.Messages(ann))
	for _, c := range []struct {
		method, path, body string
		code               int
		say                string
	}{
		{"POST", "/rehearsal/clock", `{"by":"-1h"}`, 400, "never goes back"},
		{"POST", "/rehearsal/clock", `{"to":"2026-03-08T17:59:59Z"}`, 400, "never goes back"},
		{"POST", "/rehearsal/clock", `{"by":"soon"}`, 400, "a span"},
		{"POST", "/rehearsal/clock", `{"to":"tomorrow"}`, 400, "an instant"},
		{"POST", "/rehearsal/clock", `{"by":"1h","to":"next"}`, 400, "either"},
		{"POST", "/rehearsal/clock", `{}`, 400, "either"},
		{"POST", "/rehearsal/clock", `{"buy":"1h"}`, 400, "unknown field"},
		{"POST", "/rehearsal/clock", `{"by":"9000h"}`, 400, "a year"},
		{"POST", "/rehearsal/clock", `{"by":"1h"} {}`, 400, "more than one"},
		{"POST", "/rehearsal/clock", ``, 400, "JSON"},
		{"POST", "/rehearsal/chats/1/say", `{"text":"  "}`, 400, "empty"},
		{"POST", "/rehearsal/chats/1/say", `{"text":"` + strings.Repeat("x", 4097) + `"}`, 409, "splits"},
		{"POST", "/rehearsal/chats/9/say", `{"text":"x"}`, 404, "no chat 9"},
		{"POST", "/rehearsal/chats/x/say", `{"text":"x"}`, 404, "number"},
		{"POST", "/rehearsal/chats/1/tap", `{"message":2,"data":"forged"}`, 409, "no such button"},
		{"POST", "/rehearsal/chats/1/tap", `{"message":2,"data":""}`, 400, "saying its label"},
		{"POST", "/rehearsal/chats/2/tap", `{"message":2,"data":"undo"}`, 409, "no such button"},
		{"GET", "/rehearsal/chats/1/messages?after=-1", "", 400, "number"},
		{"GET", "/rehearsal/chats/1/files/1", "", 404, "no file"},
		{"GET", "/rehearsal/chats/1/say", "", 404, "no such address"},
		{"GET", "/elsewhere", "", 404, "no such address"},
	} {
		w := do(t, h, c.method, c.path, c.body, nil)
		var e struct{ Error string }
		if err := json.Unmarshal(w.Body.Bytes(), &e); err != nil || w.Code != c.code || !strings.Contains(e.Error, c.say) {
			t.Errorf("%s %.40s: %d %s", c.path, c.body, w.Code, w.Body)
		}
	}
	// two texts took their time
	if now := f.Now().Format(time.RFC3339); now != "2026-03-08T18:00:06Z" || len(f.platform.Messages(ann)) != before {
		t.Error("something changed:", now)
	}
	r := httptest.NewRequest("POST", "/rehearsal/clock", strings.NewReader(`{"by":"1h"}`))
	r.Host = "localhost"
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	w := httptest.NewRecorder()
	if h.ServeHTTP(w, r); w.Code != 403 {
		t.Error("another site moved the clock:", w.Code)
	}
}
