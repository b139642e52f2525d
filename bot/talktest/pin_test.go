package talktest

import (
	"bytes"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/sqlite"
)

// A PIN that was chosen, typed right, typed wrong and typed unasked is nowhere
// afterwards: not in the file, not in a journal, not in the log, not in the chat. What
// it is kept as is in no journal.
func TestPINIsNowhere(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	path := filepath.Join(t.TempDir(), "d.db")
	st, err := sqlite.Open(ctx, sqlite.Options{Path: path})
	if err != nil {
		t.Fatal(err)
	}
	var log bytes.Buffer
	s, err := stage.New(ctx, st, time.Date(2026, 3, 2, 10, 0, 0, 0, time.UTC), slog.New(slog.NewJSONHandler(&log, nil)))
	if err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile("../../testdata/setup/practice.toml")
	if err != nil {
		t.Fatal(err)
	}
	pr, _ := setup.Practice(raw, s.Words.Languages())
	if err := program.BringPractice(ctx, s.Runner, pr, raw); err != nil {
		t.Fatal(err)
	}
	code := flows.NewCode(flows.StaffHead, [16]byte{9, 8, 7})
	err = s.Runner.Handle(ctx, scheduler.PracticeRef(), "x", flows.StaffChange{Op: flows.StaffAdd,
		Staff: practice.Staff{ID: "sclinic01", Label: "Ondine", Role: practice.Clinician, Lang: "en"},
		Code:  practice.Code{Hash: s.Runner.StaffKey(code), Ends: s.Clock.Now().Add(15 * time.Minute).Unix()}})
	if err != nil {
		t.Fatal(err)
	}
	s.Platform.AddUser(standin.User{ID: 501, Name: "Ondine", Language: "en"})
	form := "label: %s\nadult: yes\nphone: +34 600 000 031\ntemplate: One screw\nmax-mm: 8\nstart: 50 %%\nreporter: partner\n" +
		"drives: no\nsleepiness: 4\nheadache: no\npauses: no\nceiling: 5.5 mm\nchecklist: all"
	const pin, wrong, stray = "640281", "640282", "906153"
	for _, text := range []string{"/start " + code, fmt.Sprintf(form, "Plover 1"), "yes", pin, pin, stray,
		fmt.Sprintf(form, "Plover 2"), "yes", wrong, pin} {
		if _, err := s.Platform.Say(501, text); err != nil {
			t.Fatal(err)
		}
		if err := s.Quiet(ctx); err != nil {
			t.Fatal(err)
		}
	}
	enrolled := 0
	for _, m := range s.Platform.Messages(501) {
		if m.Bot && strings.Contains(m.Text, "is enrolled") {
			enrolled++
		}
		for _, secret := range []string{pin, wrong, stray} {
			if strings.Contains(m.Text, secret) && !m.Deleted {
				t.Errorf("%s stands in the chat", secret)
			}
		}
	}
	if enrolled != 2 {
		t.Fatalf("%d enrolled", enrolled)
	}
	now, err := s.Practice(ctx)
	if err != nil {
		t.Fatal(err)
	}
	kept := now.Staff[0].PIN
	if !strings.HasPrefix(kept, "argon2id$") {
		t.Fatalf("kept as %q", kept)
	}
	lines := 0
	for _, ref := range []store.Ref{scheduler.PracticeRef(), scheduler.ChatRef(501)} {
		for r, err := range st.Journal(ctx, ref) {
			if err != nil {
				t.Fatal(err)
			}
			lines++
			if bytes.Contains(r.Body, []byte(kept)) || bytes.Contains(r.Body, []byte("argon2id")) {
				t.Errorf("the journal of %s has what the PIN is kept as", ref)
			}
		}
	}
	if lines < 5 {
		t.Errorf("only %d lines were looked at", lines)
	}
	s.Close()
	st.Close()
	for _, name := range []string{path, path + "-wal"} {
		file, err := os.ReadFile(name)
		if err != nil && name == path {
			t.Fatal(err)
		}
		for _, secret := range []string{pin, wrong, stray} {
			if bytes.Contains(file, []byte(secret)) {
				t.Errorf("%s stands in the store", secret)
			}
		}
	}
	for _, secret := range []string{pin, wrong, stray, kept} {
		if strings.Contains(log.String(), secret) {
			t.Errorf("%s stands in the log", secret)
		}
	}
}
