package siege

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"

	"duskdawn/bot/standin"
)

// weather is one kind of trouble: what goes wrong, for a moment.
type weather struct {
	name   string
	faults []standin.Fault
	doubt  bool          // what is sent meanwhile may have arrived, and nobody was told
	begin  func() func() // what else goes wrong, and what mends it
}

// Methods that a chat does not wait for.
var cosmetic = []string{"setMyCommands", "setMyDescription", "setMyShortDescription", "answerCallbackQuery",
	"editMessageReplyMarkup"}

// trouble is what may come, each for a second or several. Any call may meet it,
// polling too where that is named.
func (g *Siege) trouble(p *Process) weather {
	one := func(name string, kind standin.Kind, methods ...string) weather {
		w := weather{name: name}
		for _, m := range methods {
			w.faults = append(w.faults, standin.Fault{Kind: kind, Method: m, Times: -1, RetryAfter: 1 + g.rng.IntN(60)})
		}
		return w
	}
	all := []weather{
		one("401", standin.Unauthorized, "sendMessage", "getUpdates"),
		one("404", standin.NotFound, "", "getUpdates"),
		one("409 of others", standin.Conflict, "sendMessage"),
		one("500", standin.ServerError, "", "getUpdates"),
		one("502 of sends", standin.BadGateway, "sendMessage"),
		one("429 of sends", standin.TooMany, "sendMessage"),
		one("429 of polls", standin.TooMany, "getUpdates"),
		one("cut requests", standin.Dropped, "", "getUpdates"),
		one("cut answers", standin.Lost, "sendMessage"),
		one("empty answers", standin.Empty, "getUpdates"),
		one("slow sends", standin.Delay, "sendMessage"),
		one("slow trifles", standin.Delay, cosmetic...),
		{name: "standstill", begin: p.standStill},
	}
	if g.away != nil {
		all = append(all, weather{name: "no store", begin: g.away})
	}
	w := all[g.rng.IntN(len(all))]
	w.doubt = w.begin != nil || w.name == "cut answers" || w.name == "slow sends"
	return w
}

// standStill stops the process without its knowing.
func (p *Process) standStill() func() {
	_ = p.cmd.Process.Signal(syscall.SIGSTOP)
	return func() { _ = p.cmd.Process.Signal(syscall.SIGCONT) }
}

// RunFaults has trouble after trouble come over programs that go on, each built
// for a machine of its own, with pauses as long as the trouble, lets what is left
// come to its end, and counts.
func (g *Siege) RunFaults(programs ...string) {
	var live []*Process
	for _, program := range programs {
		live = append(live, g.start(program, nil))
		live[0].Ready(g.t.Context())
	}
	ctx, people := g.Crowd()
	came := map[string]int{}
	for ctx.Err() == nil {
		w := g.trouble(live[g.rng.IntN(len(live))])
		came[w.name]++
		g.under(ctx, w)
		pauseFor(ctx, g.rng, 500*time.Millisecond, 3*time.Second)
	}
	people.Wait()
	g.End(live...)
	unanswered, contradicted := g.heard()
	g.t.Logf("troubles %v; unanswered %d, contradicted %d; the slowest red flag was answered after %v", came, unanswered,
		contradicted, g.slowest.Round(10*time.Millisecond))
	if len(came) < 3 {
		g.t.Errorf("too few troubles to prove anything: %s", slices.Collect(maps.Keys(came)))
	}
}

// under has one trouble last for some seconds.
func (g *Siege) under(ctx context.Context, w weather) {
	over := make(chan struct{})
	end := sync.OnceFunc(func() { close(over) })
	defer end()
	lasts := time.Second + time.Duration(g.rng.Int64N(int64(4*time.Second)))
	for _, f := range w.faults {
		f.Until = over
		g.platform.Inject(f)
	}
	mend := func() {}
	if w.begin != nil {
		mend = w.begin()
	}
	for until := time.Now().Add(lasts); time.Now().Before(until) && ctx.Err() == nil; time.Sleep(200 * time.Millisecond) {
		g.mark(w)
	}
	g.platform.Mend()
	end()
	mend()
	g.mark(w)
}

// mark notes a moment at which what was sent may be in doubt.
func (g *Siege) mark(w weather) {
	if w.doubt {
		g.mu.Lock()
		g.doubtful = append(g.doubtful, time.Now())
		g.mu.Unlock()
	}
}

// heard counts who was never answered, and who was told anything like the usual
// behind the caution of an emergency, before writing again.
func (g *Siege) heard() (unanswered, contradicted int) {
	all := g.all()
	for _, one := range g.people {
		told := g.platform.Messages(one.User)
		var last time.Time
		for i, s := range all {
			if s.user != one.User {
				continue
			}
			last = s.at
			if !s.flag {
				continue
			}
			next := time.Now()
			for _, later := range all[i+1:] {
				if later.user == one.User {
					next = later.at
					break
				}
			}
			caution := time.Time{}
			for _, m := range told {
				switch {
				case !m.Bot || m.At.Before(s.at) || m.At.After(next):
				case strings.Contains(m.Text, "911"):
					caution = m.At
				case !caution.IsZero() && (strings.HasPrefix(m.Text, "Saved") || strings.HasPrefix(m.Text, "Tonight,") ||
					strings.HasPrefix(m.Text, "Change nothing")):
					contradicted++
					g.t.Errorf("%s was told %.60q behind a caution", one.Label, m.Text)
				}
			}
		}
		if !last.IsZero() && !slices.ContainsFunc(told, func(m standin.Message) bool { return m.Bot && !m.At.Before(last) }) {
			unanswered++
			g.t.Errorf("%s wrote at %v and heard nothing any more", one.Label, fmt.Sprint(last.Format("15:04:05")))
		}
	}
	return unanswered, contradicted
}
