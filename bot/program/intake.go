package program

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// Poll takes updates and runs the flows until the context ends, or the token is
// refused. The intake is drained before the first timer fires: an answer that
// waited counts before the reminder for it. started, where there is one, is
// called in between.
func (p *Program) Poll(ctx context.Context, started func()) error {
	ctx, cancel := context.WithCancelCause(ctx)
	drained, tried := make(chan struct{}), make(chan struct{})
	var once sync.Once
	var background sync.WaitGroup
	defer background.Wait()
	defer cancel(nil)
	background.Go(func() { p.leader.run(ctx, p, tried) })
	<-tried
	p.Poller = p.api.Poller(telegram.PollOptions{
		Handle: p.Take, SetAside: p.setAside, May: p.leader.leads,
		Moves: p.beats.poller.Within, OnConflict: p.conflict, OnGap: func(d time.Duration) { p.gap(ctx, d) },
		OnLater:  func(d time.Duration) { p.pollWait.Store(int64(d)) },
		OnStuck:  p.past,
		OnAnswer: func() { p.pollWait.Store(0); p.polled(ctx) },
		OnDrained: func() {
			p.regaining.Add(1) // before anybody is told that it has started
			once.Do(func() { close(drained) })
			background.Go(func() {
				defer p.regaining.Add(-1)
				p.regain(ctx)
			})
		},
	})
	background.Go(func() {
		defer p.beats.poller.Ended()
		if err := p.Poller.Run(ctx); err != nil {
			cancel(fmt.Errorf("taking updates: %w", err))
		}
	})
	background.Go(func() { p.untilRefused(ctx, cancel) })
	drain := p.leader.leads() // otherwise another process takes updates, and this one shares the rest of the work
	p.Runner.SetDraining(drain)
	background.Go(func() {
		if drain {
			select {
			case <-drained:
			case <-ctx.Done():
			}
			p.Runner.SetDraining(false)
		}
		if started != nil {
			started()
		}
	})
	return p.run(ctx)
}

// run runs the flows until the context ends, and says why where something of
// ours ended it.
func (p *Program) run(ctx context.Context) error {
	if err := p.Runner.Run(ctx); err != nil {
		return err
	}
	if cause := context.Cause(ctx); cause != nil && !errors.Is(cause, context.Canceled) {
		return cause
	}
	return nil
}

// untilRefused ends the program where the platform refuses the token for good.
// One who only sends learns it, too.
func (p *Program) untilRefused(ctx context.Context, end context.CancelCauseFunc) {
	select {
	case <-p.api.Refused():
		p.log.Error("token revoked")
		end(telegram.ErrRevoked)
	case <-ctx.Done():
	}
}

// recalled is how long the platform waits at the most before it calls again
// with what we did not take.
const recalled = 2 * time.Minute

// Called runs the flows while the platform calls us with updates, until the
// context ends. After a time in which no process was there to be called, open
// questions are asked again once what waited at the platform has come.
func (p *Program) Called(ctx context.Context) error {
	p.gap(ctx, 0)
	ctx, cancel := context.WithCancelCause(ctx)
	var background sync.WaitGroup
	defer background.Wait()
	defer cancel(nil)
	background.Go(func() { p.untilRefused(ctx, cancel) })
	background.Go(func() {
		again, done := p.Clock.Now().Add(recalled), false
		for ctx.Err() == nil {
			p.note(ctx, counted())
			p.Store.Lead(ctx, CalledLease, calledBy, LeaseFor) // best effort: it only keeps a restore from beginning under us
			if now := p.Clock.Now(); !done && !now.Before(again) {
				p.regain(ctx)
				done = true
			}
			ready, stop := p.Clock.Until(p.Clock.Now().Add(polledEvery))
			select {
			case <-ready:
			case <-ctx.Done():
			}
			stop()
		}
	})
	return p.run(ctx)
}

// Take handles one update; one that comes tells that nobody else polls any more.
func (p *Program) Take(ctx context.Context, u telegram.Update) error {
	defer p.named("updates")
	p.rival.gone()
	p.metrics.Received(string(u.Kind))
	err := p.Inbound.Handle(ctx, u)
	p.unstored.Store(err != nil && !errors.Is(err, store.ErrTooLarge) && !errors.Is(err, store.ErrKey) &&
		!errors.Is(err, store.ErrCorrupt))
	if errors.Is(err, store.ErrTooLarge) || errors.Is(err, store.ErrKey) { // never fits: nobody else is to wait for it
		return telegram.Unfit{Class: "cannot be kept"}
	}
	if errors.Is(err, store.ErrCorrupt) {
		return telegram.Unfit{Class: "damaged record"}
	}
	return err
}

// conflict is a 409. Whoever is no longer the one to poll yields; where we still
// are, a program that is not ours polls with our token.
// What waits at the platform then goes to that one, so nothing here waits for it
// for ever: red flags are repeated, and staff are told.
func (p *Program) conflict() {
	if p.leader.leads() && p.rival.seen() > drainMost {
		p.Runner.SetDraining(false)
	}
}

// drainMost is how long the first timer waits for the intake while another
// program polls: longer than one that was just stopped is still seen.
const drainMost = time.Minute

// leastGap stands for the unknown time before a start: longer than the platform
// keeps a tap, so that questions answered by buttons are asked again.
const leastGap = 3 * time.Minute

// regain puts the talks right after a start or a gap, once what waited at the
// platform is handled: first the timers that came due meanwhile, then whoever
// was asked something that may have been answered in vain. The platform keeps a
// tap for 150 seconds and a message for a day.
func (p *Program) regain(ctx context.Context) {
	for fired := 1; fired > 0 && ctx.Err() == nil; {
		var err error
		if fired, _, err = p.Runner.FireDue(ctx); err != nil {
			p.log.Error("gap", "class", "store")
			return
		}
	}
	d := time.Duration(p.away.Load())
	if d == 0 {
		return // another process polled until a moment ago
	}
	event := fmt.Sprintf("gap/%d", p.Clock.Now().Unix())
	for s, err := range p.Store.List(ctx, store.Query{}) {
		if err != nil {
			p.log.Error("gap", "class", "store")
			return
		}
		if s.Chat == 0 {
			continue
		}
		one, err := p.Patient(ctx, chart.PatientID(s.Ref.ID))
		if err == nil && (d >= 24*time.Hour || one.Talk.Ask != flows.NoAsk || one.Talk.Nonce != "") {
			err = p.Runner.Safely(func() error {
				return p.Runner.Handle(ctx, s.Ref, event,
					flows.Gap{Minutes: int32(d / time.Minute)})
			})
		}
		if err != nil {
			p.log.Error("gap", "class", "store")
		}
	}
}

// Regaining reports whether talks are being put right after a start or a gap:
// between two of them nothing is in flight.
func (p *Program) Regaining() bool { return p.regaining.Load() > 0 }

// named lets a panic of a handler go on to whoever takes it, by its line and
// without its value, which may hold an answer.
func (p *Program) named(part string) {
	if recover() != nil {
		p.Runner.Stats.Panics.Add(1)
		p.log.Error("panic", "part", part, "class", scheduler.Where())
		panic("logged by its line")
	}
}
