package program

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"time"

	"duskdawn/bot/health"
	"duskdawn/bot/metrics"
	"duskdawn/store"
)

// vitals are what reports whether the program lives, and whether all is well.
type vitals struct {
	hooked   bool                          // the platform calls us, and is not polled
	unstored atomic.Bool                   // what was taken last could not be stored
	pollWait atomic.Int64                  // nanoseconds that the platform asks the poller to wait; 0 where it answers
	answered atomic.Int64                  // as counted, in Unix nanoseconds: the platform's last answer to the poller
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
func (p *Program) living() []health.Check {
	return []health.Check{health.Loop("runner", &p.beats.runner), health.Loop("poller", &p.beats.poller),
		health.Loop("lease", &p.beats.lease)}
}

// well is what must be so beside, for patients to get what is due to them.
func (p *Program) well() []health.Check {
	return append(p.living(),
		health.Check{Name: "store", Is: func(ctx context.Context) error { return p.probe.write(ctx, p.Store) }},
		health.Check{Name: "intake", Is: wrongIf(p.unstored.Load, "what people write cannot be stored")},
		health.Check{Name: "polling", Is: p.polls},
		health.Check{Name: "clock", Is: p.clockFits},
		health.Check{Name: "outbox", Is: p.urgentGoes},
		health.Check{Name: "zones", Is: p.zoneKnown},
		health.Check{Name: "token", Is: wrongIf(p.refused, "the platform refuses it")},
		health.Check{Name: "flood", Is: p.flooded},
		health.Check{Name: "restore", Is: wrongIf(p.Runner.Frozen, "a restored copy waits for the owner's release")},
		health.Check{Name: "rival", Is: wrongIf(p.Runner.Rival, "another program polls with this token")})
}

// refused reports whether the platform refuses the token, be it for a moment.
func (p *Program) refused() bool { return p.api.Doubted() > 0 }

// flooded reports whether the platform asks for a longer wait than what is
// urgent keeps to.
func (p *Program) flooded(context.Context) error {
	wait := max(p.Runner.Asked(), time.Duration(p.pollWait.Load()))
	if wait > store.UrgentHold {
		return fmt.Errorf("the platform asked for a wait of %s; it is asked again sooner", wait.Round(time.Second))
	}
	return nil
}

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
func (p *Program) polls(context.Context) error {
	if p.hooked || !p.leader.leads() {
		return nil
	}
	last := time.Unix(0, max(p.answered.Load(), p.leader.since.Load()))
	if age := counted().Sub(last); age > pollStale {
		return fmt.Errorf("the platform has not answered for %s", age.Round(time.Second))
	}
	return nil
}

func (p *Program) clockFits(context.Context) error {
	if d := p.skew.Load(); d != nil && d.Abs() > maxSkew {
		return fmt.Errorf("off by %s from the platform's", d.Round(time.Second))
	}
	return nil
}

// urgentGoes reports whether what is urgent goes out: red flags, and the events
// by which they reach the desk.
func (p *Program) urgentGoes(ctx context.Context) error {
	b, err := p.Store.Waiting(ctx)
	if err != nil {
		return errors.New("cannot be counted")
	}
	for lane, name := range map[store.Lane]string{store.LaneEvent: "an event", store.LaneUrgent: "an urgent message"} {
		if of := b[lane]; of.Items > 0 {
			if age := p.Clock.Now().Sub(of.Oldest); age > urgentStale {
				return fmt.Errorf("%s waits for %s", name, age.Round(time.Second))
			}
		}
	}
	return nil
}

func (p *Program) zoneKnown(ctx context.Context) error {
	pr, err := p.Practice(ctx)
	if err != nil {
		return errors.New("the practice cannot be read")
	}
	// without a practice there is nothing to tell the time for
	if _, err := p.zones.Load(pr.Zone); err != nil && pr.Zone != "" {
		return errors.New("the practice's zone is not in the zone data")
	}
	return nil
}
