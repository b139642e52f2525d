package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/stage"
)

// rehearsing runs the command on a store until it is ended, and is its visitor.
func rehearsing(t *testing.T, store string) (v *visitor, end func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	r, w := io.Pipe()
	done := make(chan error, 1)
	go func() {
		done <- rehearse(ctx, app{out: w, err: os.Stderr}, []string{"-listen", "127.0.0.1:0", "-store", store})
		w.Close()
	}()
	v = &visitor{t: t, read: map[int64]int64{}, last: map[int64][]visitMessage{}}
	for lines := bufio.NewScanner(r); v.url == "" && lines.Scan(); {
		if _, rest, ok := strings.Cut(lines.Text(), "Open "); ok {
			v.url, _, _ = strings.Cut(rest, " ")
		}
	}
	if v.url == "" {
		t.Fatal("the rehearsal does not open: ", <-done)
	}
	go func() { _, _ = io.Copy(io.Discard, r) }()
	return v, func() {
		cancel()
		if err := <-done; err != nil {
			t.Error(err)
		}
	}
}

// told is all that the page knows of one person, as text.
func (v *visitor) told(chat int64) string {
	v.t.Helper()
	var b strings.Builder
	for _, path := range []string{"state", "strip", "kept", fmt.Sprintf("chats/%d/messages", chat),
		fmt.Sprintf("chats/%d/course", chat)} {
		b.Write(v.call("GET", "/rehearsal/"+path, nil, 200))
	}
	return b.String()
}

// With a file the rehearsal goes on where it was left: the people, the clock, the
// talk, the course, the scene, and what a link plays again; and what is said after
// it is answered like anything else.
func TestARehearsalGoesOnAfterARestart(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "r.db")
	v, end := rehearsing(t, "sqlite:"+path)
	v.call("POST", "/rehearsal/clock", map[string]any{"by": "14h", "answer": true}, 200)
	v.say(stage.Heron, "my course")
	was := v.told(stage.Heron)
	end()

	v, end = rehearsing(t, "sqlite:"+path)
	if is := v.told(stage.Heron); is != was {
		t.Errorf("it was\n%.3000s\nand is\n%.3000s", was, is)
	}
	v.news(stage.Heron)
	if got := v.say(stage.Heron, "today"); !strings.Contains(got, "setting") {
		t.Errorf("after the restart it is answered %q", got)
	}
	var state struct{ Now time.Time }
	before := stateOf(t, v, &state)
	v.call("POST", "/rehearsal/clock", map[string]any{"to": "evening", "chat": stage.Heron}, 200)
	if got := botSaid(v.news(stage.Heron)); !strings.Contains(got, "Evening check-in.") {
		t.Errorf("the evening after the restart asks %q", got)
	}
	if stateOf(t, v, &state); !state.Now.After(before) {
		t.Error("the clock stands")
	}

	// A program that was killed in an act finds its store ahead of what it wrote
	// down: the clock does not go back, and no word is taken for one that was handled.
	older, err := os.ReadFile(path + ".room")
	if err != nil {
		t.Fatal(err)
	}
	v.call("POST", "/rehearsal/clock", map[string]any{"by": "40h", "answer": true}, 200)
	v.say(stage.Heron, "today")
	before = stateOf(t, v, &state)
	end()
	if err := os.WriteFile(path+".room", older, 0o600); err != nil {
		t.Fatal(err)
	}
	v, end = rehearsing(t, "sqlite:"+path)
	if now := stateOf(t, v, &state); now.Before(before.Add(-time.Minute)) {
		t.Errorf("the clock went from %s back to %s", before, now)
	}
	v.news(stage.Heron)
	for range 3 {
		if got := v.say(stage.Heron, "today"); !strings.Contains(got, "setting") {
			t.Errorf("after the kill it is answered %q", got)
		}
	}

	// A scene takes the place of what was open, and is what is gone on with.
	v.call("POST", "/rehearsal/scenes/soreness", map[string]any{}, 200)
	v.read = map[int64]int64{}
	v.say(stage.UserPatient, "call me")
	was = v.told(stage.UserPatient)
	end()
	if files, _ := filepath.Glob(path + "*"); len(files) == 0 || slices.ContainsFunc(files, func(f string) bool {
		return f == path || strings.HasPrefix(f, path+"-") || f == path+".lock"
	}) {
		t.Errorf("the store of the world that was left is still there: %v", files)
	}
	v, end = rehearsing(t, "sqlite:"+path)
	defer end()
	if is := v.told(stage.UserPatient); is != was || !strings.Contains(is, `"scene":"soreness"`) {
		t.Errorf("the scene was\n%.3000s\nand is\n%.3000s", was, is)
	}
}

func stateOf(t *testing.T, v *visitor, into *struct{ Now time.Time }) time.Time {
	t.Helper()
	if err := json.Unmarshal(v.call("GET", "/rehearsal/state", nil, 200), into); err != nil {
		t.Fatal(err)
	}
	return into.Now
}

// What is no rehearsal's is not written over, and what is damaged is said to be.
func TestARehearsalTakesNoOtherFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "r.db")
	for name, file := range map[string]string{path: "is there", path + ".room": "is not what a rehearsal left"} {
		if err := os.WriteFile(name, []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
		err := rehearse(t.Context(), app{out: io.Discard, err: io.Discard},
			[]string{"-listen", "127.0.0.1:0", "-store", "sqlite:" + path})
		if err == nil || !strings.Contains(err.Error(), file) {
			t.Errorf("%s: %v", name, err)
		}
		_ = os.Remove(name)
	}
}
