package main

import (
	"context"
	"crypto/rand"
	"sync/atomic"
	"time"
)

// One of the processes on a store polls the platform: it holds a lease of ten
// seconds, renewed every three, by the store's own clock. When it dies another
// takes over within the lease and one renewal.
const (
	leaseFor   = 10 * time.Second
	renewEvery = 3 * time.Second
	leaseName  = "poll"
)

// leader holds the lease, or waits for it. A lease that could not be renewed
// ends here before it ends in the store, so that two never poll at once.
type leader struct {
	until atomic.Int64 // Unix nanoseconds
}

// leads tells whether this process is the one to poll.
func (l *leader) leads() bool { return time.Now().UnixNano() < l.until.Load() }

// run renews until the context ends, then gives the lease up. tried is closed
// after the first try.
func (l *leader) run(ctx context.Context, p *program, tried chan<- struct{}) {
	who := rand.Text()
	tick := time.NewTicker(renewEvery)
	defer tick.Stop()
	for first := true; ; first = false {
		asked := time.Now()
		switch ok, err := p.store.Lead(ctx, leaseName, who, leaseFor); {
		case err != nil && ctx.Err() == nil:
			p.log.Error("lease", "class", "store")
		case ok:
			l.until.Store(asked.Add(leaseFor - time.Second).UnixNano())
		case err == nil:
			l.until.Store(0)
		}
		if first {
			close(tried)
		}
		select {
		case <-tick.C:
			continue
		case <-ctx.Done():
		}
		l.until.Store(0)
		end, cancel := context.WithTimeout(context.WithoutCancel(ctx), time.Second)
		defer cancel()
		p.store.Lead(end, leaseName, who, 0) // best effort: it ends by itself
		return
	}
}
