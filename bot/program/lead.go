package program

import (
	"context"
	"crypto/rand"
	"sync/atomic"
	"time"

	"duskdawn/store/sqlite"
)

// One of the processes on a store polls the platform: it holds a lease of ten
// seconds, renewed every three, by the store's own clock. Whoever waits for it
// asks every second, so when the one that holds it dies another takes over
// within the lease and a second.
const (
	LeaseFor   = 10 * time.Second
	RenewEvery = 3 * time.Second
	askEvery   = time.Second
	PollLease  = "poll"
	leaseMost  = time.Minute // longer than asking may take on a store that is away
)

// Every answer of the platform renews a second lease, which has no holder but
// all of us: while it runs, no tap can have been lost between two processes.
const (
	polledName  = "polled"
	polledBy    = "whoever polls"
	polledFor   = 2 * time.Minute // the platform keeps a tap for 150 seconds
	polledEvery = 5 * time.Second // how often it is renewed at the most
)

// Processes that the platform calls share a third lease, which tells that one of
// them serves.
const (
	CalledLease = "called"
	calledBy    = "whoever is called"
)

var begun = time.Now()

// counted is the time as this process counts it since its start, or as the machine's
// clock shows it where that is later: after a machine slept. Leases and stillness are
// measured by it. A clock that is set back would have one process go on polling on a
// lease that another has taken, and hide that nobody answers.
func counted() time.Time { return laterOf(begun.Round(0).Add(time.Since(begun)), time.Now().Round(0)) }

func laterOf(a, b time.Time) time.Time {
	if a.Before(b) {
		return b
	}
	return a
}

// leader holds the lease, or waits for it. A lease that could not be renewed
// ends here before it ends in the store, so that two never poll at once; on a file,
// which serves one process, it goes on: a full disk must not make anybody deaf.
type leader struct {
	until atomic.Int64 // as counted, in Unix nanoseconds
	since atomic.Int64 // since when it leads without a break
}

// leads reports whether this process is the one to poll.
func (l *leader) leads() bool { return counted().UnixNano() < l.until.Load() }

// run renews until the context ends, then gives the lease up. tried is closed
// after the first try.
func (l *leader) run(ctx context.Context, p *Program, tried chan<- struct{}) {
	who := rand.Text()
	defer p.beats.lease.Ended()
	for first := true; ; first = false {
		p.beats.lease.Within(leaseMost)
		asked, led := counted(), l.leads()
		ok, err := p.Store.Lead(ctx, PollLease, who, LeaseFor)
		switch {
		case err != nil && ctx.Err() == nil:
			p.log.Error("lease lost", "class", "store")
			if _, one := p.Store.(*sqlite.Store); one && led { // a file serves one process: nobody else can lead meanwhile
				l.until.Store(asked.Add(LeaseFor - time.Second).UnixNano())
			}
		case ok:
			l.until.Store(asked.Add(LeaseFor - time.Second).UnixNano())
		case err == nil:
			l.until.Store(0)
		}
		if l.leads() && !led {
			l.since.Store(counted().UnixNano())
			p.log.Info("lease", "polls", true)
			p.alone(ctx)
		}
		if first {
			close(tried)
		}
		wait := askEvery
		if ok {
			wait = RenewEvery
		}
		select {
		case <-time.After(wait):
			continue
		case <-ctx.Done():
		}
		l.until.Store(0)
		end, cancel := context.WithTimeout(context.WithoutCancel(ctx), time.Second)
		defer cancel()
		p.Store.Lead(end, PollLease, who, 0) // best effort: it ends by itself
		return
	}
}

// alone takes back what a poller before us told the practice of another
// program: it is seen again where that one still polls.
func (p *Program) alone(ctx context.Context) {
	if pr, err := p.Practice(ctx); err == nil && pr.Rival {
		p.setRival(false)
	}
}

// polled notes an answer of the platform for whoever polls next.
func (p *Program) polled(ctx context.Context) {
	now := counted()
	p.answered.Store(now.UnixNano())
	p.note(ctx, now)
}

// note notes that updates can be taken.
func (p *Program) note(ctx context.Context, now time.Time) {
	if now.Sub(p.noted) < polledEvery {
		return
	}
	p.noted = now
	p.Store.Lead(ctx, polledName, polledBy, polledFor) // best effort: without it questions are asked once more
}

// gap notes how long no update could be taken. Of the time before our own first
// answer only so much is known: whether another process had one shortly before.
func (p *Program) gap(ctx context.Context, d time.Duration) {
	if d == 0 {
		who := rand.Text()
		if over, err := p.Store.Lead(ctx, polledName, who, time.Second); over || err != nil {
			d = leastGap
			p.Store.Lead(ctx, polledName, who, 0) // it was taken to see whether it is free
		}
	}
	p.away.Store(int64(d))
}
