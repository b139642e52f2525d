package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"duskdawn/bot/standin"

	"golang.org/x/sys/unix"
)

// pager is a webhook that stands in for whoever is told outside.
type pager struct {
	mu     sync.Mutex
	status int
	got    []string
	*httptest.Server
}

func newPager(t *testing.T) *pager {
	p := &pager{status: http.StatusNoContent}
	p.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		raw, _ := io.ReadAll(r.Body)
		p.mu.Lock()
		defer p.mu.Unlock()
		p.got = append(p.got, r.Header.Get("Authorization")+" "+string(raw))
		w.WriteHeader(p.status)
	}))
	t.Cleanup(p.Close)
	return p
}

func (p *pager) answers(status int) { p.mu.Lock(); p.status = status; p.mu.Unlock() }

// told gives what it was told since the last time, and holds that it is a kind, a
// number, a time and no more.
func (p *pager) told(t *testing.T) (out []string) {
	t.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, line := range p.got {
		head, text, _ := strings.Cut(line, "{")
		var all map[string]any
		if err := json.Unmarshal([]byte("{"+text), &all); err != nil || len(all) != 3 || head != "Bearer hush " || all["time"] == nil {
			t.Errorf("%q: %v", line, err)
		}
		out = append(out, fmt.Sprint(all["kind"], " ", all["number"]))
	}
	p.got = nil
	return out
}

// file writes the file of the call.
func (p *pager) file(t *testing.T, dir string) string {
	t.Helper()
	name := filepath.Join(dir, "call")
	if err := os.WriteFile(name, []byte("webhook = \""+p.URL+"/page\"\nsecret = \"hush\"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	return "DUSKDAWN_CALL_FILE=" + name
}

// The program as a process of its own, and another that watches it: while all is
// well nobody is told; when it is gone the owner is told, again after a pause that
// grows, and the record says what came of each try.
func TestWatchTellsThatTheProgramIsGone(t *testing.T) {
	t.Parallel()
	platform := standin.New(standin.Options{})
	srv := httptest.NewServer(platform)
	defer srv.Close()
	defer platform.Close()
	defer func() { // the killed program's poll hangs until there is news, and the server's end waits for it
		platform.AddUser(standin.User{ID: 7, Name: "somebody"})
		_, _ = platform.Say(7, "news")
	}()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	address := l.Addr().String()
	l.Close()
	outside := newPager(t)
	h := newHost(t, "DUSKDAWN_TOKEN="+standin.Token, "DUSKDAWN_API="+srv.URL, "DUSKDAWN_LISTEN="+address)
	h.env = append(h.env, outside.file(t, h.dir))
	record := filepath.Join(h.dir, "record.json")
	look := func(code int) string {
		t.Helper()
		return h.runs(code, "watch", "-patience", "300ms", "-record", record)
	}
	program := h.serves(platform)
	look(0)
	if got := outside.told(t); len(got) > 0 {
		t.Fatalf("all is well, and it tells %q", got)
	}

	if err := program.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = program.Wait()
	outside.answers(http.StatusServiceUnavailable)
	if out := look(1); !strings.Contains(out, "503") || strings.Contains(out, outside.URL) {
		t.Errorf("a call that was not made: %s", out)
	}
	outside.answers(http.StatusOK)
	look(0)
	look(0) // told a moment ago
	if got := outside.told(t); !slices.Equal(got, []string{"gone 1", "gone 1"}) {
		t.Errorf("told %q", got)
	}
	ago := func(minutes int) {
		t.Helper()
		v, err := readVigil(record)
		if err != nil {
			t.Fatal(err)
		}
		v.Last = v.Last.Add(-time.Duration(minutes) * time.Minute)
		if err := v.write(record); err != nil {
			t.Fatal(err)
		}
	}
	for i, pause := range []int{15, 30, 60, 120, 240, 240} {
		ago(pause - 1)
		look(0)
		if got := outside.told(t); len(got) > 0 {
			t.Errorf("after %d minutes it tells %q", pause-1, got)
		}
		ago(1)
		look(0)
		if got := outside.told(t); !slices.Equal(got, []string{"gone " + strconv.Itoa(i+2)}) {
			t.Errorf("after %d minutes it tells %q", pause, got)
		}
	}
	v, err := readVigil(record)
	if err != nil || v.Told != 7 || len(v.Tries) != 8 || !strings.Contains(v.Tries[0].Came, "503") || v.Tries[7].Came != "made" || v.Since.IsZero() {
		t.Errorf("%+v, %v", v, err)
	}
	h.serves(platform)
	if out := look(0); !strings.Contains(out, "well again") {
		t.Errorf("well again: %s", out)
	}
	if v, err := readVigil(record); err != nil || v.Told != 0 || len(v.Tries) != 8 || len(outside.told(t)) > 0 {
		t.Errorf("%+v, %v", v, err)
	}
}

// What hangs, does not poll or has its token refused is told as such; what a
// practice only waits for, a release for one, is not the owner's to be woken by.
func TestWatchTellsWhatIsWrong(t *testing.T) {
	t.Parallel()
	var live, ready string
	health := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		said := map[string]string{"/livez": live, "/readyz": ready}[r.URL.Path]
		if said != "ok" {
			w.WriteHeader(http.StatusServiceUnavailable)
		}
		fmt.Fprintln(w, said)
	}))
	defer health.Close()
	outside := newPager(t)
	for _, x := range []struct{ live, ready, want string }{
		{"ok", "ok", ""}, {"ok", "restore: a restored copy waits for the owner's release", ""},
		{"ok", "store: full\npolling: the platform has not answered for 2m0s", "polling 1"}, {"ok", "token: the platform refuses it", "polling 1"},
		{"runner: should have moved 1m ago", "ok", "livez 1"},
	} {
		live, ready = x.live, x.ready
		h := newHost(t, "DUSKDAWN_LISTEN="+strings.TrimPrefix(health.URL, "http://"))
		h.env = append(h.env, outside.file(t, h.dir))
		h.run(0, "watch", "-patience", "20ms", "-record", filepath.Join(h.dir, "record.json"))
		if got := strings.Join(outside.told(t), ", "); got != x.want {
			t.Errorf("%q, %q: told %q", x.live, x.ready, got)
		}
	}
	// a record that cannot be read or kept tells somebody all the same, and says so
	h := newHost(t, "DUSKDAWN_LISTEN="+strings.TrimPrefix(health.URL, "http://"))
	h.env = append(h.env, outside.file(t, h.dir))
	pipe, device := filepath.Join(h.dir, "pipe"), filepath.Join(h.dir, "device")
	if err := errors.Join(unix.Mkfifo(pipe, 0o600), os.Symlink("/dev/zero", device)); err != nil { // by a link, so that it is never replaced
		t.Fatal(err)
	}
	for _, path := range []string{h.dir, filepath.Join(h.dir, "nowhere", "record.json"), pipe, device} {
		if _, errs := h.run(1, "watch", "-patience", "20ms", "-record", path); !strings.Contains(errs, "record") || len(outside.told(t)) != 1 {
			t.Errorf("%s: %s", path, errs)
		}
	}
	for _, path := range []string{pipe, device} {
		if info, err := os.Lstat(path); err != nil || info.Mode().IsRegular() {
			t.Errorf("%s was made a file, %v", path, err)
		}
	}
}

// Without a call nobody is told, and watch and check say so; check tries the call
// when it is asked to, and what is written there wrongly is named without its words.
func TestCheckOfTheOutsideCall(t *testing.T) {
	t.Parallel()
	h := newHost(t, "DUSKDAWN_LISTEN=127.0.0.1:1")
	if out, _ := h.run(1, "check"); !strings.Contains(out, "warn  outside call: none is set") {
		t.Errorf("check: %s", out)
	}
	if out, _ := h.run(1, "check", "-call"); !strings.Contains(out, "WRONG outside call") {
		t.Errorf("check -call: %s", out)
	}
	if _, errs := h.run(1, "watch", "-patience", "10ms", "-record", filepath.Join(h.dir, "r.json")); !strings.Contains(errs, "nobody was told") {
		t.Errorf("watch: %s", errs)
	}
	outside := newPager(t)
	h.env = append(h.env, outside.file(t, h.dir))
	if out, _ := h.run(1, "check"); !strings.Contains(out, "ok    outside call: a webhook") || strings.Contains(out, "warn") || len(outside.told(t)) > 0 {
		t.Errorf("check: %s", out)
	}
	if out, _ := h.run(1, "check", "-call"); !strings.Contains(out, "ok    outside call: a webhook, tried") || !slices.Equal(outside.told(t), []string{"test 0"}) {
		t.Errorf("check -call: %s", out)
	}
	outside.answers(http.StatusForbidden)
	if out, _ := h.run(1, "check", "-call"); !strings.Contains(out, "WRONG outside call: a webhook, tried: the webhook's server answered 403") {
		t.Errorf("check -call: %s", out)
	}
	if err := os.WriteFile(filepath.Join(h.dir, "call"), []byte("webhook = \"http://example.org/hidden\""), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, command := range []string{"check", "watch"} {
		if out, errs := h.run(1, command); !strings.Contains(out+errs, "https") || strings.Contains(out+errs, "hidden") {
			t.Errorf("%s: %s%s", command, out, errs)
		}
	}
	if _, errs := newHost(t).run(1, "watch"); !strings.Contains(errs, "DUSKDAWN_LISTEN") {
		t.Errorf("without an address: %s", errs)
	}
}
