package siege

import (
	"flag"
	"path/filepath"
	"testing"
	"time"

	"duskdawn/bot/talktest"
	"duskdawn/store/redistest"
)

// weatherFor is how long the platform fails in one way after the other, on each store.
var weatherFor = flag.Duration("weather", 30*time.Second, "how long TestFaults lets the platform fail; minutes for a long run")

// TestFaults has refusals, broken and slow answers, waits and standstills come one
// after the other, while patients and staff write, tap and are asked: nothing is
// lost, done twice, left unanswered or contradicted, and every red flag has its caution.
func TestFaults(t *testing.T) {
	talktest.OnlyInSiege(t)
	program := Build(t)
	run := func(t *testing.T, address string, processes int) {
		t.Parallel()
		g := New(t, program, address, false, *weatherFor)
		g.fewest.kills, g.fewest.redelivered = 0, 0
		g.RunFaults(processes)
	}
	t.Run("sqlite", func(t *testing.T) { run(t, "sqlite:"+filepath.Join(t.TempDir(), "d.db"), 1) })
	t.Run("redis", func(t *testing.T) { run(t, redistest.Address(t), 2) })
}
