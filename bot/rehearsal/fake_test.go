package rehearsal_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"mime/multipart"
	"net/http"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"duskdawn/bot/rehearsal"
	"duskdawn/bot/standin"
)

// fake is a program small enough to see through: it repeats what is said, and
// asks one question at each of its times.
type fake struct {
	t        *testing.T
	platform *standin.Server
	offset   int64

	mu    sync.Mutex
	now   time.Time
	due   []time.Time
	stuck bool
	sets  []time.Time

	news   []rehearsal.Told
	noted  []rehearsal.Act
	opened *fake
	closed bool
}

const (
	ann   = 11
	bo    = 12
	start = "2026-03-08T18:00:00Z"
)

func newFake(t *testing.T) (*fake, *rehearsal.Room) {
	f := &fake{t: t}
	f.now, _ = time.Parse(time.RFC3339, start)
	f.platform = standin.New(standin.Options{Now: f.Now})
	f.platform.AddUser(standin.User{ID: ann, Name: "Ann"})
	f.platform.AddUser(standin.User{ID: bo, Name: "Bo"})
	for _, h := range []int{3, 15, 27} {
		f.due = append(f.due, f.now.Add(time.Duration(h)*time.Hour))
	}
	return f, rehearsal.New(f, f, rehearsal.Options{})
}

// fake is a house of one scene, in which nothing is known of anybody.
func (f *fake) Languages() []string { return []string{"en", "es"} }
func (f *fake) Words(lang string) map[string]string {
	return map[string]string{"page.title": "Rehearsal " + lang,
		"scene.quiet.name": "Quiet", "scene.quiet.story": "Nothing happens."}
}
func (f *fake) Scenes() []string { return []string{"quiet"} }
func (f *fake) Open(context.Context, string) (rehearsal.World, error) {
	other, _ := newFake(f.t)
	f.opened = other
	return other, nil
}

func (f *fake) Platform() *standin.Server                { return f.platform }
func (f *fake) Opens() int64                             { return 1 }
func (f *fake) Answer(context.Context) error             { return nil }
func (f *fake) Note(a rehearsal.Act)                     { f.noted = append(f.noted, a) }
func (f *fake) Talk() string                             { return "" }
func (f *fake) Save(func() ([]byte, error)) error        { return nil }
func (f *fake) Close()                                   { f.closed = true }
func (f *fake) Say(lang string, t rehearsal.Told) string { return lang + " " + t.What.(string) }
func (f *fake) Look(context.Context) (out []rehearsal.Told, _ error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	out, f.news = f.news, nil
	return out, nil
}
func (f *fake) Moment(_ rehearsal.Chat, what string) (time.Time, bool) {
	return f.Now().Add(7 * time.Hour), what == "morning"
}
func (f *fake) Course(_ context.Context, _ rehearsal.Chat, ask rehearsal.Ask) (rehearsal.Course, error) {
	return rehearsal.Course{SVG: `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"/>`, Charts: []string{},
		Nights: []rehearsal.NightRow{}, Limits: []rehearsal.Limit{}, Other: fmt.Sprint(ask.Try)}, nil
}
func (f *fake) Night(context.Context, rehearsal.Chat, string, string) (rehearsal.Night, error) {
	return rehearsal.Night{}, rehearsal.ErrNoNight
}

func (f *fake) Now() time.Time {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.now
}

func (f *fake) Next() (time.Time, bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if len(f.due) == 0 {
		return time.Time{}, false
	}
	return f.due[0], true
}

func (f *fake) Chats() []rehearsal.Chat {
	return []rehearsal.Chat{
		{ID: 1, Who: "Ilse Varn", Role: "patient", Patient: "V-07", Zone: "America/New_York", User: ann},
		{ID: 2, Who: "Dr Odo Marsh", Role: "clinician", User: bo},
	}
}

func (f *fake) Set(t time.Time) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.now = t
	f.sets = append(f.sets, t)
}

func (f *fake) Quiet(context.Context) error {
	var batch []struct {
		ID      int64 `json:"update_id"`
		Message *struct {
			ID   int64  `json:"message_id"`
			Text string `json:"text"`
			Chat struct {
				ID int64 `json:"id"`
			} `json:"chat"`
		} `json:"message"`
		Tap *struct {
			ID      string `json:"id"`
			Message struct {
				ID int64 `json:"message_id"`
			} `json:"message"`
			From struct {
				ID int64 `json:"id"`
			} `json:"from"`
		} `json:"callback_query"`
	}
	f.ask("getUpdates", map[string]any{"offset": f.offset}, &batch)
	for _, u := range batch {
		f.offset = u.ID + 1
		switch {
		case u.Message != nil && u.Message.Text == "picture":
			f.picture(u.Message.Chat.ID)
		case u.Message != nil:
			f.ask("sendMessage", map[string]any{"chat_id": u.Message.Chat.ID, "text": "You said: " + u.Message.Text,
				"reply_markup": map[string]any{
					"inline_keyboard": [][]any{{map[string]string{"text": "Undo", "callback_data": "undo"},
						map[string]string{"text": "Right", "callback_data": "right"}}},
				}}, nil)
		case u.Tap != nil:
			f.ask("answerCallbackQuery", map[string]any{"callback_query_id": u.Tap.ID, "text": "Undone"}, nil)
			f.ask("editMessageText", map[string]any{"chat_id": u.Tap.From.ID, "message_id": u.Tap.Message.ID, "text": "Undone."},
				nil)
		}
	}
	f.ask("getUpdates", map[string]any{"offset": f.offset}, &batch)
	f.prompt()
	return nil
}

func (f *fake) prompt() {
	f.mu.Lock()
	due := len(f.due) > 0 && !f.due[0].After(f.now) && !f.stuck
	if due {
		f.due = slices.Delete(f.due, 0, 1)
	}
	f.mu.Unlock()
	if due && f.platform.Messages(ann) != nil {
		f.ask("sendMessage", map[string]any{"chat_id": ann,
			"text": "Good evening. How much did your jaw hurt today, 0 to 10?", "reply_markup": map[string]any{
				"one_time_keyboard": true,
				"keyboard": [][]any{{key("Pain 0"), key("Pain 1"), key("Pain 2"), key("Pain 3")},
					{key("Another number"), key("Skip")}},
			}}, nil)
	}
}

func key(label string) any { return map[string]string{"text": label} }

func (f *fake) ask(method string, params, into any) {
	body, _ := json.Marshal(params)
	f.post(method, "application/json", bytes.NewReader(body), into)
}

func (f *fake) post(method, kind string, body *bytes.Reader, into any) {
	req, _ := http.NewRequest("POST", "http://x/bot"+standin.Token+"/"+method, body)
	req.Header.Set("Content-Type", kind)
	resp, err := f.platform.Transport().RoundTrip(req)
	if err != nil {
		f.t.Error(method, err)
		return
	}
	defer resp.Body.Close()
	var r struct {
		OK          bool            `json:"ok"`
		Description string          `json:"description"`
		Result      json.RawMessage `json:"result"`
	}
	if err := json.NewDecoder(resp.Body).Decode(&r); err != nil || !r.OK {
		f.t.Error(method, err, r.Description)
	} else if into != nil {
		_ = json.Unmarshal(r.Result, into)
	}
}

func (f *fake) picture(chat int64) {
	img := image.NewGray(image.Rect(0, 0, 320, 120))
	for x := range 320 {
		for y := range 120 {
			img.Set(x, y, color.Gray{Y: uint8(120 + (x+y)%120)})
		}
	}
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	_ = w.WriteField("chat_id", strconv.FormatInt(chat, 10))
	_ = w.WriteField("caption", "The last nights")
	p, _ := w.CreateFormFile("photo", "nights.png")
	_ = png.Encode(p, img)
	_ = w.Close()
	f.post("sendPhoto", w.FormDataContentType(), bytes.NewReader(b.Bytes()), nil)
	b.Reset()
	w = multipart.NewWriter(&b)
	_ = w.WriteField("chat_id", strconv.FormatInt(chat, 10))
	p, _ = w.CreateFormFile("document", "diary.csv")
	_, _ = p.Write([]byte("night,setting\n"))
	_ = w.Close()
	f.post("sendDocument", w.FormDataContentType(), bytes.NewReader(b.Bytes()), nil)
}
