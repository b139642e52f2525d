package program

import (
	"bytes"
	"context"
	"errors"
	"net"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"duskdawn/bot/health"
	"duskdawn/bot/logs"
	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/memory"
)

// weak is a store that takes no write, or does not come back, on request.
type weak struct {
	store.Store
	refuse atomic.Bool
	hang   atomic.Pointer[chan struct{}]
}

func (w *weak) Lead(ctx context.Context, what, who string, ttl time.Duration) (bool, error) {
	w.wait()
	if w.refuse.Load() {
		return false, errors.New("disk full while writing: sore, a 9")
	}
	return w.Store.Lead(ctx, what, who, ttl)
}

func (w *weak) Next(ctx context.Context) (time.Time, error) {
	w.wait()
	return w.Store.Next(ctx)
}

func (w *weak) wait() {
	if c := w.hang.Load(); c != nil {
		<-*c
	}
}

// asked is what an address of health answers.
func asked(t *testing.T, checks []health.Check) (int, string) {
	t.Helper()
	w := httptest.NewRecorder()
	health.Handler(checks).ServeHTTP(w, httptest.NewRequest("GET", "/", nil))
	return w.Code, w.Body.String()
}

// patient zero: a program that nothing is wrong with, to make one thing wrong each.
func wellProgram(t *testing.T, st store.Store) *Program {
	t.Helper()
	platform := standin.New(standin.Options{})
	t.Cleanup(platform.Close)
	api, err := telegram.New(telegram.Options{Token: standin.Token, Transport: platform.Transport()})
	if err != nil {
		t.Fatal(err)
	}
	p, err := Build(t.Context(), Parts{Store: st, API: api, Clock: scheduler.RealClock{}})
	if err != nil {
		t.Fatal(err)
	}
	p.leader.until.Store(time.Now().Add(time.Hour).UnixNano())
	p.leader.since.Store(time.Now().UnixNano())
	p.answered.Store(time.Now().UnixNano())
	if code, body := asked(t, p.well()); code != http.StatusOK {
		t.Fatalf("nothing is wrong yet, and it says %s", body)
	}
	p.probe = probe{}
	return p
}

// keep stores a practice as it is.
func keep(t *testing.T, p *Program, pr practice.Practice) {
	t.Helper()
	body, err := store.Encode(pr)
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Store.Update(t.Context(), scheduler.PracticeRef(), "kept", time.Now(),
		func(store.Aggregate) (store.Change, error) {
			return store.Change{Body: body}, nil
		}); err != nil {
		t.Fatal(err)
	}
	time.Sleep(1100 * time.Millisecond) // longer than the last read of the practice is trusted
	if _, err := p.Practice(t.Context()); err != nil {
		t.Fatal(err)
	}
}

// urgentSince orders an urgent message as of an instant.
func urgentSince(t *testing.T, p *Program, at time.Time) {
	t.Helper()
	ref := scheduler.PatientRef("07ABC")
	if err := p.Store.Update(t.Context(), ref, "e", at, func(store.Aggregate) (store.Change, error) {
		return store.Change{Body: []byte{1}, Out: []store.Item{{ID: "07item", Queue: "7", Lane: store.LaneUrgent,
			Body: []byte{1}}}}, nil
	}); err != nil {
		t.Fatal(err)
	}
}

// Each thing is made to go wrong, and it alone is named.
func TestReadyzNamesWhatIsWrong(t *testing.T) {
	ago := func(d time.Duration) int64 { return time.Now().Add(-d).UnixNano() }
	for _, c := range []struct {
		name  string
		want  string // a line that begins so; empty for all well
		wrong func(t *testing.T, p *Program, st *weak)
	}{
		{"a store that takes no write", "store: it takes no write", func(t *testing.T, p *Program, st *weak) { st.refuse.Store(true) }},
		{"a write that does not come back", "store: a write has not come back", func(t *testing.T, p *Program, st *weak) { p.probe.mu.Lock() }},
		{"no answer of the platform", "polling: the platform has not answered for 2m0s",
			func(t *testing.T, p *Program, st *weak) {
				p.leader.since.Store(ago(time.Hour))
				p.answered.Store(ago(2 * time.Minute))
			}},
		{"never an answer", "polling: the platform has not answered for 1m35s", func(t *testing.T, p *Program, st *weak) {
			p.leader.since.Store(ago(95 * time.Second))
			p.answered.Store(0)
		}},
		{"just begun to poll", "", func(t *testing.T, p *Program, st *weak) { p.answered.Store(0) }},
		{"no answer, another process polls", "", func(t *testing.T, p *Program, st *weak) {
			p.leader.until.Store(0)
			p.answered.Store(0)
		}},
		{"no answer, the platform calls", "", func(t *testing.T, p *Program, st *weak) {
			p.hooked = true
			p.answered.Store(ago(time.Hour))
		}},
		{"a clock that is fast", "clock: off by 2m30s", func(t *testing.T, p *Program, st *weak) {
			d := 150 * time.Second
			p.skew.Store(&d)
		}},
		{"a clock that is slow", "clock: off by -2m30s", func(t *testing.T, p *Program, st *weak) {
			d := -150 * time.Second
			p.skew.Store(&d)
		}},
		{"a clock that is nearly right", "", func(t *testing.T, p *Program, st *weak) {
			d := 119 * time.Second
			p.skew.Store(&d)
		}},
		{"an urgent message that waits", "outbox: an urgent message waits for 1m10s",
			func(t *testing.T, p *Program, st *weak) {
				urgentSince(t, p, time.Now().Add(-70*time.Second))
			}},
		{"an urgent message just ordered", "", func(t *testing.T, p *Program, st *weak) {
			urgentSince(t, p, time.Now().Add(-50*time.Second))
		}},
		{"a zone that nobody knows", "zones: ", func(t *testing.T, p *Program, st *weak) { keep(t, p, practice.Practice{Zone: "Nowhere/At_All"}) }},
		{"a restored copy", "restore: ", func(t *testing.T, p *Program, st *weak) { keep(t, p, practice.Practice{Epoch: 2, Released: 1}) }},
		{"another program that polls", "rival: ", func(t *testing.T, p *Program, st *weak) { p.Runner.SetRival(true) }},
		{"a runner that is stuck", "runner: should have moved 5s ago", func(t *testing.T, p *Program, st *weak) { p.beats.runner.Within(-5 * time.Second) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			st := &weak{Store: memory.New()}
			p := wellProgram(t, st)
			c.wrong(t, p, st)
			code, body := asked(t, p.well())
			if c.want == "" {
				if code != http.StatusOK {
					t.Errorf("it says %s", body)
				}
				return
			}
			if code != http.StatusServiceUnavailable || !strings.HasPrefix(body, c.want) || strings.Count(body, "\n") != 1 ||
				strings.Contains(body, "sore") {
				t.Errorf("%d: %q", code, body)
			}
		})
	}
}

// Every loop of a running program moves; when the store does not come back each
// of them is found out, and the service manager hears nothing more.
func TestLivezNamesALoopThatIsStuck(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		st := &weak{Store: memory.New()}
		platform := standin.New(standin.Options{})
		defer platform.Close()
		api, err := telegram.New(telegram.Options{Token: standin.Token, Transport: platform.Transport()})
		if err != nil {
			t.Fatal(err)
		}
		log := &sharedLog{}
		p, err := Build(t.Context(), Parts{Store: st, API: api, Clock: scheduler.RealClock{}, Log: logs.New(log)})
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithCancel(t.Context())
		over := make(chan error, 1)
		go func() { over <- p.Poll(ctx, nil) }()
		end := p.Attend(ctx, health.Manager{})
		for range 20 {
			time.Sleep(time.Minute)
			if code, body := asked(t, p.living()); code != http.StatusOK {
				t.Fatalf("all goes well, and it says %s", body)
			}
		}
		if p.polls(ctx) != nil || time.Since(time.Unix(0, p.answered.Load())) > pollStale {
			t.Error("the poller's answers are not seen")
		}
		gate := make(chan struct{})
		st.hang.Store(&gate)
		time.Sleep(4 * time.Minute)
		_, body := asked(t, p.living())
		for _, loop := range []string{"runner: ", "lease: "} {
			if !strings.Contains(body, loop+"should have moved") {
				t.Errorf("%q is not named: %s", loop, body)
			}
		}
		if strings.Count(log.String(), `"stuck"`) != 1 {
			t.Errorf("the log says %s", log)
		}
		st.hang.Store(nil)
		close(gate)
		time.Sleep(time.Minute)
		if code, body := asked(t, p.living()); code != http.StatusOK {
			t.Errorf("all goes well again, and it says %s", body)
		}
		end()
		cancel()
		if err := <-over; err != nil {
			t.Error(err)
		}
	})
}

// A poller whose request does not come back, and does not even end in time, is found out.
func TestLivezNamesAStuckPoller(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		gate := make(chan struct{})
		api, err := telegram.New(telegram.Options{Token: standin.Token, Transport: deaf{gate}})
		if err != nil {
			t.Fatal(err)
		}
		p, err := Build(t.Context(), Parts{Store: memory.New(), API: api, Clock: scheduler.RealClock{}})
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithCancel(t.Context())
		over := make(chan error, 1)
		go func() { over <- p.Poll(ctx, nil) }()
		time.Sleep(time.Minute)
		if code, body := asked(t, p.living()); code != http.StatusOK {
			t.Errorf("within its time it says %s", body)
		}
		time.Sleep(2 * time.Minute)
		if _, body := asked(t, p.living()); !strings.Contains(body, "poller: should have moved") {
			t.Errorf("it says %s", body)
		}
		if err := p.polls(ctx); err == nil {
			t.Error("no answer for three minutes, and polling is well")
		}
		cancel()
		close(gate)
		<-over
	})
}

// sharedLog is a log that may be read while it is written.
type sharedLog struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *sharedLog) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *sharedLog) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// deaf is a transport that heeds no deadline.
type deaf struct{ gate chan struct{} }

func (d deaf) RoundTrip(*http.Request) (*http.Response, error) {
	<-d.gate
	return nil, errors.New("gone")
}

// The service manager hears that we are ready, that we live, and, when a loop
// hangs, nothing more.
func TestTheServiceManagerIsTold(t *testing.T) {
	path := filepath.Join(t.TempDir(), "n")
	l, err := net.ListenUnixgram("unixgram", &net.UnixAddr{Name: path, Net: "unixgram"})
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	hear := func(within time.Duration) string {
		b := make([]byte, 64)
		l.SetReadDeadline(time.Now().Add(within))
		n, _ := l.Read(b)
		return string(b[:n])
	}
	p := wellProgram(t, memory.New())
	ctx, cancel := context.WithCancel(t.Context())
	end := p.Attend(ctx, health.ManagerOf([]string{"NOTIFY_SOCKET=" + path, "WATCHDOG_USEC=300000"}))
	for _, want := range []string{"READY=1", "WATCHDOG=1", "WATCHDOG=1"} {
		if got := hear(10 * time.Second); got != want {
			t.Fatalf("it hears %q, want %q", got, want)
		}
	}
	p.beats.runner.Within(-time.Second)
	for hear(500*time.Millisecond) != "" { // what was on its way
	}
	cancel()
	if got := hear(10 * time.Second); got != "STOPPING=1" {
		t.Errorf("at the end it hears %q", got)
	}
	end()
}

// An address without a host is this machine's alone.
func TestListenIsOwnByDefault(t *testing.T) {
	for given, want := range map[string]string{":8080": "127.0.0.1:8080", "127.0.0.1:1": "127.0.0.1:1",
		"0.0.0.0:80": "0.0.0.0:80", "[::1]:80": "[::1]:80"} {
		if got := own(given); got != want {
			t.Errorf("%q listens on %q, want %q", given, got, want)
		}
	}
	p := wellProgram(t, memory.New())
	stop, err := p.Listen(":0", "")
	if err != nil {
		t.Fatal(err)
	}
	stop()
}
