package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"duskdawn/bot/health"
	"duskdawn/bot/metrics"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/sqlite"
)

// vitals are what reports whether the program lives, and whether all is well.
type vitals struct {
	hooked   bool                          // the platform calls us, and is not polled
	answered atomic.Int64                  // Unix nanoseconds of the platform's last answer to the poller
	skew     atomic.Pointer[time.Duration] // our clock less the platform's
	metrics  *metrics.Metrics
	probe    probe
	beats    struct{ runner, poller, lease health.Pulse }
}

const (
	pollStale   = 90 * time.Second // the platform keeps a tap for 150 seconds
	urgentStale = 60 * time.Second
)

// living are the loops, each of which must have moved when it said it would.
func (p *program) living() []health.Check {
	return []health.Check{health.Loop("runner", &p.beats.runner), health.Loop("poller", &p.beats.poller),
		health.Loop("lease", &p.beats.lease)}
}

// well is what must be so beside, for patients to get what is due to them.
func (p *program) well() []health.Check {
	return append(p.living(),
		health.Check{Name: "store", Is: func(ctx context.Context) error { return p.probe.write(ctx, p.store) }},
		health.Check{Name: "polling", Is: p.polls},
		health.Check{Name: "clock", Is: p.clockFits},
		health.Check{Name: "outbox", Is: p.urgentGoes},
		health.Check{Name: "zones", Is: p.zoneKnown},
		health.Check{Name: "token", Is: wrongIf(p.refused, "the platform refuses it")},
		health.Check{Name: "restore", Is: wrongIf(p.runner.Frozen, "a restored copy waits for the owner's release")},
		health.Check{Name: "rival", Is: wrongIf(p.runner.Rival, "another program polls with this token")})
}

// refused reports whether the platform refuses the token, be it for a moment.
func (p *program) refused() bool { return p.api.Doubted() > 0 }

func wrongIf(is func() bool, words string) func(context.Context) error {
	return func(context.Context) error {
		if is() {
			return errors.New(words)
		}
		return nil
	}
}

// polls reports whether updates come in: where the platform calls us, or another
// process on the store is the one to poll, that is not ours to know.
func (p *program) polls(context.Context) error {
	if p.hooked || !p.leader.leads() {
		return nil
	}
	last := time.Unix(0, max(p.answered.Load(), p.leader.since.Load()))
	if age := time.Since(last); age > pollStale {
		return fmt.Errorf("the platform has not answered for %s", age.Round(time.Second))
	}
	return nil
}

func (p *program) clockFits(context.Context) error {
	if d := p.skew.Load(); d != nil && d.Abs() > maxSkew {
		return fmt.Errorf("off by %s from the platform's", d.Round(time.Second))
	}
	return nil
}

// urgentGoes reports whether what is urgent goes out: red flags, and the events
// by which they reach the desk.
func (p *program) urgentGoes(ctx context.Context) error {
	b, err := p.store.Waiting(ctx)
	if err != nil {
		return errors.New("cannot be counted")
	}
	for lane, name := range map[store.Lane]string{store.LaneEvent: "an event", store.LaneUrgent: "an urgent message"} {
		if of := b[lane]; of.Items > 0 {
			if age := p.clock.Now().Sub(of.Oldest); age > urgentStale {
				return fmt.Errorf("%s waits for %s", name, age.Round(time.Second))
			}
		}
	}
	return nil
}

func (p *program) zoneKnown(ctx context.Context) error {
	pr, err := p.practice(ctx)
	if err != nil {
		return errors.New("the practice cannot be read")
	}
	// without a practice there is nothing to tell the time for
	if _, err := p.zones.Load(pr.Zone); err != nil && pr.Zone != "" {
		return errors.New("the practice's zone is not in the zone data")
	}
	return nil
}

// probe writes to the store to learn whether it can be written to: a lease that
// nobody needs. It asks at most once a second, and one at a time, since a store
// that hangs would keep every question.
type probe struct {
	mu  sync.Mutex
	at  time.Time
	err error
}

const probeFor = time.Second

func (b *probe) write(ctx context.Context, st store.Store) error {
	if !b.mu.TryLock() {
		return errors.New("a write has not come back")
	}
	defer b.mu.Unlock()
	if time.Since(b.at) < probeFor {
		return b.err
	}
	_, err := st.Lead(ctx, "probe", "whoever looks", probeFor) // every process renews the same one
	if b.err = nil; err != nil {
		b.err = errors.New("it takes no write")
	}
	b.at = time.Now()
	return b.err
}

// attend tells the service manager that we are ready, and goes on telling it
// that we live for as long as every loop moves. end stops that.
func (p *program) attend(ctx context.Context, m health.Manager) (end func()) {
	every := m.Every()
	if every <= 0 {
		every = 10 * time.Second
	}
	m.Ready() // best effort, as the others: the manager notices what it does not hear
	stopping := context.AfterFunc(ctx, func() {
		p.log.Info("stop")
		m.Stopping()
	})
	over, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		tick := time.NewTicker(every)
		defer tick.Stop()
		for stuck := false; ; {
			select {
			case <-over:
				return
			case <-tick.C:
			}
			wrong := health.Wrong(context.WithoutCancel(ctx), p.living())
			if len(wrong) == 0 {
				m.Alive()
			} else if !stuck {
				name, _, _ := strings.Cut(wrong[0], ":")
				p.log.Error("stuck", "check", name)
			}
			stuck = len(wrong) > 0
		}
	}()
	return func() {
		stopping()
		close(over)
		<-done
	}
}

// counted is what the metrics read.
func (p *program) counted() metrics.Source {
	return metrics.Source{
		Store: p.store, Stats: &p.runner.Stats, Version: version(), Now: p.clock.Now, Leads: p.leader.leads,
		Backup: p.backedUp,
		Polled: func() time.Time {
			if ns := p.answered.Load(); ns != 0 {
				return time.Unix(0, ns)
			}
			return time.Time{}
		},
		Skew: func() (time.Duration, bool) {
			if d := p.skew.Load(); d != nil {
				return *d, true
			}
			return 0, false
		},
		Holds: map[string]func() bool{"clock": p.runner.Doubt, "restore": p.runner.Frozen, "rival": p.runner.Rival,
			"token": p.refused},
	}
}

// A whole copy leaves a mark beside the file it was made of, empty and of its
// time, so that serve can tell how old the last one is.
const copiedMark = ".copied"

func markCopied(path string) error {
	if err := os.WriteFile(path+copiedMark, nil, 0o600); err != nil {
		return err
	}
	now := time.Now()
	return os.Chtimes(path+copiedMark, now, now)
}

func (p *program) backedUp() time.Time {
	if file, ok := p.store.(*sqlite.Store); ok {
		if info, err := os.Stat(file.Path() + copiedMark); err == nil {
			return info.ModTime()
		}
	}
	return time.Time{}
}

// named lets a panic of a handler go on to whoever takes it, by its line and
// without its value, which may hold an answer.
func (p *program) named(part string) {
	if recover() != nil {
		p.runner.Stats.Panics.Add(1)
		p.log.Error("panic", "part", part, "class", scheduler.Where())
		panic("logged by its line")
	}
}

// version is what the program was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" {
		return "unknown"
	}
	return info.Main.Version
}
