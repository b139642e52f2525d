package cohort

import (
	"syscall"
	"testing"
	"time"

	"duskdawn/flows"
)

// BenchmarkNight is a virtual patient's night lived whole: the flow, the body,
// the habits, staff, timers and the watch over the promises; in two one-line
// days or button by button. The copy of the state beside it is the floor.
func BenchmarkNight(b *testing.B) {
	lived := func(presses bool) func(*testing.B) {
		return func(b *testing.B) {
			tr := &Trial{Plan: Usual(), Nights: 60, Seed: 4}
			pl := tr.Player()
			pl.only = &presses
			b.ReportAllocs()
			from, n := cpu(), 0
			for b.Loop() {
				pl.Live(n % 64)
				n++
			}
			nights := float64(pl.Tally.Nights)
			b.ReportMetric(float64(cpu()-from)/nights, "cpu-ns/night")
			b.ReportMetric(float64(b.Elapsed())/nights, "ns/night")
		}
	}
	b.Run("lines", lived(false))
	b.Run("buttons", lived(true))
	b.Run("copy", func(b *testing.B) {
		tr := &Trial{Plan: Usual(), Nights: 20, Seed: 4}
		pl := tr.Player()
		pl.Live(1)
		var p flows.Patient
		from := cpu()
		for b.Loop() {
			p = pl.p
		}
		b.ReportMetric(float64(cpu()-from)/float64(b.N), "cpu-ns/op")
		_ = p
	})
}

// cpu is the process's own time: on a shared machine the wall counts what
// others do.
func cpu() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
