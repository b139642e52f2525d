package standin

import (
	"strings"
	"testing"
)

// Each line breaks the description in one way, and is refused for it. The
// lengths are those of the Bot API's description, version 10.1
// (core.telegram.org/bots/api; no DOI).
func TestTheDescriptionIsKept(t *testing.T) {
	for _, c := range []struct{ method, name, value, why string }{
		{"sendMessage", "reply_markup", `{"inline_keyboard":[[{"text":"a","callback_data":"b","copy_text":{"text":""}}]]}`, "CopyTextButton.text has a length of 0"},
		{"sendMessage", "reply_markup", `{"inline_keyboard":[[{"text":"a","callback_data":""}]]}`, "callback_data has a length of 0"},
		{"sendMessage", "reply_markup", `{"inline_keyboard":[[{"callback_data":"b"}]]}`, "needs text"},
		{"sendMessage", "reply_markup", `{"inline_keyboard":[[{"text":"a","colour":"red"}]]}`, "has no colour"},
		{"sendMessage", "reply_markup", `{"inline_keyboard":[{"text":"a"}]}`, "is no list"},
		{"sendMessage", "reply_markup", `{"keyboard":[[{"text":"a"}]],"resize_keyboard":"yes"}`, "neither true nor false"},
		{"sendMessage", "chat_id", "abc", ""},
		{"sendMessage", "text", strings.Repeat("x", 4097), "has a length of 4097"},
		{"sendMessage", "words", "x", "has no words"},
		{"sendMessage", "reply_parameters", `{"allow_sending_without_reply":true}`, "needs message_id"},
		{"sendMessage", "link_preview_options", `{"is_disabled":1}`, "neither true nor false"},
		{"getUpdates", "limit", "101", "is 101, not 1 to 100"},
		{"getUpdates", "offset", "soon", "is no whole number"},
		{"setMyCommands", "commands", `[{"command":"a"}]`, "needs description"},
		{"setMyCommands", "scope", `{"type":"chat","chat_id":true}`, ""},
		{"answerCallbackQuery", "text", strings.Repeat("x", 201), "has a length of 201"},
	} {
		f := &form{values: map[string]string{"chat_id": "11", "text": "x", "commands": "[]", "callback_query_id": "1"}}
		for name := range f.values {
			if _, ok := description().methods[c.method].fields[name]; !ok {
				delete(f.values, name)
			}
		}
		if no := description().check(c.method, f); no != nil {
			t.Fatalf("%s is refused as it is: %s", c.method, no.text)
		}
		f.values[c.name] = c.value
		no := description().check(c.method, f)
		if c.name == "chat_id" { // a user name is a text
			if no != nil {
				t.Error(no.text)
			}
			continue
		}
		if no == nil || !strings.Contains(no.text, c.why) {
			t.Errorf("%s.%s %s: %+v, want %q", c.method, c.name, c.value, no, c.why)
		}
	}
	if description().version != "10.1" {
		t.Error("version", description().version)
	}
}

// The table of what this bot has a use for is a part of the description.
func TestTheTableIsPartOfTheDescription(t *testing.T) {
	for _, m := range New(Options{}).methods {
		of, ok := description().methods[m.name]
		if !ok {
			t.Errorf("no %s", m.name)
		}
		for p := range m.params {
			if _, ok := of.fields[p]; !ok {
				t.Errorf("%s has no %s", m.name, p)
			}
		}
		for name, f := range of.fields {
			if f.required && m.params[name] == "" {
				t.Errorf("%s needs %s", m.name, name)
			}
		}
	}
	for name := range description().methods {
		if _, ok := New(Options{}).methods[strings.ToLower(name)]; !ok {
			t.Errorf("the stand-in does not know %s", name)
		}
	}
}
