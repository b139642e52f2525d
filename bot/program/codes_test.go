package program_test

import (
	"bytes"
	"strings"
	"testing"

	"duskdawn/bot/stage"
	"duskdawn/bot/talktest"
	"duskdawn/locales"
)

// A code by which a patient joins is shown to whoever gives it away, and stands in
// no journal: neither as it was made and used, nor in what was shown, nor beside the
// words of somebody who types it in the wrong chat.
func TestACodeStandsInNoJournal(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	var codes []string
	for _, m := range s.Platform.Messages(stage.UserClinician) {
		_, _, joins := locales.Mask(m.Text)
		codes = append(codes, joins...)
	}
	if len(codes) == 0 {
		t.Fatal("nobody was given a code")
	}
	code := codes[len(codes)-1]
	for _, text := range []string{code, "my wife's is " + code + " pain 8", "/start " + code} {
		if err := s.Say(t.Context(), stage.Heron, text); err != nil {
			t.Fatal(err)
		}
	}
	records := 0
	for ref, err := range s.Store.Refs(t.Context()) {
		if err != nil {
			t.Fatal(err)
		}
		for rec, err := range s.Store.Journal(t.Context(), ref) {
			if err != nil {
				t.Fatal(err)
			}
			records++
			for _, c := range codes {
				for _, form := range []string{c, c[:2] + " " + c[2:6] + " " + c[6:10] + " " + c[10:]} {
					if bytes.Contains(rec.Body, []byte(form)) || strings.Contains(rec.Event, form) {
						t.Errorf("%s of %s has the code %s", rec.What, ref, form)
					}
				}
			}
		}
	}
	if records < 20 {
		t.Errorf("%d records were looked at", records)
	}
}
