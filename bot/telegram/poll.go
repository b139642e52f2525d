package telegram

import (
	"context"
	"encoding/json"
	"sync/atomic"
	"time"
)

const (
	pollWait    = 50 * time.Second // the platform cuts a longer wait
	pollTimeout = 65 * time.Second // of one request, so that a dead connection is noticed
	pollLimit   = 100
	stall       = 3 * time.Second  // how long a batch may hold up the next request; the platform brakes a repeated one below this
	gapLimit    = 2 * time.Minute  // the platform forgets a tap after 150 s
	drainLimit  = 5 * time.Minute  // what fails for so long holds up its own chat alone
	slack       = 30 * time.Second // for a machine that is busy
	backOffMin  = 200 * time.Millisecond
	backOffMax  = 30 * time.Second
	laterMost   = 30 * time.Second       // of a wait that is asked for: what people write may be urgent
	soonest     = 500 * time.Millisecond // an empty answer that comes sooner was not waited for
	dropMost    = 3
	spinMost    = 2 * time.Second // of the pause behind such a one
)

const (
	// ErrRevoked ends polling: the platform refuses the token for good.
	ErrRevoked = fault("the platform refuses the token")
)

// PollOptions of a poller. Handle and SetAside are required.
type PollOptions struct {
	// Handle keeps an update for good. Nil says that it is durable and may be
	// acknowledged; after an error, or a panic, it is called again with
	// back-off, in this process or the next; after an Unfit error, or too many
	// panics, the update is set aside. Updates of one chat come one after
	// the other, those of other chats at the same time.
	Handle func(context.Context, Update) error
	// SetAside keeps an update that cannot be read or handled. Its error is retried alike.
	SetAside func(ctx context.Context, raw json.RawMessage, class string) error
	// May reports whether this process is the one to poll; nil is always.
	May func() bool
	// OnConflict is called for each 409: another program polls with this token.
	OnConflict func()
	// OnLater is called with each wait that the platform asks the poller for.
	OnLater func(time.Duration)
	// OnStuck is called, once for each, for an update that has failed three times
	// and for those that wait behind it in its chat: what cannot wait may be
	// answered without having been kept. It may take time; its chat stands anyway.
	OnStuck func(context.Context, Update)
	// OnGap is called when polling works again after more than two minutes, or
	// for the first time (then with 0), before anything is handled. Taps of the
	// gap may be lost.
	OnGap func(time.Duration)
	// OnAnswer is called for each answer, after OnGap.
	OnAnswer func()
	// OnDrained is called once after each OnGap, when everything that waited at
	// the platform is handled, or has failed for five minutes.
	OnDrained func()
	// Moves is told, before each thing that may take time, within which time
	// the poller will move again at the latest.
	Moves func(within time.Duration)

	Workers int              // how many updates are handled at once; default 100, a whole batch
	Now     func() time.Time // the clock of gaps; default time.Now
}

// Poller receives by long polling and acknowledges only what is handled.
type Poller struct {
	c    *Client
	o    PollOptions
	tray *tray

	offset   int64 // everything below it is handled
	last     time.Time
	since    time.Time // of the gap's end
	begun    bool
	draining bool
	drops    int // webhooks that were taken away
	spins    int // answers in a row that brought nothing and came at once
	idle     atomic.Bool
}

// Poller makes a poller; Run starts it.
func (c *Client) Poller(o PollOptions) *Poller {
	if o.Workers <= 0 {
		o.Workers = pollLimit
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Moves == nil {
		o.Moves = func(time.Duration) {}
	}
	return &Poller{c: c, o: o}
}

// Idle tells that nothing taken from the platform is unconfirmed: the poller
// waits for news.
func (p *Poller) Idle() bool { return p.idle.Load() }

// Run polls until the context ends (nil), or the token is refused for good (ErrRevoked).
// It returns when no handler runs any more. What was handled since the last
// request is acknowledged by the next start: its updates come again and the
// store knows them.
func (p *Poller) Run(ctx context.Context) error {
	p.tray = newTray(ctx, p.o, p.c.log)
	defer p.tray.wait()
	pause := backOffMin
	for ctx.Err() == nil {
		if p.o.May != nil && !p.o.May() {
			p.idle.Store(p.tray.open() == 0)
			p.rest(ctx, time.Second)
			continue
		}
		wait, err := p.once(ctx)
		if err != nil {
			return err
		}
		switch {
		case wait == 0:
			pause = backOffMin
		case wait < 0: // a failure without a time of its own
			p.rest(ctx, pause)
			pause = min(2*pause, backOffMax)
		default:
			p.rest(ctx, wait)
		}
	}
	return nil
}

// once asks once and hands out what came. It gives the time to wait before the
// next request, or -1 to back off.
func (p *Poller) once(ctx context.Context) (time.Duration, error) {
	open := p.tray.open()
	ask := request{Offset: p.offset, Limit: pollLimit, Timeout: int(pollWait / time.Second), Allowed: allowed()}
	if open > 0 || !p.begun || p.draining || p.o.Now().Sub(p.last) > gapLimit {
		ask.Timeout = 0 // learn at once whether anything waits
	}
	p.o.Moves(pollTimeout + stall + slack)
	p.idle.Store(open == 0 && ask.Timeout > 0)
	asked := time.Now()
	batch, r := p.c.updates(ctx, ask)
	early := time.Since(asked) < soonest
	p.idle.Store(false)
	switch r.Outcome {
	case Sent:
	case Revoked:
		return 0, ErrRevoked
	case Conflict:
		if r.Class == webhookSet { // of an earlier run; oftener somebody sets it against us, and is outlived
			p.o.Moves(sendTimeout + slack)
			p.c.DropWebhook(ctx)
			if p.drops++; p.drops <= dropMost {
				p.c.log.Warn("polling", "class", r.Class)
				return backOffMin, nil
			}
		}
		if p.o.OnConflict != nil {
			p.o.OnConflict()
		}
		p.c.log.Warn("polling", "class", r.Class)
		return -1, nil
	case Later:
		p.c.log.Warn("polling", "class", r.Class)
		if p.o.OnLater != nil {
			p.o.OnLater(r.RetryAfter)
		}
		return min(r.RetryAfter, laterMost), nil
	default:
		if ctx.Err() == nil {
			p.c.log.Warn("polling", "class", r.Class)
		}
		return -1, nil
	}
	p.works()
	before := p.offset
	newest := p.tray.put(batch)
	left := p.tray.settle(ctx, stall)
	if newest > 0 {
		p.offset = newest + 1
	}
	if low, ok := p.tray.lowest(); ok {
		// Something is not handled yet: ask from there, so that the platform
		// keeps it, and what other chats sent since comes along.
		p.offset = low
	} else {
		p.tray.forget()
	}
	if p.draining && len(batch) < pollLimit && (left == 0 || p.o.Now().Sub(p.since) > drainLimit) {
		p.draining = false
		if p.o.OnDrained != nil {
			p.o.OnDrained()
		}
	}
	if early && left == 0 && p.offset == before && (len(batch) > 0 || ask.Timeout > 0) {
		p.spins++ // what cannot be acknowledged, or a front that does not wait: it would come at once for ever
		return min(backOffMin<<min(p.spins-1, 10), spinMost), nil
	}
	p.spins = 0
	return 0, nil
}

// works notes that the platform answered, and tells of a gap before it.
func (p *Poller) works() {
	now := p.o.Now()
	gap := now.Sub(p.last)
	if !p.begun {
		gap = 0
	}
	if !p.begun || gap > gapLimit {
		p.draining, p.since = true, now
		if p.o.OnGap != nil {
			p.o.OnGap(gap)
		}
	}
	p.begun, p.last = true, now
	if p.o.OnAnswer != nil {
		p.o.OnAnswer()
	}
}

// rest sleeps, having told for how long.
func (p *Poller) rest(ctx context.Context, d time.Duration) {
	p.o.Moves(d + slack)
	sleep(ctx, d)
}

func sleep(ctx context.Context, d time.Duration) {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
	case <-ctx.Done():
	}
}
