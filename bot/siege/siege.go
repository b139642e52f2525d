package siege

import (
	"bytes"
	"context"
	"math/rand/v2"
	"net/http/httptest"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
	"duskdawn/bot/telegram"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/redistest"
)

// Siege is the real program, built and run as its own process, killed with
// kill -9 again and again while people write to it. The test plays the platform.
type Siege struct {
	t        *testing.T
	rng      *rand.Rand
	platform *standin.Server
	hour     *turnover   // the platform's clock
	store    store.Store // a handle of the test's own, beside the program's
	program  string      // path of the built program
	env      []string
	hook     bool // the platform calls the program, instead of being polled
	lasts    time.Duration
	front    Front
	away     func() func()                    // takes the store's disk or server away; the function it gives brings it back
	fewest   struct{ kills, redelivered int } // below which nothing is proved
	people   []*soul
	prompt   []time.Time // when evening prompts are due, one group of people each
	staff    []int64
	logs     bytes.Buffer // of every process, one after the other

	mu       sync.Mutex
	said     []said
	kills    []time.Time
	doubtful []time.Time   // moments beside these at which what was sent may be in doubt
	slowest  time.Duration // from a red flag to its caution
	early    atomic.Int64  // acknowledged and not stored
}

// New has a practice and its patients on a store, the day so far played,
// and a siege of so long before it: the program is polled, or called under hook.
func New(t *testing.T, binary, address string, hook bool, lasts time.Duration) *Siege {
	t.Helper()
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	g := &Siege{t: t, rng: rand.New(rand.NewPCG(seed, 1)), program: binary, hook: hook, lasts: lasts}
	g.fewest.kills, g.fewest.redelivered = 5, 1
	st, err := program.OpenStore(t.Context(), setup.Secret(address), false)
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
		at := redistest.FreeAddress(t)
		g.env = append(g.env, "DUSKDAWN_LISTEN="+at, "DUSKDAWN_WEBHOOK=https://"+at+"/webhook",
			"DUSKDAWN_WEBHOOK_SECRET=a-secret-of-the-test")
	}
	g.settle(practice)
	return g
}

// Run kills until the time is over and the last prompts are due, lets what is
// left come to an end, and counts.
func (g *Siege) Run() {
	ctx, people := g.Crowd()
	for ctx.Err() == nil {
		p := g.Start()
		if g.rng.IntN(5) == 0 { // while it starts
			time.Sleep(time.Duration(g.rng.IntN(400)) * time.Millisecond)
		} else {
			p.Ready(ctx)
			time.Sleep(time.Duration(g.rng.IntN(1500)) * time.Millisecond)
		}
		p.Kill()
	}
	people.Wait()
	p := g.Start()
	p.Ready(g.t.Context())
	g.End(p)
}

// Crowd has everybody at it until the context it gives ends: after its time, and no
// sooner than the last prompts are due.
func (g *Siege) Crowd() (context.Context, *sync.WaitGroup) {
	end := time.Now().Add(g.lasts)
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

// End lets the processes that run take what waits, stops them, brings what is
// left to its end, and counts.
func (g *Siege) End(running ...*Process) {
	g.waitForUpdates(running[0])
	for _, p := range running {
		p.Stop()
	}
	g.goOn()
	g.count()
}

// waitForUpdates waits until the platform has nothing left to hand out.
func (g *Siege) waitForUpdates(p *Process) {
	ctx, cancel := context.WithTimeout(g.t.Context(), 3*time.Minute)
	defer cancel()
	if err := g.platform.Wait(ctx, g.platform.Quiet); err != nil {
		g.t.Fatalf("%d updates are never taken\n%s", g.platform.Pending(), &p.logs)
	}
}

// goOn runs what is left to its end by a program in this process whose clock is
// two minutes ahead and that keeps to no flood limit: on Redis, what a killed
// process was sending, and what stood behind it, waits until its lease runs out.
func (g *Siege) goOn() {
	api, err := telegram.New(telegram.Options{Token: standin.Token, Transport: g.platform.Transport()})
	if err != nil {
		g.t.Fatal(err)
	}
	p, err := program.Build(g.t.Context(), program.Parts{Store: g.store, API: api, Clock: talktest.Astray{Clock: scheduler.RealClock{}, By: 2 * time.Minute},
		Free: true})
	if err != nil {
		g.t.Fatal(err)
	}
	ctx, stop := context.WithCancel(g.t.Context())
	done := make(chan struct{})
	go func() { defer close(done); _ = p.Runner.Run(ctx) }()
	g.drain()
	stop()
	<-done
}

// drain waits until every update is taken, every timer fired and every message settled.
func (g *Siege) drain() {
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
