package main

import (
	"bytes"
	"context"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"duskdawn/bot/siege"
	"duskdawn/bot/standin"
)

// running is serve as a process runs it: settings, a file, the Bot API over HTTP.
type running struct {
	stop func()
	errs *lockedBuffer
}

type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

func startServe(t *testing.T, h *host) *running {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	r := &running{errs: &lockedBuffer{}}
	done := make(chan int, 1)
	go func() {
		done <- run(ctx, app{out: &lockedBuffer{}, err: r.errs, in: strings.NewReader(""), env: h.env}, []string{"serve"})
	}()
	var once sync.Once
	r.stop = func() {
		once.Do(func() {
			cancel()
			select {
			case code := <-done:
				if code != 0 {
					t.Errorf("serve ended with %d: %s", code, r.errs)
				}
			case <-time.After(40 * time.Second):
				t.Error("serve does not end")
			}
		})
	}
	t.Cleanup(r.stop)
	return r
}

// TestServe takes the real program through a start, a person's first words, a
// stop while a message waits, and a second start on the same file: the message
// is answered, and once.
func TestServe(t *testing.T) {
	t.Parallel()
	platform := standin.New(standin.Options{})
	defer platform.Close()
	srv := httptest.NewServer(platform)
	defer srv.Close()
	h := newHost(t, "DUSKDAWN_TOKEN="+standin.Token, "DUSKDAWN_API="+srv.URL)
	wait := func(what string, cond func() bool) {
		t.Helper()
		for end := time.Now().Add(30 * time.Second); !cond(); time.Sleep(2 * time.Millisecond) {
			if time.Now().After(end) {
				t.Fatalf("%s never came", what)
			}
		}
	}
	first := startServe(t, h)
	wait("polling", platform.Polling)
	for _, lang := range []string{"en", "es"} {
		wait("the words of the empty chat", func() bool { return platform.Description(lang) != "" })
		if !strings.Contains(platform.Description(lang), "112") { // the sample practice's emergency number
			t.Errorf("the empty chat says %q", platform.Description(lang))
		}
	}
	out, _ := h.run(0, "staff", "add", "-role", "clinician", "-label", "Dr Marsh")
	code := regexp.MustCompile(`code\s+(S0\w{12})`).FindStringSubmatch(out)
	if code == nil || !strings.Contains(out, "https://t.me/") {
		t.Fatalf("no code or link: %s", out)
	}
	platform.AddUser(standin.User{ID: 501, Name: "Dr Marsh", Language: "en"})
	answers := func() (n int) {
		for _, m := range platform.Messages(501) {
			if m.Bot {
				n++
			}
		}
		return n
	}
	time.Sleep(practiceAge) // the change was made by another process
	if _, err := platform.Say(501, "/start "+code[1]); err != nil {
		t.Fatal(err)
	}
	wait("a welcome", func() bool { return answers() >= 1 })
	first.stop()
	if _, err := platform.Say(501, "queue"); err != nil {
		t.Fatal(err)
	}
	second := startServe(t, h)
	wait("an answer after the restart", func() bool { return answers() >= 2 && platform.Quiet() })
	second.stop()
	if n := answers(); n != 2 {
		t.Errorf("%d answers to two messages", n)
	}
	for _, log := range []string{first.errs.String(), second.errs.String()} {
		if strings.Contains(log, standin.Token) || strings.Contains(log, "queue") || strings.Contains(log, code[1]) {
			t.Errorf("the log tells too much: %s", log)
		}
	}
}

// practiceAge is longer than a process trusts its last read of the practice.
const practiceAge = 1100 * time.Millisecond

// A refused token stops the program, with a word that is not the token.
func TestServeWithARefusedToken(t *testing.T) {
	t.Parallel()
	platform := standin.New(standin.Options{})
	defer platform.Close()
	srv := httptest.NewServer(platform)
	defer srv.Close()
	other := "1000002:another-token-for-a-test-only-0000000"
	h := newHost(t, "DUSKDAWN_TOKEN="+other, "DUSKDAWN_API="+srv.URL)
	h.refused = time.Second
	if _, errs := h.run(78, "serve"); !strings.Contains(errs, "token") || strings.Contains(errs, other) {
		t.Errorf("it says %s", errs)
	}
}

// startByWebhook starts the program behind a webhook, at an address that was free.
func startByWebhook(t *testing.T, api string) (s *running, address string) {
	t.Helper()
	free := httptest.NewServer(http.NotFoundHandler())
	address = strings.TrimPrefix(free.URL, "http://")
	free.Close()
	return startServe(t, newHost(t, "DUSKDAWN_TOKEN="+standin.Token, "DUSKDAWN_API="+api, "DUSKDAWN_LISTEN="+address,
		"DUSKDAWN_WEBHOOK=https://"+address+"/webhook", "DUSKDAWN_WEBHOOK_SECRET=a-secret-of-the-test")), address
}

// The webhook takes updates with the right secret alone.
func TestServeByWebhook(t *testing.T) {
	t.Parallel()
	platform := standin.New(standin.Options{Webhook: siege.Proxy{}})
	defer platform.Close()
	srv := httptest.NewServer(platform)
	defer srv.Close()
	s, address := startByWebhook(t, srv.URL)
	platform.AddUser(standin.User{ID: 7, Name: "somebody"})
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	if err := platform.Wait(ctx, func() bool { return platform.Calls("setWebhook") > 0 }); err != nil {
		t.Fatal(err, s.errs)
	}
	if _, err := platform.Say(7, "hello"); err != nil {
		t.Fatal(err)
	}
	if err := platform.Wait(ctx, func() bool { return len(platform.Messages(7)) >= 2 }); err != nil {
		t.Fatalf("no answer by webhook: %v\n%s", err, s.errs)
	}
	res, err := http.Post("http://"+address+"/webhook", "application/json", strings.NewReader(`{"update_id":1}`))
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if res.StatusCode != http.StatusUnauthorized {
		t.Errorf("no secret: %d", res.StatusCode)
	}
	for _, path := range []string{"/livez", "/readyz"} {
		res, err := http.Get("http://" + address + path)
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		if res.StatusCode != http.StatusOK {
			t.Errorf("%s: %d", path, res.StatusCode)
		}
	}
}

// What the bot says of itself to the platform hangs: who writes is answered all
// the same.
func TestNothingStandsBeforeTheFirstPoll(t *testing.T) {
	t.Parallel()
	platform := standin.New(standin.Options{})
	defer platform.Close()
	hang := make(chan struct{})
	for _, method := range []string{"getMe", "setMyDescription", "setMyCommands", "deleteWebhook"} {
		platform.Inject(standin.Fault{Kind: standin.Delay, Method: method, Times: -1, Until: hang})
	}
	srv := httptest.NewServer(platform)
	defer srv.Close()
	defer close(hang) // before the server's end, which waits for what hangs
	h := newHost(t, "DUSKDAWN_TOKEN="+standin.Token, "DUSKDAWN_API="+srv.URL)
	s := startServe(t, h)
	defer s.stop()
	platform.AddUser(standin.User{ID: 7, Name: "somebody"})
	if _, err := platform.Say(7, "hello"); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	if err := platform.Wait(ctx, func() bool { return len(platform.Messages(7)) >= 2 }); err != nil {
		t.Fatalf("no answer: %v\n%s", err, s.errs)
	}
}

// A stop that comes while the webhook is being set ends as any other does.
func TestStopWhileTheWebhookIsSet(t *testing.T) {
	t.Parallel()
	platform := standin.New(standin.Options{Webhook: siege.Proxy{}})
	defer platform.Close()
	hang := make(chan struct{})
	platform.Inject(standin.Fault{Kind: standin.Delay, Method: "setWebhook", Times: -1, Until: hang})
	srv := httptest.NewServer(platform)
	defer srv.Close()
	defer close(hang) // before the server's end, which waits for what hangs
	s, _ := startByWebhook(t, srv.URL)
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	if err := platform.Wait(ctx, func() bool { return platform.Calls("setWebhook") > 0 }); err != nil {
		t.Fatal(err, s.errs)
	}
	s.stop()
}
