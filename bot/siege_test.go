package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"slices"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"duskdawn/bot/setup"
	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// crashFor is how long the program is killed again and again, on each store.
var crashFor = flag.Duration("crash", 30*time.Second, "how long TestKillNine kills the program; minutes for a long run")

// siege is the real program, built and run as its own process, killed with
// kill -9 again and again while people write to it. The test plays the platform.
type siege struct {
	t        *testing.T
	rng      *rand.Rand
	platform *standin.Server
	hour     *turnover   // the platform's clock
	store    store.Store // a handle of the test's own, beside the program's
	program  string      // path of the built program
	env      []string
	hook     bool // the platform calls the program, instead of being polled
	front    front
	fewest   struct{ kills, redelivered int } // below which nothing is proved
	people   []*soul
	prompt   []time.Time // when evening prompts are due, one group of people each
	staff    []int64
	logs     bytes.Buffer // of every process, one after the other

	mu    sync.Mutex
	said  []said
	kills []time.Time
	early atomic.Int64 // acknowledged and not stored
}

// said is something a person sent, and the event it must become.
type said struct {
	update int64
	ref    store.Ref
	event  string
	user   int64
	flag   bool // a red flag
	sure   bool // the event was found in the store
	at     time.Time
}

// TestKillNine kills the program at random moments while patients and staff
// write, tap and are asked, and wants nothing lost and nothing done twice.
func TestKillNine(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: the program is not killed")
	}
	program := buildProgram(t)
	t.Run("nowhere to write", func(t *testing.T) { nowhere(t, program) })
	t.Run("sqlite", func(t *testing.T) {
		t.Parallel()
		path := filepath.Join(t.TempDir(), "d.db")
		newSiege(t, program, "sqlite:"+path, false).run(*crashFor)
	})
	t.Run("redis", func(t *testing.T) {
		t.Parallel()
		newSiege(t, program, redisServer(t), true).run(*crashFor)
	})
	t.Run("redis polled", func(t *testing.T) {
		if *crashFor < 2*time.Minute {
			t.Skip("the turn to poll is handed over after ten seconds: few kills fit into a short run")
		}
		t.Parallel()
		newSiege(t, program, redisServer(t), false).run(*crashFor)
	})
}

// buildProgram builds the program as this test was built, so that what is
// compiled already is used.
func buildProgram(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "duskdawn")
	args := []string{"build", "-o", path}
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "-race" && s.Value == "true" {
				args = append(args, "-race")
			}
		}
	}
	if out, err := exec.Command("go", append(args, ".")...).CombinedOutput(); err != nil {
		t.Fatalf("building the program: %v\n%s", err, out)
	}
	return path
}

// nowhere starts the program where it may not write: it says so, names the file
// and ends, and so does check.
func nowhere(t *testing.T, program string) {
	dir := filepath.Join(t.TempDir(), "kept")
	if err := os.Mkdir(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	store := filepath.Join(dir, "d.db")
	for _, command := range []string{"serve", "check"} {
		c := exec.Command(program, command)
		c.Env = append(os.Environ(), "DUSKDAWN_TOKEN="+standin.Token, "DUSKDAWN_API=http://127.0.0.1:1",
			"DUSKDAWN_STORE=sqlite:"+store)
		if os.Getuid() == 0 { // whom no mode stops
			for _, path := range []string{filepath.Dir(filepath.Dir(program)), filepath.Dir(program),
				filepath.Dir(filepath.Dir(dir)), filepath.Dir(dir)} {
				if err := os.Chmod(path, 0o755); err != nil {
					t.Fatal(err)
				}
			}
			c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
			c.Dir = "/"
		}
		out, err := c.CombinedOutput()
		var code *exec.ExitError
		if !errors.As(err, &code) || code.ExitCode() != 1 || !bytes.Contains(out, []byte(store)) ||
			!bytes.Contains(out, []byte("permission denied")) {
			t.Errorf("%s: %v\n%s", command, err, out)
		}
	}
}

func newSiege(t *testing.T, program, address string, hook bool) *siege {
	t.Helper()
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	g := &siege{t: t, rng: rand.New(rand.NewPCG(seed, 1)), program: program, hook: hook}
	g.fewest.kills, g.fewest.redelivered = 5, 1
	st, err := openStore(t.Context(), setup.Secret(address), false)
	if err != nil {
		t.Fatal(err)
	}
	g.store = st
	t.Cleanup(func() { _ = st.Close() })
	g.hour = &turnover{}
	g.platform = standin.New(standin.Options{Now: g.hour.Now, Webhook: &g.front, OnAck: g.acknowledged,
		OnTaken: func(id int64) { g.acknowledged(id + 1) }})
	t.Cleanup(g.platform.Close)
	srv := httptest.NewServer(g.platform)
	t.Cleanup(srv.Close)
	practice := filepath.Join(t.TempDir(), "practice.toml")
	g.env = []string{"DUSKDAWN_TOKEN=" + standin.Token, "DUSKDAWN_API=" + srv.URL, "DUSKDAWN_STORE=" + address,
		"DUSKDAWN_PRACTICE=" + practice}
	if hook {
		at := freeAddress(t)
		g.env = append(g.env, "DUSKDAWN_LISTEN="+at, "DUSKDAWN_WEBHOOK=https://"+at+"/webhook",
			"DUSKDAWN_WEBHOOK_SECRET=a-secret-of-the-test")
	}
	g.settle(practice)
	return g
}

// run kills until the time is over and the last prompts are due, lets what is
// left come to an end, and counts.
func (g *siege) run(d time.Duration) {
	ctx, people := g.crowd(d)
	for ctx.Err() == nil {
		p := g.start()
		if g.rng.IntN(5) == 0 { // while it starts
			time.Sleep(time.Duration(g.rng.IntN(400)) * time.Millisecond)
		} else {
			p.ready(ctx)
			time.Sleep(time.Duration(g.rng.IntN(1500)) * time.Millisecond)
		}
		p.kill()
	}
	people.Wait()
	p := g.start()
	p.ready(g.t.Context())
	g.end(p)
}

// crowd has everybody at it until the context it gives ends: after d, and no
// sooner than the last prompts are due.
func (g *siege) crowd(d time.Duration) (context.Context, *sync.WaitGroup) {
	end := time.Now().Add(d)
	if last := g.prompt[len(g.prompt)-1].Add(8 * time.Second); end.Before(last) {
		end = last
	}
	ctx, cancel := context.WithDeadline(g.t.Context(), end)
	g.t.Cleanup(cancel)
	people := &sync.WaitGroup{}
	for _, s := range g.people {
		r := rand.New(rand.NewPCG(g.rng.Uint64(), 2))
		people.Go(func() { s.live(ctx, g, r) })
	}
	for _, user := range g.staff {
		r := rand.New(rand.NewPCG(g.rng.Uint64(), 3))
		people.Go(func() { g.onDuty(ctx, user, r) })
	}
	return ctx, people
}

// end lets the processes that run take what waits, stops them, brings what is
// left to its end, and counts.
func (g *siege) end(running ...*process) {
	g.waitForUpdates(running[0])
	for _, p := range running {
		p.stop()
	}
	g.goOn()
	g.count()
}

// process is one run of the program.
type process struct {
	g     *siege
	cmd   *exec.Cmd
	logs  bytes.Buffer
	ended chan error
	asked int // requests for work that came before it
}

func (g *siege) start(env ...string) *process {
	p := &process{g: g, cmd: exec.Command(g.program, "serve"), ended: make(chan error, 1), asked: g.asked()}
	p.cmd.Env = slices.Concat(os.Environ(), g.env, env)
	p.cmd.Stderr = &p.logs
	if err := p.cmd.Start(); err != nil {
		g.t.Fatal(err)
	}
	go func() { p.ended <- p.cmd.Wait() }()
	g.t.Cleanup(func() { _ = p.cmd.Process.Kill() })
	return p
}

// asked is how often a program said that it is there to take updates.
func (g *siege) asked() int {
	if g.hook {
		return g.platform.Calls("setWebhook")
	}
	return g.platform.Calls("getUpdates")
}

// ready waits until the program takes updates.
func (p *process) ready(ctx context.Context) {
	for end := time.Now().Add(30 * time.Second); p.g.asked() == p.asked &&
		ctx.Err() == nil; time.Sleep(2 * time.Millisecond) {
		select {
		case err := <-p.ended:
			p.g.t.Fatalf("the program ended by itself: %v\n%s", err, &p.logs)
		default:
		}
		if time.Now().After(end) {
			p.g.t.Fatalf("the program takes no updates\n%s", &p.logs)
		}
	}
}

// kill is kill -9.
func (p *process) kill() {
	g := p.g
	select {
	case err := <-p.ended:
		g.t.Fatalf("the program ended by itself: %v\n%s", err, &p.logs)
	default:
	}
	_ = p.cmd.Process.Kill()
	<-p.ended
	g.mu.Lock()
	g.kills = append(g.kills, time.Now())
	g.mu.Unlock()
	g.logs.Write(p.logs.Bytes())
}

// stop ends it as a service manager does, and wants a clean end. One that has not
// said a word had not begun: the system ends that by itself.
func (p *process) stop() {
	_ = p.cmd.Process.Signal(syscall.SIGTERM)
	select {
	case err := <-p.ended:
		if err != nil && p.logs.Len() > 0 {
			p.g.t.Errorf("after a SIGTERM: %v\n%s", err, &p.logs)
		}
	case <-time.After(40 * time.Second):
		p.g.t.Error("the program does not end")
	}
	p.g.logs.Write(p.logs.Bytes())
}

// waitForUpdates waits until the platform has nothing left to hand out.
func (g *siege) waitForUpdates(p *process) {
	ctx, cancel := context.WithTimeout(g.t.Context(), 3*time.Minute)
	defer cancel()
	if err := g.platform.Wait(ctx, g.platform.Quiet); err != nil {
		g.t.Fatalf("%d updates are never taken\n%s", g.platform.Pending(), &p.logs)
	}
}

// goOn runs what is left to its end by a program in this process whose clock is
// two minutes ahead and that keeps to no flood limit: on Redis, what a killed
// process was sending, and what stood behind it, waits until its lease runs out.
func (g *siege) goOn() {
	api, err := telegram.New(telegram.Options{Token: standin.Token, Transport: g.platform.Transport()})
	if err != nil {
		g.t.Fatal(err)
	}
	p, err := build(g.t.Context(), parts{store: g.store, api: api, clock: astray{scheduler.RealClock{}, 2 * time.Minute},
		free: true})
	if err != nil {
		g.t.Fatal(err)
	}
	ctx, stop := context.WithCancel(g.t.Context())
	done := make(chan struct{})
	go func() { defer close(done); _ = p.runner.Run(ctx) }()
	g.drain()
	stop()
	<-done
}

// drain waits until every update is taken, every timer fired and every message settled.
func (g *siege) drain() {
	ctx := g.t.Context()
	for end := time.Now().Add(3 * time.Minute); ; time.Sleep(20 * time.Millisecond) {
		due, err := g.store.Next(ctx)
		if err != nil {
			g.t.Fatal(err)
		}
		out, err := g.store.Ready(ctx, store.LaneAll)
		if err != nil {
			g.t.Fatal(err)
		}
		if g.platform.Quiet() && out.IsZero() && (due.IsZero() || due.After(time.Now())) {
			return
		}
		if time.Now().After(end) {
			g.t.Fatalf("it never becomes quiet: %d updates, next timer %v, next message %v", g.platform.Pending(), due, out)
		}
	}
}

// acknowledged is called when the platform may forget everything below an
// update: each must be in the store by then, whatever happens next.
func (g *siege) acknowledged(offset int64) {
	g.mu.Lock()
	var check []said
	for _, s := range g.said {
		if !s.sure && (s.update < offset && !g.hook || s.update == offset-1) {
			check = append(check, s)
		}
	}
	g.mu.Unlock()
	kept := map[int64]bool{}
	for _, s := range check {
		if kept[s.update] = g.stored(s); !kept[s.update] {
			g.early.Add(1)
			g.t.Errorf("update %d was acknowledged and is not stored", s.update)
		}
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	for i := range g.said {
		g.said[i].sure = g.said[i].sure || kept[g.said[i].update]
	}
}

// stored reports whether the event of what was said is committed. A store that is
// away is asked again until it is back.
func (g *siege) stored(s said) bool {
	for end := time.Now().Add(2 * time.Minute); ; time.Sleep(100 * time.Millisecond) {
		is, err := g.known(s)
		if err == nil {
			return is
		}
		if time.Now().After(end) {
			g.t.Error(err)
			return false
		}
	}
}

func (g *siege) known(s said) (bool, error) {
	if s.ref.Kind == store.Patient {
		for r, err := range g.store.Journal(context.Background(), s.ref) {
			if err != nil || r.Event == s.event {
				return err == nil, err
			}
		}
		return false, nil
	}
	err := g.store.Update(context.Background(), s.ref, s.event, time.Now(),
		func(store.Aggregate) (store.Change, error) { return store.Change{}, errCrash })
	switch {
	case errors.Is(err, store.ErrSeen):
		return true, nil
	case errors.Is(err, errCrash):
		return false, nil
	}
	return false, err
}

// send has a person do something, and remembers the event that must follow.
func (g *siege) send(s said, act func() (id string, err error)) {
	g.mu.Lock()
	defer g.mu.Unlock()
	s.at = time.Now()
	id, err := act()
	if err != nil {
		return // a button or a key that went away
	}
	s.update = g.platform.LastUpdate()
	s.event = fmt.Sprintf("u/%d/%d/%s", s.update, s.user, id)
	g.said = append(g.said, s)
}
