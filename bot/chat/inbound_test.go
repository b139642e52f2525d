package chat

import (
	"strings"
	"testing"

	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/desk"
	"duskdawn/locales"
)

// hashing is a runner of which only the keyed hash is asked, and which knows no zones.
type hashing struct{ Runner }

func (hashing) StaffKey(code string) string { return "hash of " + code }
func (hashing) Zones(string) []string       { return nil }

// However a staff code comes into a chat, it is seen, and its signs go no further.
func TestACodeIsSeenInWhateverItComes(t *testing.T) {
	words, err := locales.Load()
	if err != nil {
		t.Fatal(err)
	}
	in := &Inbound{Words: words, Runner: hashing{}}
	const code = "S0ABCDEFGHJKMN"
	chats := map[string]desk.Chat{"a stranger's": {ID: 5}, "a patient's": {ID: 5, Patient: "07ABCDEFGHJKMNPQRS"},
		"staff's": {ID: 5, Staff: "s1"}, "a group": {ID: -9}}
	for name, c := range chats {
		for _, u := range []telegram.Update{{Kind: telegram.Text}, {Kind: telegram.Edited}, {Kind: telegram.Media, Media: "photo"},
			{Kind: telegram.Edited, Media: "photo"}, {Kind: telegram.Media, Media: "document", Forwarded: true}} {
			u.Chat, u.From, u.Private, u.Text = c.ID, 5, c.ID > 0, "look: "+code
			s, ok := in.Body(u, c).(flows.Said)
			if !ok || s.CodeHash != "hash of "+code || strings.Contains(s.Text, code) || s.Forwarded != u.Forwarded {
				t.Errorf("%v %q in %s chat: %+v", u.Kind, u.Media, name, s)
			}
			if edited := u.Kind == telegram.Edited; edited != s.Edited || edited && c.Patient != "" && s.Media != "" {
				t.Errorf("%v %q in %s chat: edited %v, media %q", u.Kind, u.Media, name, s.Edited, s.Media)
			}
		}
	}
}
