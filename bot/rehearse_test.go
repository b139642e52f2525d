package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/rehearsal"
	"duskdawn/bot/stage"
	"duskdawn/bot/talktest"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/store/redis"
	"duskdawn/store/redistest"
)

// visitor plays on the rehearsal's JSON interface, as the page does.
type visitor struct {
	t    *testing.T
	url  string
	read map[int64]int64 // newest message read, by chat
	last map[int64][]visitMessage
}

type visitMessage struct {
	ID      int64
	From    string
	Text    string
	Buttons [][]struct{ Label, Data string }
	Photo   string
}

// visit opens the rehearsal with its invented people.
func visit(t *testing.T) (*visitor, *talktest.Scene) {
	t.Helper()
	s := talktest.Play(t)
	srv := httptest.NewServer(roomOf(t, s.Scene))
	t.Cleanup(func() { srv.Close(); s.Close() })
	v := &visitor{t: t, url: srv.URL, read: map[int64]int64{}, last: map[int64][]visitMessage{}}
	for _, c := range s.People {
		v.news(c.ID)
	}
	return v, s
}

// roomOf is the page on a scene that is open.
func roomOf(t *testing.T, s *stage.Scene) *rehearsal.Room {
	t.Helper()
	house, err := stage.NewHouse(nil)
	if err != nil {
		t.Fatal(err)
	}
	w, err := stage.NewWorld(t.Context(), s, stage.Heron)
	if err != nil {
		t.Fatal(err)
	}
	return rehearsal.New(house, w, rehearsal.Options{})
}

func (v *visitor) call(method, path string, body any, want int) []byte {
	v.t.Helper()
	raw, err := json.Marshal(body)
	if err != nil {
		v.t.Fatal(err)
	}
	req, err := http.NewRequestWithContext(v.t.Context(), method, v.url+path, bytes.NewReader(raw))
	if err != nil {
		v.t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/json")
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		v.t.Fatal(err)
	}
	defer res.Body.Close()
	var b bytes.Buffer
	if _, err := b.ReadFrom(res.Body); err != nil {
		v.t.Fatal(err)
	}
	if res.StatusCode != want {
		v.t.Fatalf("%s %s %s: %d %s", method, path, raw, res.StatusCode, b.String())
	}
	return b.Bytes()
}

// news returns what a chat has heard since it was last looked at.
func (v *visitor) news(chat int64) (told []visitMessage) {
	v.t.Helper()
	if err := json.Unmarshal(v.call("GET", fmt.Sprintf("/rehearsal/chats/%d/messages?after=%d", chat, v.read[chat]), nil,
		200), &told); err != nil {
		v.t.Fatal(err)
	}
	for _, m := range told {
		v.read[chat] = max(v.read[chat], m.ID)
	}
	v.last[chat] = told
	return told
}

func (v *visitor) say(chat int64, text string) string {
	v.t.Helper()
	v.call("POST", fmt.Sprintf("/rehearsal/chats/%d/say", chat), map[string]string{"text": text}, 200)
	return botSaid(v.news(chat))
}

// tap presses the newest inline button whose label contains a text.
func (v *visitor) tap(chat int64, label string) string {
	v.t.Helper()
	var all []visitMessage
	if err := json.Unmarshal(v.call("GET", fmt.Sprintf("/rehearsal/chats/%d/messages?after=0", chat), nil, 200),
		&all); err != nil {
		v.t.Fatal(err)
	}
	for i := len(all) - 1; i >= 0; i-- {
		for _, row := range all[i].Buttons {
			for _, b := range row {
				if b.Data != "" && strings.Contains(b.Label, label) {
					v.call("POST", fmt.Sprintf("/rehearsal/chats/%d/tap", chat), map[string]any{"message": all[i].ID, "data": b.Data},
						200)
					return botSaid(v.news(chat))
				}
			}
		}
	}
	v.t.Fatalf("no button %q in chat %d", label, chat)
	return ""
}

func botSaid(told []visitMessage) string {
	var b strings.Builder
	for _, m := range told {
		if m.From == "bot" {
			b.WriteString(m.Text + "\n")
		}
	}
	return b.String()
}

// TestAWeekOfRehearsal holds a week of conversation as a patient of each
// language, handles an escalation as staff and changes a plan as the clinician,
// through the interface that the page uses.
func TestAWeekOfRehearsal(t *testing.T) {
	t.Parallel()
	v, s := visit(t)
	var state struct {
		Now   time.Time
		Next  time.Time
		Chats []struct {
			ID   int64
			Role string
		}
	}
	if err := json.Unmarshal(v.call("GET", "/rehearsal/state", nil, 200), &state); err != nil {
		t.Fatal(err)
	}
	if len(state.Chats) < 5 || !state.Next.After(state.Now) {
		t.Fatalf("state %+v", state)
	}
	cast := stage.Personas()
	for i := range cast {
		cast[i].User = stage.UserPatient + int64(i)
		cast[i].Label = "x"
		if cast[i].Snore == nil {
			cast[i].Snore = func(int) int { return 8 }
		}
	}
	// Seven nights, over the day when the clocks go forward in New York (2026-03-08).
	if err := s.Live(t.Context(), cast, stage.Opens.AddDate(0, 0, 7)); err != nil {
		t.Fatal(err)
	}
	for _, who := range cast {
		p, err := s.ByChat(who.User)
		if err != nil {
			t.Fatal(err)
		}
		r, err := s.Record(t.Context(), p.ID)
		if err != nil {
			t.Fatal(err)
		}
		known := 0
		for _, n := range r.Nights[max(len(r.Nights)-7, 0):] {
			if n.Entry.V[chart.Worn].Known() && n.Entry.V[chart.SettingLeft].Known() {
				known++
			}
		}
		want := 7 // check-ins of the week
		if p.Course.State == chart.Holding {
			want = 1 // once it has settled, once a week will do
		}
		if known < want-1 {
			t.Errorf("%s: %d of the last 7 nights are whole", p.Label, known)
		}
		prompts := 0
		for _, m := range s.Platform.Messages(who.User) {
			if m.Bot && m.At.After(stage.Opens) &&
				strings.Contains(m.Text, s.Words.Line(who.Lang, message.Say("prompt.evening"))) {
				prompts++
			}
		}
		if prompts != want {
			t.Errorf("%s: %d evening prompts in 7 nights, want %d", p.Label, prompts, want)
		}
	}
	if p, _ := s.ByChat(stage.UserPatient + 1); p.Course.State != chart.Stepping || p.Course.Left < 4 {
		t.Errorf("the patient in the middle is %s at %d", p.Course.State, p.Course.Left)
	}
	if p, _ := s.ByChat(stage.UserPatient + 2); p.Course.State != chart.Holding {
		t.Errorf("the patient whose snoring settled is %s", p.Course.State)
	}

	v.call("POST", "/rehearsal/clock", map[string]string{"by": "10m"}, 200)

	// A red flag, as the patient; then staff.
	for _, c := range s.People {
		v.news(c.ID)
	}
	if got := v.say(stage.UserPatient, "My jaw is locked since this morning"); !strings.Contains(got, "dentist") {
		t.Errorf("a locked jaw is answered %q", got)
	}
	if got := botSaid(v.news(stage.UserAssistant)); !strings.Contains(got, "Wren-17") {
		t.Errorf("the assistant hears %q", got)
	}
	if got := v.tap(stage.UserAssistant, "I take it"); got == "" {
		t.Error("taking it is not answered")
	}
	p, err := s.ByChat(stage.UserPatient)
	if err != nil || p.Course.State != chart.Stopped || len(p.Escalations) == 0 || p.Escalations[0].AckBy == "" {
		t.Errorf("the patient is %s with %+v, %v", p.Course.State, p.Escalations, err)
	}

	// Bad input gets a clear answer and changes nothing.
	before := s.Hands.Now()
	for path, body := range map[string]any{
		"/rehearsal/clock":         map[string]string{"by": "yesterday"},
		"/rehearsal/chats/9/say":   map[string]string{"text": "x"},
		"/rehearsal/chats/201/tap": map[string]any{"message": 1, "data": "1|ack|1||"},
	} {
		if code := func() int {
			raw, _ := json.Marshal(body)
			res, err := http.Post(v.url+path, "application/json", bytes.NewReader(raw))
			if err != nil {
				t.Fatal(err)
			}
			res.Body.Close()
			return res.StatusCode
		}(); code < 400 || code > 499 {
			t.Errorf("%s %v: %d", path, body, code)
		}
	}
	if !s.Hands.Now().Equal(before) {
		t.Error("the clock moved")
	}
}

// The three weeks are lived on Redis too, by a clock that is moved and with the
// flood limit on.
func TestARehearsalOnRedis(t *testing.T) {
	t.Parallel()
	talktest.OnlyInSiege(t)
	st, err := redis.Open(t.Context(), redistest.Address(t))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = st.Close() })
	talktest.PlayOn(t, st).Close()
}
