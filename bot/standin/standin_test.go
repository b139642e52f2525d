package standin_test

import (
	"bytes"
	"encoding/json"
	"image"
	"image/png"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"duskdawn/bot/standin"
)

// clock is a platform clock that a test moves.
type clock struct{ t time.Time }

func (c *clock) now() time.Time { return c.t }

type reply struct {
	OK          bool            `json:"ok"`
	Code        int             `json:"error_code"`
	Description string          `json:"description"`
	Result      json.RawMessage `json:"result"`
	Parameters  struct {
		RetryAfter int   `json:"retry_after"`
		MigrateTo  int64 `json:"migrate_to_chat_id"`
	} `json:"parameters"`
}

// ask sends a JSON request in process.
func ask(t *testing.T, s *standin.Server, method string, params map[string]any) reply {
	t.Helper()
	body, _ := json.Marshal(params)
	r, err := try(s, method, "application/json", body)
	if err != nil {
		t.Fatal(method, err)
	}
	return r
}

func try(s *standin.Server, method, kind string, body []byte) (reply, error) {
	req, _ := http.NewRequest("POST", "http://standin.invalid/bot"+standin.Token+"/"+method, bytes.NewReader(body))
	req.Header.Set("Content-Type", kind)
	resp, err := s.Transport().RoundTrip(req)
	if err != nil {
		return reply{}, err
	}
	defer resp.Body.Close()
	var r reply
	err = json.NewDecoder(resp.Body).Decode(&r)
	return r, err
}

type params = map[string]any

// stage has Ann, who has written, and Bo, who has not.
func stage(o standin.Options) *standin.Server {
	s := standin.New(o)
	s.AddUser(standin.User{ID: 11, Name: "Ann"})
	s.AddUser(standin.User{ID: 12, Name: "Bo"})
	_, _ = s.Say(11, "hello")
	return s
}

func picture(w, h int) []byte {
	var b bytes.Buffer
	_ = png.Encode(&b, image.NewGray(image.Rect(0, 0, w, h)))
	return b.Bytes()
}

func inline(label, data string) params {
	return params{"inline_keyboard": [][]params{{{"text": label, "callback_data": data}}}}
}

func TestRefusals(t *testing.T) {
	c := &clock{time.Date(2026, 11, 3, 20, 0, 0, 0, time.UTC)}
	s := stage(standin.Options{Now: c.now})
	g := s.AddGroup("Desk", 11)
	// 4
	ask(t, s, "sendMessage", params{"chat_id": 11, "text": "old"})
	// 5
	ask(t, s, "sendMessage", params{"chat_id": 11, "text": "keys",
		"reply_markup": params{"keyboard": [][]params{{{"text": "Pain 3"}}}}})
	ids := s.Messages(11)
	old, keyed := ids[1].ID, ids[2].ID
	long := strings.Repeat("ä", 4096)
	for _, q := range []struct {
		method string
		p      params
		code   int
		say    string // part of the description; empty when it must work
	}{
		{"copyMessage", params{"chat_id": 11, "from_chat_id": 11, "message_id": old}, 200, ""},
		{"copyMessage", params{"chat_id": g, "from_chat_id": 11, "message_id": old, "protect_content": true}, 200, ""},
		{"copyMessage", params{"chat_id": 11, "from_chat_id": 11, "message_id": 999}, 400, "message to copy not found"},
		{"copyMessage", params{"chat_id": 11, "from_chat_id": g, "message_id": old}, 400, "message to copy not found"},
		{"copyMessage", params{"chat_id": 11, "from_chat_id": 12, "message_id": old}, 400, "chat not found"},
		{"copyMessage", params{"chat_id": 12, "from_chat_id": 11, "message_id": old}, 403, "can't initiate"},
		{"copyMessage", params{"chat_id": 11, "message_id": old}, 400, "from_chat_id is required"},
		{"copyMessage", params{"chat_id": 11, "from_chat_id": 11, "message_id": old, "text": "x"}, 400, "unknown parameter"},
		{"copyMessage", params{"chat_id": 11, "from_chat_id": 11, "message_id": old, "caption": strings.Repeat("x", 1025)}, 400, "caption"},
		{"sendMessage", params{"chat_id": 11, "text": long}, 200, ""},
		{"sendMessage", params{"chat_id": 11, "text": long + "a"}, 400, "message is too long"},
		{"sendMessage", params{"chat_id": 11, "text": strings.Repeat("😀", 2049)}, 400, "message is too long"},
		{"sendMessage", params{"chat_id": 11, "text": " \n"}, 400, "message text is empty"},
		{"sendMessage", params{"chat_id": 11}, 400, "message text is empty"},
		{"sendMessage", params{"text": "x"}, 400, "chat_id is required"},
		{"sendMessage", params{"chat_id": "eleven", "text": "x"}, 400, "must be of kind int"},
		{"sendMessage", params{"chat_id": 11, "text": "x", "parse_mode": "HTML"}, 400, "unknown parameter"},
		{"sendMessage", params{"chat_id": 11, "text": "x", "protect_content": "yes"}, 400, "must be of kind bool"},
		{"sendMessage", params{"chat_id": 12, "text": "x"}, 403, "can't initiate"},
		{"sendMessage", params{"chat_id": 13, "text": "x"}, 400, "chat not found"},
		{"sendMessage", params{"chat_id": 11, "text": "x", "reply_markup": inline("ok", strings.Repeat("d", 64))}, 200, ""},
		{"sendMessage", params{"chat_id": 11, "text": "x", "reply_markup": inline("ok", strings.Repeat("d", 65))}, 400, "BUTTON_DATA_INVALID"},
		{"sendMessage", params{"chat_id": 11, "text": "x", "reply_markup": inline("ok", strings.Repeat("ä", 33))}, 400, "BUTTON_DATA_INVALID"},
		{"sendMessage", params{"chat_id": 11, "text": "x", "reply_markup": inline("ok", "")}, 400, "BUTTON_DATA_INVALID"},
		{"sendMessage", params{"chat_id": 11, "text": "x", "reply_markup": inline("", "d")}, 400, "non-empty"},
		{"sendMessage", params{"chat_id": 11, "text": "x", "reply_markup": params{"keyboard": [][]params{{{"text": ""}}}}}, 400, "non-empty"},
		{"sendMessage", params{"chat_id": 11, "text": "x", "reply_markup": params{"keyboard": [][]params{}}}, 400, "must have buttons"},
		{"sendMessage", params{"chat_id": 11, "text": "x", "reply_markup": params{"keybord": 1}}, 400, "can't parse"},
		{"sendMessage", params{"chat_id": 11, "text": "x", "reply_parameters": params{"message_id": 9999}}, 400, "replied not found"},
		{"sendPhoto", params{"chat_id": 11, "photo": "no-such-file"}, 400, "wrong file identifier"},
		{"sendDocument", params{"chat_id": 11}, 400, "document is required"},
		{"editMessageText", params{"chat_id": 11, "message_id": old, "text": "old"}, 400, "not modified"},
		{"editMessageText", params{"chat_id": 11, "message_id": old, "text": "new", "reply_markup": inline("a", "b")}, 200, ""},
		{"editMessageText", params{"chat_id": 11, "message_id": old, "text": "new", "reply_markup": inline("a", "b")}, 400, "not modified"},
		{"editMessageReplyMarkup", params{"chat_id": 11, "message_id": old}, 200, ""},
		{"editMessageReplyMarkup", params{"chat_id": 11, "message_id": old}, 400, "not modified"},
		{"editMessageText", params{"chat_id": 11, "message_id": old, "text": "x", "reply_markup": params{"remove_keyboard": true}}, 400, "inline keyboard expected"},
		{"editMessageText", params{"chat_id": 11, "message_id": 1, "text": "x"}, 400, "can't be edited"},
		{"editMessageText", params{"chat_id": 11, "message_id": keyed, "text": "x"}, 400, "can't be edited"},
		{"editMessageText", params{"chat_id": 11, "message_id": 9999, "text": "x"}, 400, "not found"},
		{"editMessageCaption", params{"chat_id": 11, "message_id": old, "caption": "x"}, 400, "no caption"},
		{"deleteMessage", params{"chat_id": 11, "message_id": 9999}, 400, "not found"},
		{"answerCallbackQuery", params{"callback_query_id": "none"}, 400, "query is too old"},
		{"sendChatAction", params{"chat_id": 11, "action": "typing"}, 200, ""},
		{"sendChatAction", params{"chat_id": 11, "action": "dancing"}, 400, "wrong parameter action"},
		{"leaveChat", params{"chat_id": 11}, 400, "private"},
		{"setMyCommands", params{"commands": []params{{"command": "today", "description": "x"}}, "language_code": "es"}, 200, ""},
		{"setMyCommands", params{"commands": []params{{"command": "To day", "description": "x"}}}, 400, "BOT_COMMAND_INVALID"},
		{"setMyCommands", params{"commands": []params{{"command": "today", "description": ""}}}, 400, "DESCRIPTION"},
		{"setMyCommands", params{"commands": []params{}, "scope": params{"type": "chat", "chat_id": 13}}, 400, "chat not found"},
		{"setMyDescription", params{"description": strings.Repeat("x", 513)}, 400, "too long"},
		{"setMyDescription", params{"description": "x", "language_code": "english"}, 400, "language_code"},
		{"getFile", params{"file_id": "none"}, 400, "wrong file_id"},
		{"getUpdates", params{"offset": -1}, 400, "negative"},
		{"getUpdates", params{"allowed_updates": []string{"everything"}}, 400, "unknown update kind"},
		{"setWebhook", params{"url": "http://example.com/"}, 400, "HTTPS"},
		{"setWebhook", params{"url": "https://example.com/", "secret_token": "a b"}, 400, "unallowed"},
		{"sendDance", params{}, 404, "Not Found"},
		{"getMe", params{}, 200, ""},
		{"GETME", params{}, 200, ""},
		{"leaveChat", params{"chat_id": g}, 200, ""},
		{"sendMessage", params{"chat_id": g, "text": "x"}, 403, "not a member"},
	} {
		r := ask(t, s, q.method, q.p)
		if r.OK != (q.say == "") || (!r.OK && r.Code != q.code) || !strings.Contains(r.Description, q.say) {
			t.Errorf("%s %.60v: %d %s", q.method, q.p, r.Code, r.Description)
		}
	}
	c.t = c.t.Add(49 * time.Hour)
	if r := ask(t, s, "deleteMessage", params{"chat_id": 11, "message_id": old}); r.OK {
		t.Error("a message older than 48 hours was deleted")
	}
}

func TestWrongAddresses(t *testing.T) {
	s := stage(standin.Options{})
	for path, want := range map[string]int{
		"/bot1000001:another-token-of-the-right-shape-000/getMe": 401,
		"/botnonsense/getMe": 404, "/getMe": 404, "/": 404,
		"/bot" + standin.Token + "/":       404,
		"/file/bot" + standin.Token + "/x": 404,
	} {
		req, _ := http.NewRequest("POST", "http://x"+path, nil)
		resp, err := s.Transport().RoundTrip(req)
		if err != nil || resp.StatusCode != want {
			t.Errorf("%s: %v %v", path, resp, err)
		}
	}
}

func TestThreeKindsOfBody(t *testing.T) {
	s := stage(standin.Options{})
	form := url.Values{"chat_id": {"11"}, "text": {"form"}}.Encode()
	var multi bytes.Buffer
	w := multipart.NewWriter(&multi)
	_ = w.WriteField("chat_id", "11")
	_ = w.WriteField("caption", "multipart")
	p, _ := w.CreateFormFile("photo", "chart.png")
	_, _ = p.Write(picture(20, 10))
	_ = w.Close()
	for _, q := range []struct{ method, kind, body string }{
		{"sendMessage", "application/json", `{"chat_id":"11","text":"json"}`},
		{"sendMessage", "application/x-www-form-urlencoded", form},
		{"sendPhoto", w.FormDataContentType(), multi.String()},
	} {
		if r, err := try(s, q.method, q.kind, []byte(q.body)); err != nil || !r.OK {
			t.Errorf("%s: %v %v", q.kind, r, err)
		}
	}
	m := s.Messages(11)
	if m[1].Text != "json" || m[2].Text != "form" || m[3].Text != "multipart" || m[3].Filename != "chart.png" {
		t.Errorf("%+v", m)
	}
	var file struct {
		Path string `json:"file_path"`
	}
	r := ask(t, s, "getFile", params{"file_id": m[3].FileID})
	_ = json.Unmarshal(r.Result, &file)
	req, _ := http.NewRequest("GET", "http://x/file/bot"+standin.Token+"/"+file.Path, nil)
	resp, err := s.Transport().RoundTrip(req)
	if err != nil {
		t.Fatal(err)
	}
	if data, _ := io.ReadAll(resp.Body); !bytes.Equal(data, picture(20, 10)) {
		t.Error("another file came back")
	}
	for _, size := range [][2]int{{21 * 5, 5}, {5, 21 * 5}, {9_000, 1_001}} {
		if r := photo(t, s, picture(size[0], size[1])); r.Description != "Bad Request: PHOTO_INVALID_DIMENSIONS" {
			t.Error(size, r.Description)
		}
	}
	if r, _ := try(s, "sendMessage", "application/json", []byte("{")); r.OK {
		t.Error("half a body taken")
	}
}

func photo(t *testing.T, s *standin.Server, data []byte) reply {
	t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	_ = w.WriteField("chat_id", "11")
	p, _ := w.CreateFormFile("photo", "x.png")
	_, _ = p.Write(data)
	_ = w.Close()
	r, err := try(s, "sendPhoto", w.FormDataContentType(), b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestFaults(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		send := params{"chat_id": 11, "text": "x"}
		body, _ := json.Marshal(send)
		for _, q := range []struct {
			kind     standin.Kind
			code     int
			executed bool
		}{
			{standin.TooMany, 429, false}, {standin.Forbidden, 403, false}, {standin.Conflict, 409, false}, {standin.Unauthorized, 401, false},
			{standin.ServerError, 500, false}, {standin.BadGateway, 0, false}, {standin.Dropped, 0, false}, {standin.Lost, 0, true}, {standin.Unreachable, 0, false},
		} {
			s := stage(standin.Options{})
			s.Inject(standin.Fault{Kind: q.kind, Chat: 11, RetryAfter: 5, Times: 2})
			for range 2 {
				r, err := try(s, "sendMessage", "application/json", body)
				if r.OK || r.Code != q.code || (q.code == 0) != (err != nil) ||
					(q.kind == standin.TooMany) != (r.Parameters.RetryAfter == 5) {
					t.Errorf("%d: %+v %v", q.kind, r, err)
				}
			}
			if got := len(s.Messages(11)) == 3; got != q.executed {
				t.Errorf("%d: executed %v", q.kind, got)
			}
			if r := ask(t, s, "sendMessage", send); !r.OK {
				t.Errorf("%d goes on: %+v", q.kind, r)
			}
			s.Inject(standin.Fault{Kind: q.kind, Method: "sendPhoto", Times: -1})
			if r := ask(t, s, "sendMessage", send); !r.OK {
				t.Errorf("%d hit another method: %+v", q.kind, r)
			}
			s.Mend()
		}
		s := stage(standin.Options{})
		until := make(chan struct{})
		s.Inject(standin.Fault{Kind: standin.Delay, Until: until})
		done := make(chan reply)
		go func() { done <- ask(t, s, "sendMessage", send) }()
		synctest.Wait()
		if len(s.Messages(11)) != 1 {
			t.Error("not delayed")
		}
		close(until)
		if r := <-done; !r.OK {
			t.Error(r)
		}
	})
}

func TestFloodLimits(t *testing.T) {
	c := &clock{time.Date(2026, 11, 3, 20, 0, 0, 0, time.UTC)}
	s := standin.New(standin.Options{Now: c.now, Flood: true})
	for u := int64(1); u <= 40; u++ {
		s.AddUser(standin.User{ID: u})
		_, _ = s.Say(u, "hello")
	}
	sent := 0
	for u := int64(1); u <= 40; u++ {
		r := ask(t, s, "sendMessage", params{"chat_id": u, "text": "x"})
		if r.OK {
			sent++
		} else if r.Code != 429 || r.Parameters.RetryAfter != 1 {
			t.Error(r)
		}
	}
	if sent != 30 || s.MaxPerSecond() != 30 {
		t.Error("in all:", sent, s.MaxPerSecond())
	}
	c.t = c.t.Add(time.Minute)
	sent = 0
	for range 10 {
		if ask(t, s, "sendMessage", params{"chat_id": 1, "text": "x"}).OK {
			sent++
		}
	}
	if sent != 3 || s.MaxPerSecondIn(1) != 3 {
		t.Error("one chat:", sent, s.MaxPerSecondIn(1))
	}
	g := s.AddGroup("Desk", 1)
	sent = 0
	for range 30 {
		c.t = c.t.Add(time.Second)
		r := ask(t, s, "sendMessage", params{"chat_id": g, "text": "x"})
		if r.OK {
			sent++
		} else if r.Parameters.RetryAfter < 20 {
			t.Error("a group's wait:", r.Parameters.RetryAfter)
		}
		if sent == 20 && !r.OK {
			break
		}
	}
	if sent != 20 {
		t.Error("a group:", sent)
	}
}

func TestPeople(t *testing.T) {
	s := stage(standin.Options{Brake: true})
	if _, err := s.Say(99, "x"); err == nil {
		t.Error("nobody spoke")
	}
	if _, err := s.Say(11, "  "); err == nil {
		t.Error("an empty text")
	}
	if _, err := s.Say(11, strings.Repeat("x", 4097)); err == nil {
		t.Error("a text of 4097")
	}
	if _, err := s.Press(11, 11, "Pain 3"); err == nil {
		t.Error("no keyboard yet")
	}
	ask(t, s, "sendMessage", params{"chat_id": 11, "text": "?",
		"reply_markup": params{"keyboard": [][]params{{{"text": "Pain 3"}}}}})
	if id, err := s.Press(11, 11, "Pain 3"); err != nil || s.Messages(11)[2].ID != id ||
		s.Messages(11)[2].Text != "Pain 3" {
		t.Error(err)
	}
	ask(t, s, "sendMessage", params{"chat_id": 11, "text": "!", "reply_markup": params{"remove_keyboard": true}})
	if _, err := s.Press(11, 11, "Pain 3"); err == nil {
		t.Error("a keyboard taken away")
	}
	g := s.AddGroup("Desk", 11)
	if _, err := s.Post(standin.Post{Chat: g, From: 12, Text: "/x"}); err == nil {
		t.Error("not a member")
	}
	before := s.LastUpdate()
	_, _ = s.Post(standin.Post{Chat: g, From: 11, Text: "among us"})
	if s.LastUpdate() != before {
		t.Error("privacy mode")
	}
	s.Admin(g)
	_, _ = s.Post(standin.Post{Chat: g, From: 11, Text: "to all"})
	if s.LastUpdate() == before {
		t.Error("an admin bot sees all")
	}
	_ = s.Block(11)
	if _, err := s.Say(11, "x"); err == nil {
		t.Error("a blocked bot hears nothing")
	}
	if r := ask(t, s, "sendMessage", params{"chat_id": 11, "text": "x"}); r.Code != 403 {
		t.Error(r)
	}
	first := updates(t, s, 0, nil)
	if got := updates(t, s, 0, nil); len(first) < 2 || len(got) != 1 {
		t.Error("a repeated offset within half a second gets one update:", len(first), len(got))
	}
}
