package standin_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"
	"time"

	"duskdawn/bot/standin"
)

// A platform that was written down goes on as it was: the same talk, the same
// keyboard, the same files, what was not confirmed still to come; and it gives no
// number twice.
func TestSaveAndLoad(t *testing.T) {
	now := time.Date(2026, 3, 2, 15, 0, 0, 0, time.UTC)
	o := standin.Options{Now: func() time.Time { return now }}
	s := stage(o)
	group := s.AddGroup("Tern Quay", 11, 12)
	s.Admin(group)
	if _, err := s.Post(standin.Post{Chat: group, From: 12, Kind: "photo", Data: []byte("a lip"),
		Text: "look"}); err != nil {
		t.Fatal(err)
	}
	ask(t, s, "sendMessage", params{"chat_id": 11, "text": "How much?", "reply_markup": params{
		"keyboard": [][]params{{{"text": "Pain 0"}, {"text": "Pain 1"}}}}})
	var button struct {
		ID int64 `json:"message_id"`
	}
	if err := json.Unmarshal(ask(t, s, "sendMessage", params{"chat_id": 11, "text": "Press", "reply_markup": params{
		"inline_keyboard": [][]params{{{"text": "Undo", "callback_data": "undo"}}}}}).Result, &button); err != nil {
		t.Fatal(err)
	}

	raw, err := s.Save()
	if err != nil {
		t.Fatal(err)
	}
	l, err := standin.Load(raw, o)
	if err != nil {
		t.Fatal(err)
	}
	for _, chat := range []int64{11, group} {
		if was, is := fmt.Sprintf("%+v", s.Messages(chat)), fmt.Sprintf("%+v", l.Messages(chat)); was != is {
			t.Errorf("chat %d was\n%s\nand is\n%s", chat, was, is)
		}
	}
	if keys := l.Keyboard(11); len(keys) != 1 || !slices.Equal(keys[0], []string{"Pain 0", "Pain 1"}) {
		t.Errorf("the keyboard is %v", keys)
	}
	if l.Pending() != s.Pending() || l.Pending() == 0 {
		t.Errorf("%d updates wait, %d waited", l.Pending(), s.Pending())
	}
	if _, err := l.Tap(11, 11, button.ID, "undo"); err != nil {
		t.Error("a button that was there:", err)
	}
	was, _ := s.Say(11, "after")
	is, err := l.Say(11, "after")
	if err != nil || is <= was || l.LastUpdate() <= s.LastUpdate() {
		t.Errorf("%v: message %d after %d, update %d after %d", err, is, was, l.LastUpdate(), s.LastUpdate())
	}
	if _, err := standin.Load(raw[:len(raw)/2], o); err == nil {
		t.Error("half of it is loaded")
	}
}
