//go:build unix

package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// What people name as a file and is none, a pipe that nobody writes to or a device
// without an end, is refused at once by whatever would read it, and so is what is
// far too long.
func TestWhatIsNoFileIsRefused(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	pipe, long, folder := filepath.Join(dir, "pipe.tsv"), filepath.Join(dir, "long"), filepath.Join(dir, "units")
	if err := unix.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := unix.Mkfifo(filepath.Join(folder, "duskdawn.service"), 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := os.Create(long)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Truncate(65 << 20); err != nil { // no block of it is written
		t.Fatal(err)
	}
	f.Close()
	const plan = "../testdata/setup/quiet.toml"
	commands := map[string]func(path string) []string{
		"read":         func(p string) []string { return []string{"read", "-file", p} },
		"replay diary": func(p string) []string { return []string{"replay", "-plan", plan, "-diary", p} },
		"replay plan": func(p string) []string {
			return []string{"replay", "-plan", p, "-diary", "../testdata/diary/paper.csv"}
		},
		"replay course": func(p string) []string { return []string{"replay", "-course", p} },
		"replay estimate": func(p string) []string {
			return []string{"replay", "-plan", plan, "-diary", "../testdata/diary/paper.csv", "-estimate", "-among", p}
		},
		"simulate": func(p string) []string { return []string{"simulate", "-patients", "1", "-nights", "1", "-plan", p} },
		"enrol":    func(p string) []string { return []string{"enrol", "-plan", p, "-clinician", "s1234abcd"} },
		"restore":  func(p string) []string { return []string{"restore", "-from", p} },
		"watch":    func(p string) []string { return []string{"watch", "-patience", "10ms", "-record", p} },
		"practice": func(p string) []string { return []string{"check"} },
		"token":    func(p string) []string { return []string{"check"} },
		"call":     func(p string) []string { return []string{"check"} },
		"store":    func(p string) []string { return []string{"check"} },
	}
	refused := func(what string, env, args []string) {
		h := newHost(t)
		for _, e := range env { // in the place of the host's own
			key, _, _ := strings.Cut(e, "=")
			h.env = append(slices.DeleteFunc(h.env, func(x string) bool { return strings.HasPrefix(x, key+"=") }), e)
		}
		done := make(chan string, 1)
		go func() {
			var out lockedBuffer
			code := run(t.Context(), app{out: &out, err: &out, in: strings.NewReader(""), env: h.env}, args)
			if code == 0 {
				out.Write([]byte("IT ENDED WELL"))
			}
			done <- out.String()
		}()
		select {
		case said := <-done:
			if strings.Contains(said, "IT ENDED WELL") || !slices.ContainsFunc([]string{"no regular file", "more than",
				"cannot be read", "it is not a file", "token too long"}, func(word string) bool { return strings.Contains(said, word) }) {
				t.Errorf("%s: it says %.400s", what, said)
			}
		case <-time.After(20 * time.Second):
			t.Errorf("%s: it waits", what)
		}
	}
	for name, args := range commands {
		for _, path := range []string{pipe, "/dev/zero", long} {
			var env []string
			switch name {
			case "practice":
				env = []string{"DUSKDAWN_PRACTICE=" + path}
			case "token":
				env = []string{"DUSKDAWN_TOKEN_FILE=" + path}
			case "call":
				env = []string{"DUSKDAWN_CALL_FILE=" + path}
			case "store":
				env = []string{"DUSKDAWN_STORE=sqlite:" + path}
			case "watch":
				env = []string{"DUSKDAWN_LISTEN=127.0.0.1:1"}
			}
			if path == long && (name == "restore" || name == "store") || name == "watch" && path != pipe { // no length of a store is too much; a record is written
				continue
			}
			refused(name+" of "+filepath.Base(path), env, args(path))
		}
	}
	refused("read of a folder with a pipe", nil, []string{"read", "-file", dir})
	refused("unit over a pipe", nil, []string{"unit", "-to", folder})
}
