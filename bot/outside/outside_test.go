package outside

import (
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// TestMain lets the test program stand in for the command that is run.
func TestMain(m *testing.M) {
	if len(os.Args) > 2 && os.Args[1] == "told" {
		if err := os.WriteFile(os.Args[2], []byte(strings.Join(append(os.Args[3:], os.Environ()...), "\n")), 0o600); err != nil {
			os.Exit(9)
		}
		os.Exit(map[string]int{"bad": 3}[os.Args[3]])
	}
	if len(os.Args) > 1 && os.Args[1] == "hang" {
		time.Sleep(time.Minute)
	}
	os.Exit(m.Run())
}

var news = News{Kind: "e", Number: 7, At: time.Date(2026, 11, 3, 2, 0, 0, 0, time.UTC)}

func parse(t *testing.T, text string) *Call {
	t.Helper()
	c, err := Parse(text)
	if err != nil || c == nil {
		t.Fatal(c, err)
	}
	return c
}

func TestParse(t *testing.T) {
	for _, text := range []string{"", "\n", "# command = [\"/bin/true\"]\n"} {
		if c, err := Parse(text); c != nil || err != nil {
			t.Errorf("%q: %v, %v", text, c, err)
		}
	}
	for _, text := range []string{`command = ["page"]`, `command = "/bin/page hidden"`, `webhook = "http://example.org/hidden"`, `webhook = "hidden"`,
		`secret = "hidden"`, "command = [\"/bin/hidden\"]\nwebhook = \"https://example.org\"", `wehook = "https://example.org/hidden"`, `webhook = hidden`,
		"webhook = \"https://example.org\"\nsecret = \"a\\nhidden\""} {
		if c, err := Parse(text); c != nil || err == nil || strings.Contains(err.Error(), "hidden") {
			t.Errorf("%q: %v, %v", text, c, err)
		}
	}
	if k := parse(t, `command = ["/bin/true"]`).Kind() + parse(t, "webhook = \"https://example.org/x\"\nsecret = \"s\"").Kind(); k != "a commanda webhook" {
		t.Error(k)
	}
}

// A command hears kind, number and time, gets none of our environment, and is run
// as it is: no shell looks at it.
func TestCommand(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	t.Setenv("DUSKDAWN_TOKEN", "hidden")
	file := filepath.Join(t.TempDir(), "told; exit 5")
	run := func(word string) (Outcome, error) {
		c := &Call{command: []string{self, "told", file, word}}
		return c.Make(t.Context(), news)
	}
	if o, err := run("$(exit 5)"); o != Made || err != nil {
		t.Fatal(o, err)
	}
	got, err := os.ReadFile(file)
	if err != nil || !strings.HasPrefix(string(got), "$(exit 5)\ne\n7\n2026-11-03T02:00:00Z\n") || strings.Contains(string(got), "hidden") {
		t.Errorf("%q, %v", got, err)
	}
	if o, err := run("bad"); o != Failed || err == nil || !strings.Contains(err.Error(), "3") {
		t.Error(o, err)
	}
	if o, err := (&Call{command: []string{file + "/nowhere"}}).Make(t.Context(), news); o != Failed || err == nil || strings.Contains(err.Error(), "nowhere") {
		t.Error(o, err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	if o, err := (&Call{command: []string{self, "hang"}}).Make(ctx, news); o != Doubt || err == nil {
		t.Error(o, err)
	}
}

// A webhook gets kind, number and time and nothing else, with the secret in its
// header; what surely was not taken has failed, what may have been is in doubt.
func TestWebhook(t *testing.T) {
	var mu sync.Mutex // a call that is given up on is still being answered
	answer := 204
	var got []string
	hook := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		raw, _ := io.ReadAll(r.Body)
		mu.Lock()
		defer mu.Unlock()
		got = append(got, r.Method+" "+r.URL.Path+" "+r.Header.Get("Authorization")+" "+string(raw))
		switch answer {
		case 0:
			panic(http.ErrAbortHandler)
		case 302:
			http.Redirect(w, r, "/elsewhere", http.StatusFound)
		default:
			w.WriteHeader(answer)
		}
	}))
	hook.Config.ErrorLog = nil
	c := parse(t, "webhook = \""+hook.URL+"/hidden\"\nsecret = \"hush\"")
	for _, x := range []struct {
		answer int
		want   Outcome
	}{{204, Made}, {200, Made}, {302, Failed}, {403, Failed}, {503, Failed}, {0, Doubt}} {
		mu.Lock()
		answer, got = x.answer, nil
		mu.Unlock()
		o, err := c.Make(t.Context(), news)
		mu.Lock()
		got := slices.Clone(got)
		mu.Unlock()
		if o != x.want || (err == nil) != (o == Made) || err != nil && strings.Contains(err.Error(), "hidden") {
			t.Errorf("%d: %v, %v", x.answer, o, err)
		}
		if len(got) == 0 || !strings.HasPrefix(got[0], "POST /hidden Bearer hush {") || x.answer != 0 && len(got) > 1 {
			t.Errorf("%d: %q", x.answer, got)
			continue
		}
		var all map[string]any
		if err := json.Unmarshal([]byte(got[0][strings.Index(got[0], "{"):]), &all); err != nil || len(all) != 3 || all["kind"] != "e" ||
			all["number"] != 7.0 || all["time"] != "2026-11-03T02:00:00Z" {
			t.Errorf("%v, %v", all, err)
		}
	}
	hook.Close()
	if o, err := c.Make(t.Context(), news); o != Failed || err == nil {
		t.Errorf("nobody listens: %v, %v", o, err)
	}
}
