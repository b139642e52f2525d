package program

import (
	"context"
	"sync/atomic"
	"time"

	"duskdawn/scheduler"
	"duskdawn/store"
)

// clockEvery is how often a process compares its clock with the store's.
const clockEvery = time.Minute

// timeKeeper is a store that keeps a clock of its own, on another machine.
type timeKeeper interface {
	Time(ctx context.Context) (time.Time, error)
}

// commonClock is the machine's clock put right by the store's. Leases end by
// the clock of whoever looks: two processes a minute and a half apart would each
// take what the other is just sending, and send it too.
type commonClock struct {
	scheduler.Clock
	ahead atomic.Int64 // nanoseconds by which the machine's clock is ahead
}

// CommonClock puts a clock right by a store that has one, now and every minute
// until the context ends; the clock itself for any other store.
func CommonClock(ctx context.Context, clock scheduler.Clock, st store.Store) (scheduler.Clock, error) {
	k, ok := st.(timeKeeper)
	if !ok {
		return clock, nil
	}
	c := &commonClock{Clock: clock}
	if err := c.compare(ctx, k); err != nil {
		return nil, err
	}
	go func() {
		tick := time.NewTicker(clockEvery)
		defer tick.Stop()
		for {
			select {
			case <-tick.C:
				_ = c.compare(ctx, k) // the store is away: what is known still holds
			case <-ctx.Done():
				return
			}
		}
	}()
	return c, nil
}

// compare asks the store for the time; half of what that took is taken for the way there.
func (c *commonClock) compare(ctx context.Context, k timeKeeper) error {
	asked := c.Clock.Now()
	at, err := k.Time(ctx)
	if err != nil {
		return err
	}
	took := c.Clock.Now().Sub(asked)
	c.ahead.Store(int64(asked.Add(took / 2).Sub(at)))
	return nil
}

func (c *commonClock) Now() time.Time { return c.Clock.Now().Add(-time.Duration(c.ahead.Load())) }

func (c *commonClock) Until(t time.Time) (<-chan struct{}, func()) {
	return c.Clock.Until(t.Add(time.Duration(c.ahead.Load())))
}
