package siege

import (
	"time"

	"duskdawn/store/redistest"
)

// RunTwo kills one of two processes again and again, within the given time of
// the last, and starts it anew beside the other.
func (g *Siege) RunTwo(within time.Duration) {
	var live [2]*Process
	var own [2][]string
	for i := range live {
		if g.hook {
			at := redistest.FreeAddress(g.t)
			g.front.to = append(g.front.to, at)
			own[i] = []string{"DUSKDAWN_LISTEN=" + at}
		}
	}
	for i := range live {
		live[i] = g.Start(own[i]...)
		live[0].Ready(g.t.Context())
	}
	ctx, people := g.Crowd()
	for ctx.Err() == nil {
		pauseFor(ctx, g.rng, 0, within)
		if ctx.Err() != nil {
			break
		}
		i := g.rng.IntN(2)
		live[i].Kill()
		pauseFor(ctx, g.rng, 0, within/2)
		live[i] = g.Start(own[i]...)
	}
	people.Wait()
	g.End(live[:]...)
}

// RunWithout takes Redis away from two processes under load and gives it back:
// after a minute in a long run, after ten seconds in a short one.
func (g *Siege) RunWithout(r *redistest.Server) {
	first := g.Start()
	first.Ready(g.t.Context())
	met := g.platform.Calls("getMe")
	second := g.Start()
	second.Begun(g.t.Context(), met) // one that has not opened its store ends when the store goes
	ctx, people := g.Crowd()
	pauseFor(ctx, g.rng, 8*time.Second, 10*time.Second)
	away := 10 * time.Second
	if g.lasts > time.Minute {
		away = time.Minute
	}
	r.Kill()
	g.mu.Lock()
	g.kills = append(g.kills, time.Now())
	g.mu.Unlock()
	time.Sleep(away)
	r.Start(g.t)
	back := time.Now()
	people.Wait()
	g.End(first, second)
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
