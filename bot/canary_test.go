package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/siege"
	"duskdawn/bot/standin"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/redistest"
	"duskdawn/store/sqlite"
)

// What must never be told, by kind. Each is found as it is, quoted, percent-encoded
// and in any case.
const (
	canaryAnswer   = "Zebrafinch hurts left, a nine"
	canaryLabel    = "Zebrafinch-77"
	canaryStaff    = "Dr Zebrafinch"
	canaryPassword = "zebrafinch-password"
	canaryHook     = "zebrafinch-hook-secret"
)

// tells names the canaries that a text gives away.
func tells(text string) (out []string) {
	text = strings.ToLower(text)
	if decoded, err := url.QueryUnescape(text); err == nil {
		text += decoded
	}
	_, secret, _ := strings.Cut(standin.Token, ":")
	for _, c := range []string{"zebrafinch", secret} {
		if strings.Contains(text, strings.ToLower(c)) {
			out = append(out, c)
		}
	}
	return out
}

// liar stands before the platform and spoils every second answer in another
// way, quoting all it was given.
type liar struct {
	platform http.Handler
	away     string // where it redirects to
	patient  int64  // who is never told 403: whoever is, is written to no more
	n        atomic.Int64
	off      atomic.Bool
}

func (l *liar) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	body, _ := io.ReadAll(r.Body)
	r.Body = io.NopCloser(bytes.NewReader(body))
	n := l.n.Add(1)
	if l.off.Load() || n%2 == 0 {
		l.platform.ServeHTTP(w, r)
		return
	}
	all := r.URL.Path + " " + string(body) + " " + canaryAnswer
	no := func(code int, text string) {
		w.WriteHeader(code)
		json.NewEncoder(w).Encode(map[string]any{"ok": false, "error_code": code, "description": text})
	}
	lie := n / 2 % 9
	if lie == 8 && strings.Contains(string(body), strconv.FormatInt(l.patient, 10)) {
		lie = 1
	}
	switch lie {
	case 0:
		w.WriteHeader(502)
		fmt.Fprintf(w, "<html>bad gateway while asking %s</html>", all)
	case 1:
		no(500, "Internal Server Error: "+all)
	case 2:
		fmt.Fprintf(w, "all is well with %s", all) // 200, and no JSON
	case 3:
		no(400, "Bad Request: can't parse entities: "+all)
	case 4:
		w.Header().Set("Location", l.away+r.URL.Path+"?"+url.QueryEscape(all))
		w.WriteHeader(302)
	case 5:
		json.NewEncoder(w).Encode(map[string]any{"ok": true, "result": all}) // of the wrong type
	case 6:
		w.Header().Set("Content-Length", "4000")
		fmt.Fprintf(w, `{"ok":true,"result":{"text":%q`, all) // cut off
	case 7:
		w.WriteHeader(429)
		json.NewEncoder(w).Encode(map[string]any{"ok": false, "error_code": 429, "description": all,
			"parameters": map[string]any{"retry_after": 1}})
	case 8:
		no(403, "Forbidden: "+all)
	}
}

// canaryServer is a Redis that wants the password.
func canaryServer(t *testing.T) (address string, server *exec.Cmd) {
	t.Helper()
	redistest.Address(t) // skips, or fails, where there is none
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	_, port, _ := net.SplitHostPort(l.Addr().String())
	l.Close()
	server = exec.Command("redis-server", "--port", port, "--bind", "127.0.0.1", "--dir", t.TempDir(), "--appendonly",
		"yes", "--appendfsync", "always", "--save", "",
		"--requirepass", canaryPassword)
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { server.Process.Kill(); server.Wait() })
	address = "redis://:" + canaryPassword + "@127.0.0.1:" + port
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		if st, err := program.OpenStore(t.Context(), setup.Secret(address), false); err == nil {
			st.Close()
			return address, server
		} else if time.Now().After(end) {
			t.Fatal("the server does not answer")
		}
	}
}

// TestCanary runs the program as a process of its own against a platform that lies, on
// both stores, by polling and by webhook, and looks for what must not be told
// in all it prints, serves and sends elsewhere.
func TestCanary(t *testing.T) {
	t.Parallel()
	t.Run("sqlite", func(t *testing.T) {
		t.Parallel()
		path := filepath.Join(t.TempDir(), "d.db")
		canaryRun(t, "sqlite:"+path, false, func() func() { // the file is held for longer than a probe waits
			st, err := sqlite.Open(t.Context(), sqlite.Options{Path: path})
			if err != nil {
				t.Fatal(err)
			}
			gate := make(chan struct{})
			go st.Update(context.Background(), scheduler.ChatRef(4), "hold", time.Now(),
				func(store.Aggregate) (store.Change, error) {
					<-gate
					return store.Change{}, errors.New("gives way")
				})
			return func() { close(gate); st.Close() }
		})
	})
	t.Run("redis by webhook", func(t *testing.T) {
		t.Parallel()
		address, server := canaryServer(t)
		canaryRun(t, address, true, func() func() {
			server.Process.Signal(syscall.SIGSTOP)
			return func() { server.Process.Signal(syscall.SIGCONT) }
		})
	})
}

func canaryRun(t *testing.T, address string, hook bool, strike func() (mend func())) {
	platform := standin.New(standin.Options{Webhook: siege.Proxy{}})
	defer platform.Close()
	patient := canaryPeople(t, platform, address)

	var elsewhere atomic.Int64
	away := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { elsewhere.Add(1) }))
	defer away.Close()
	front := &liar{platform: platform, away: away.URL, patient: patient}
	srv := httptest.NewServer(front)
	defer srv.Close()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	at := l.Addr().String()
	l.Close()
	cmd, said := (&host{t: t}).child("serve")
	cmd.Env = append(cmd.Env, "DUSKDAWN_TOKEN="+standin.Token+" \r\n", "DUSKDAWN_API="+srv.URL, "DUSKDAWN_STORE="+
		address, "DUSKDAWN_LISTEN="+at)
	if hook {
		cmd.Env = append(cmd.Env, "DUSKDAWN_WEBHOOK=https://"+at+"/webhook", "DUSKDAWN_WEBHOOK_SECRET="+canaryHook)
		front.off.Store(true) // until the webhook is set
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	defer cmd.Process.Kill()
	wait := func(what string, cond func() bool) {
		t.Helper()
		for end := time.Now().Add(60 * time.Second); !cond(); time.Sleep(5 * time.Millisecond) {
			select {
			case err := <-ended:
				t.Fatalf("the program ended by itself: %v\n%s", err, said)
			default:
			}
			if time.Now().After(end) {
				t.Fatalf("%s never came\n%s", what, said)
			}
		}
	}
	bodies := map[string]string{} // all that was ever served, by address
	get := func(path string) string {
		res, err := http.Get("http://" + at + path)
		if err != nil {
			return ""
		}
		defer res.Body.Close()
		b, _ := io.ReadAll(res.Body)
		bodies[path] += string(b)
		return string(b)
	}
	wait("health", func() bool { return strings.Contains(get("/livez"), "ok") })
	if hook {
		wait("the webhook", func() bool { return platform.Calls("setWebhook") > 0 })
		front.off.Store(false)
		for _, secret := range []string{"", canaryHook} {
			for _, body := range []string{canaryAnswer, `{"update_id":7,"message":{"text":"` + canaryAnswer + `"}}`,
				`{"update_id":"` + canaryAnswer + `"}`} {
				r, _ := http.NewRequest("POST", "http://"+at+"/webhook?"+url.QueryEscape(canaryAnswer), strings.NewReader(body))
				r.Header.Set("X-Telegram-Bot-Api-Secret-Token", secret)
				if res, err := http.DefaultClient.Do(r); err == nil {
					b, _ := io.ReadAll(res.Body)
					bodies["/webhook"] += string(b)
					res.Body.Close()
				}
			}
		}
	}
	answers := func() (n int) {
		for _, m := range platform.Messages(patient) {
			if m.Bot {
				n++
			}
		}
		return n
	}
	before := answers()
	canaryTalk(t, platform, patient)
	wait("answers", func() bool { return answers() > before })
	stranger := int64(100) // whoever is told 403 is written to no more, so others come
	wait("every way to lie", func() bool {
		get("/readyz")
		get("/metrics")
		if stranger++; stranger < 200 {
			platform.AddUser(standin.User{ID: stranger, Name: "Zebrafinch Stranger"})
			platform.Say(stranger, canaryAnswer)
		}
		return front.n.Load() > 24
	})
	mend := strike()
	platform.Say(patient, canaryAnswer+", while the store is away")
	wait("the store is named", func() bool { return strings.Contains(get("/readyz"), "store: ") })
	get("/metrics")
	mend()
	front.off.Store(true)
	for _, path := range []string{"/metrics", "/readyz", "/livez", "/webhook", "/" + canaryHook, "/debug/pprof/",
		"/debug/vars"} {
		get(path)
	}
	wait("all well again", func() bool { return !strings.Contains(get("/readyz"), "store: ") })
	cmd.Process.Signal(syscall.SIGTERM)
	select {
	case err := <-ended:
		if err != nil {
			t.Errorf("it ended with %v", err)
		}
	case <-time.After(60 * time.Second):
		t.Fatal("it does not end")
	}
	for path, body := range bodies {
		if told := tells(body); len(told) > 0 {
			t.Errorf("%s tells %q:\n%s", path, told, body)
		}
	}
	if told := tells(said.String()); len(told) > 0 {
		t.Errorf("the log tells %q:\n%s", told, said)
	}
	if !hook && !strings.Contains(said.String(), `"polling"`) || !strings.Contains(said.String(), `"set aside"`) {
		t.Errorf("what was to go wrong did not: %s", said)
	}
	if n := elsewhere.Load(); n > 0 {
		t.Errorf("%d requests followed a redirect, the token in them", n)
	}
	for _, line := range strings.Split(strings.TrimSpace(said.String()), "\n") {
		if !json.Valid([]byte(line)) {
			t.Errorf("a line of the log is no JSON: %s", line)
		}
	}
}

// Every command tells of wrong settings without their secrets.
func TestCanaryInCommands(t *testing.T) {
	t.Parallel()
	good := newHost(t)
	secretFile := filepath.Join(good.dir, "token")
	if err := os.WriteFile(secretFile, []byte(standin.Token+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	corrupt := filepath.Join(good.dir, "corrupt.db")
	if err := os.WriteFile(corrupt, []byte(strings.Repeat(canaryAnswer, 500)), 0o600); err != nil {
		t.Fatal(err)
	}
	var all []string
	settings := map[string][]string{
		"token with a line end": {"DUSKDAWN_TOKEN=" + standin.Token + "\n"}, "token with a blank inside": {"DUSKDAWN_TOKEN=" +
			standin.Token[:20] + " " + standin.Token[20:]},
		"token that is cut": {"DUSKDAWN_TOKEN=" + standin.Token[8:]}, "token not ASCII": {"DUSKDAWN_TOKEN=" + standin.Token +
			"é"}, "token in a file": {"DUSKDAWN_TOKEN_FILE=" + secretFile},
		"token twice":          {"DUSKDAWN_TOKEN=" + standin.Token, "DUSKDAWN_TOKEN_FILE=" + secretFile},
		"token as API":         {"DUSKDAWN_API=https://127.0.0.1:1/bot" + standin.Token + "/"},
		"password in API":      {"DUSKDAWN_API=https://x:" + canaryPassword + "@127.0.0.1:1"},
		"API that is none":     {"DUSKDAWN_API=http://[::1" + canaryPassword},
		"redis that is away":   {"DUSKDAWN_STORE=redis://:" + canaryPassword + "@127.0.0.1:1"},
		"redis of odd letters": {"DUSKDAWN_STORE=redis://:" + canaryPassword + "%zz@127.0.0.1:1"},
		"redis of a bad port":  {"DUSKDAWN_STORE=redis://:" + canaryPassword + "@127.0.0.1:port"},
		"redis of a bad base":  {"DUSKDAWN_STORE=redis://:" + canaryPassword + "@127.0.0.1:1/notanumber"},
		"redis option":         {"DUSKDAWN_STORE=redis://:" + canaryPassword + "@127.0.0.1:1?" + canaryPassword + "=1"},
		"redis no slashes":     {"DUSKDAWN_STORE=redis:" + canaryPassword}, "store of no kind": {"DUSKDAWN_STORE=" +
			canaryPassword},
		"a store that is no database": {"DUSKDAWN_STORE=sqlite:" + corrupt},
		"hook":                        {"DUSKDAWN_WEBHOOK=http://127.0.0.1/webhook", "DUSKDAWN_WEBHOOK_SECRET=" + canaryHook}, "hook alone": {"DUSKDAWN_WEBHOOK_SECRET=" + canaryHook},
	}
	var mu sync.Mutex
	var tries sync.WaitGroup
	for _, name := range slices.Sorted(maps.Keys(settings)) {
		env := append([]string{"DUSKDAWN_PRACTICE=../testdata/setup/practice.toml"}, settings[name]...)
		if !slices.ContainsFunc(env, func(s string) bool { return strings.HasPrefix(s, "DUSKDAWN_STORE=") }) {
			env = append(env, "DUSKDAWN_STORE=sqlite:"+filepath.Join(t.TempDir(), "d.db"))
		}
		tries.Go(func() {
			commands := [][]string{{"check"}, {"serve"}}
			if name == "redis of odd letters" || name == "a store that is no database" { // all others fail as these two do
				commands = append(commands, []string{"staff", "list"}, []string{"export", "-patient", "x"},
					[]string{"backup", "-to", filepath.Join(t.TempDir(), "copy")},
					[]string{"enrol", "-plan", "../testdata/setup/quiet.toml"})
			}
			for _, args := range commands {
				var out lockedBuffer
				ctx, stop := context.WithTimeout(t.Context(), time.Second) // serve goes on where nothing stops it
				run(ctx, app{out: &out, err: &out, in: strings.NewReader(""), env: env}, args)
				stop()
				if told := tells(out.String()); len(told) > 0 {
					t.Errorf("%s, %v tells %q: %s", name, args, told, &out)
				}
				mu.Lock()
				all = append(all, out.String())
				mu.Unlock()
			}
		})
	}
	tries.Wait()
	if text := strings.Join(all, ""); !strings.Contains(text, "DUSKDAWN_STORE") || !strings.Contains(text, "token") {
		t.Error("nothing was said of what is wrong")
	}
}
