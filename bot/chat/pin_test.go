package chat

import (
	"encoding/hex"
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/desk"
	"duskdawn/flows/practice"

	"golang.org/x/crypto/argon2"
)

// The vector of the reference implementation of Argon2 (its test.c, version 19, from
// memory; the algorithm is RFC 9106, doi 10.17487/RFC9106): password "password", salt
// "somesalt", two passes over 64 MiB, one lane.
func TestArgon2Reference(t *testing.T) {
	got := hex.EncodeToString(argon2.IDKey([]byte("password"), []byte("somesalt"), 2, 1<<16, 1, 32))
	if got != "09316115d5cf24ed5a15a31a3ba326e5cf32edc24702987c02b6566f61913cf7" {
		t.Error(got)
	}
}

func TestKeptPIN(t *testing.T) {
	a, b := hashPIN("402917", newSalt()), hashPIN("402917", newSalt())
	if a == b || strings.Contains(a, "402917") {
		t.Errorf("%s %s", a, b)
	}
	if !samePIN("402917", a) || !samePIN("402917", b) || samePIN("402918", a) || samePIN("", a) {
		t.Error("a PIN is not told from another")
	}
	for _, bad := range []string{"", "402917", "argon2id$1$1$1$x$y", "argon2id$9999999999$2$1$YWFh$YWFhYWFhYWFhYWFhYWFhYQ",
		"scrypt$" + strings.TrimPrefix(a, "argon2id$"), "argon2id$8$0$1$YWFh$YWFhYWFhYWFhYWFhYWFhYQ"} {
		if samePIN("402917", bad) {
			t.Errorf("%q is the same", bad)
		}
	}
}

func TestEasyPINs(t *testing.T) {
	for pin, want := range map[string]bool{"000000": true, "123456": true, "890123": true, "654321": true, "210987": true,
		"121212": true, "123123": true, "402917": false, "112233": false, "135790": false} {
		if easy(pin) != want {
			t.Errorf("%s: %v", pin, !want)
		}
	}
}

// labelled is a form that asks for the label of a patient.
func labelled(label string) desk.Form {
	return desk.Form{Op: "plan", Stage: desk.Checking, Brief: &flows.Brief{Enrolment: chart.Enrolment{Label: label}}}
}

// What is typed as a PIN goes no further than the door, whatever it was.
func TestPINStaysOutside(t *testing.T) {
	kept := hashPIN("402917", newSalt())
	pr := practice.Practice{Staff: []practice.Staff{{ID: "s1", Role: practice.Clinician, Chat: 5, PIN: kept},
		{ID: "s2", Role: practice.Clinician, Chat: 6}, {ID: "s3", Role: practice.Assistant, Chat: 7}}}
	asks := desk.Form{Op: "plan", Stage: desk.Proving}
	for _, c := range []struct {
		name, text string
		chat       desk.Chat
		edited     bool
		want       flows.PIN
	}{
		{"right", "402917", desk.Chat{ID: 5, Form: asks}, false, flows.PINRight},
		{"right, in pairs", "40 29 17", desk.Chat{ID: 5, Form: asks}, false, flows.PINRight},
		{"wrong", "402916", desk.Chat{ID: 5, Form: asks}, false, flows.PINWrong},
		{"no digits", "my PIN is 402917", desk.Chat{ID: 5, Form: asks}, false, flows.PINWeak},
		{"new", "402917", desk.Chat{ID: 6, Form: asks}, false, flows.PINNew},
		{"new and easy", "111111", desk.Chat{ID: 6, Form: asks}, false, flows.PINWeak},
		{"typed again", "402917", desk.Chat{ID: 6, Form: desk.Form{Op: "plan", Stage: desk.Proving, Secret: kept}}, false, flows.PINRight},
		{"edited", "402917", desk.Chat{ID: 5, Form: asks}, true, flows.PINStray},
		{"nobody asks", "402917", desk.Chat{ID: 5}, false, flows.PINStray},
		{"a telephone of six digits", "402917", desk.Chat{ID: 5, Form: desk.Form{Op: "enrol", Stage: desk.Asking}}, false, flows.NoPIN},
		{"too early, where the label is asked", "402917", desk.Chat{ID: 5, Form: labelled("Heron 12")}, false, flows.PINStray},
		{"a label of six digits", "4029-17", desk.Chat{ID: 5, Form: labelled("40 29 17")}, false, flows.NoPIN},
		{"an assistant's number", "402917", desk.Chat{ID: 7}, false, flows.NoPIN},
		{"words", "Heron", desk.Chat{ID: 5}, false, flows.NoPIN},
	} {
		s := flows.Said{Text: c.text, Edited: c.edited}
		provePIN(&s, &c.chat, &pr)
		if s.PIN != c.want {
			t.Errorf("%s: %d, want %d", c.name, s.PIN, c.want)
		}
		if s.PIN != flows.NoPIN && (s.Text != "" || (s.Secret != "") != (s.PIN == flows.PINNew)) {
			t.Errorf("%s: %+v went in", c.name, s)
		}
		if k := flows.Kept(s).(flows.Said); k.Secret != "" {
			t.Errorf("%s: a journal keeps %q", c.name, k.Secret)
		}
	}
}
