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
// after the other, full disks and a Redis that dies among them, while patients and
// staff write, tap and are asked: nothing is lost, done twice, left unanswered or
// contradicted, and every red flag has its caution. The clock of one of two
// processes is a minute and a half ahead.
func TestFaults(t *testing.T) {
	talktest.OnlyInSiege(t)
	program := Build(t)
	run := func(t *testing.T, address string, away func() func(), programs ...string) {
		g := New(t, program, address, false, *weatherFor)
		g.fewest.kills, g.fewest.redelivered = 0, 0
		g.away = away
		g.RunFaults(programs...)
	}
	t.Run("sqlite", func(t *testing.T) {
		t.Parallel()
		dir, full := smallDisk(t)
		run(t, "sqlite:"+filepath.Join(dir, "d.db"), full, program)
	})
	t.Run("redis", func(t *testing.T) {
		t.Parallel()
		r := redistest.New(t)
		away := func() func() { r.Kill(); return func() { r.Start(t) } }
		run(t, r.Address, away, program, BuildAstray(t, 90*time.Second))
	})
}
