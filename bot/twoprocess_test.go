package main

import (
	"errors"
	"net"
	"net/http"
	"net/http/httptest"
	"regexp"
	"sync"
	"syscall"
	"testing"
	"time"

	"duskdawn/bot/standin"
)

// front is what stands before the program's webhook and ends TLS. Where there
// are several processes it gives each call to one that takes it, in turn.
type front struct {
	mu sync.Mutex
	to []string // addresses; none: where the call goes anyway
	n  int
}

func (f *front) RoundTrip(r *http.Request) (*http.Response, error) {
	f.mu.Lock()
	to := append([]string(nil), f.to...)
	f.n++
	first := f.n
	f.mu.Unlock()
	if len(to) == 0 {
		return proxy{}.RoundTrip(r)
	}
	var err error
	for i := range to {
		try := r.Clone(r.Context())
		if try.Body, err = r.GetBody(); err != nil {
			return nil, err
		}
		try.URL.Host = to[(first+i)%len(to)]
		res, failed := proxy{}.RoundTrip(try)
		var dial *net.OpError
		if err = failed; err == nil || !errors.As(err, &dial) || dial.Op != "dial" {
			return res, err // whoever may have begun on it is not passed over
		}
	}
	return nil, err
}

// TestTwoProcesses runs two real processes on one real Redis, each started the
// same way, while people write, are asked and raise red flags.
func TestTwoProcesses(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: no processes are started")
	}
	program := buildProgram(t)
	t.Run("one of two is killed, by webhook", func(t *testing.T) {
		t.Parallel()
		g := newSiege(t, program, redisServer(t), true)
		g.fewest.redelivered = 0 // the other takes what one would have
		g.runTwo(*crashFor, 3*time.Second)
	})
	t.Run("one of two is killed, polled", func(t *testing.T) {
		t.Parallel()
		g := newSiege(t, program, redisServer(t), false)
		g.fewest.kills, g.fewest.redelivered = 2, 0 // a handover takes its time
		g.runTwo(*crashFor, 8*time.Second)
	})
	t.Run("Redis is gone for a while", func(t *testing.T) {
		t.Parallel()
		r := newRedis(t)
		g := newSiege(t, program, r.address, false)
		g.fewest.kills, g.fewest.redelivered = 1, 0
		g.runWithout(r, *crashFor)
	})
	t.Run("handover", func(t *testing.T) {
		t.Parallel()
		testHandover(t, program)
	})
}

// runTwo kills one of two processes again and again, within the given time of
// the last, and starts it anew beside the other.
func (g *siege) runTwo(d, within time.Duration) {
	var live [2]*process
	var own [2][]string
	for i := range live {
		if g.hook {
			at := freeAddress(g.t)
			g.front.to = append(g.front.to, at)
			own[i] = []string{"DUSKDAWN_LISTEN=" + at}
		}
	}
	for i := range live {
		live[i] = g.start(own[i]...)
		live[0].ready(g.t.Context())
	}
	ctx, people := g.crowd(d)
	for ctx.Err() == nil {
		pauseFor(ctx, g.rng, 0, within)
		if ctx.Err() != nil {
			break
		}
		i := g.rng.IntN(2)
		live[i].kill()
		pauseFor(ctx, g.rng, 0, within/2)
		live[i] = g.start(own[i]...)
	}
	people.Wait()
	g.end(live[:]...)
}

// runWithout takes Redis away from two processes under load and gives it back:
// after a minute in a long run, after ten seconds in a short one.
func (g *siege) runWithout(r *redisProcess, d time.Duration) {
	first := g.start()
	first.ready(g.t.Context())
	second := g.start()
	ctx, people := g.crowd(d)
	pauseFor(ctx, g.rng, 8*time.Second, 10*time.Second)
	away := 10 * time.Second
	if d > time.Minute {
		away = time.Minute
	}
	r.kill()
	g.mu.Lock()
	g.kills = append(g.kills, time.Now())
	g.mu.Unlock()
	time.Sleep(away)
	r.start(g.t)
	back := time.Now()
	people.Wait()
	g.end(first, second)
	g.mu.Lock()
	defer g.mu.Unlock()
	after := 0
	for _, s := range g.said {
		if s.at.After(back) {
			after++
		}
	}
	g.t.Logf("Redis was gone for %v; of %d replies %d were written after it was back", away, len(g.said), after)
}

// within is the longest that nobody may poll after the process that did has died.
const within = 15 * time.Second

// testHandover kills the process that polls, then ends the next one in order,
// and takes the time until a person is answered again.
func testHandover(t *testing.T, program string) {
	platform := standin.New(standin.Options{})
	t.Cleanup(platform.Close)
	srv := httptest.NewServer(platform)
	t.Cleanup(srv.Close)
	env := []string{"DUSKDAWN_TOKEN=" + standin.Token, "DUSKDAWN_API=" + srv.URL, "DUSKDAWN_STORE=" + redisServer(t),
		"DUSKDAWN_PRACTICE=../testdata/setup/practice.toml"}
	h := &host{t, env, ""}
	out, _ := h.run(0, "staff", "add", "-role", "clinician", "-label", "Dr Marsh")
	code := regexp.MustCompile(`code\s+(S0\w{12})`).FindStringSubmatch(out)
	if code == nil {
		t.Fatalf("no code: %s", out)
	}
	platform.AddUser(standin.User{ID: 501, Name: "Dr Marsh", Language: "en"})
	g := &siege{t: t, platform: platform, program: program, env: env}
	begin := func() *process {
		t.Helper()
		n := platform.Calls("getMe")
		p := g.start()
		for end := time.Now().Add(30 * time.Second); platform.Calls("getMe") == n; time.Sleep(5 * time.Millisecond) {
			if time.Now().After(end) {
				t.Fatalf("the program does not start\n%s", &p.logs)
			}
		}
		return p
	}
	said := 0
	answered := func(text string) time.Duration {
		t.Helper()
		began := time.Now()
		if _, err := platform.Say(501, text); err != nil {
			t.Fatal(err)
		}
		said++
		for answers := 0; answers < said; time.Sleep(5 * time.Millisecond) {
			answers = 0
			for _, m := range platform.Messages(501) {
				if m.Bot {
					answers++
				}
			}
			if time.Since(began) > time.Minute {
				t.Fatalf("%q is never answered", text)
			}
		}
		return time.Since(began)
	}

	first := g.start()
	first.ready(t.Context())
	second := begin()
	answered("/start " + code[1])
	time.Sleep(2 * renewEvery) // so that both have settled who polls
	calls := platform.Calls("getUpdates")
	first.kill()
	crash := answered("queue")
	if platform.Calls("getUpdates") == calls {
		t.Error("nobody polled")
	}
	third := begin()
	time.Sleep(2 * renewEvery)
	if err := second.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	<-second.ended
	order := answered("queue")
	third.stop()
	t.Logf("answered %v after a kill -9 of the process that polled, %v after it ended in order",
		crash.Round(time.Millisecond), order.Round(time.Millisecond))
	if crash > within || order > within {
		t.Errorf("a handover took longer than %v", within)
	}
	time.Sleep(time.Second)
	answers := 0
	for _, m := range platform.Messages(501) {
		if m.Bot {
			answers++
		}
	}
	if answers != said {
		t.Errorf("%d answers to %d messages", answers, said)
	}
}
