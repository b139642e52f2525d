package main

import (
	"context"
	"errors"
	"log/slog"
	"time"

	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// stage is the whole program against the stand-in, on a clock that is moved by
// hand: the rehearsal's page and the tests play on it.
type stage struct {
	*program
	platform *standin.Server
	hands    *scheduler.ManualClock
	ctx      context.Context // of the run; its cause says why it ended
	stop     context.CancelCauseFunc
	ended    chan struct{}
}

// nearby is how far the clock goes on by itself while something waits: the
// flood limits hold a message back for seconds, and nobody should have to move
// the clock for that.
const nearby = 5 * time.Second

// newStage starts the program on a store, at an instant.
func newStage(ctx context.Context, st store.Store, at time.Time, log *slog.Logger) (*stage, error) {
	return openStage(ctx, at, parts{store: st, log: log})
}

// openStage is newStage with parts chosen; its platform and clock are made here.
func openStage(ctx context.Context, at time.Time, with parts) (*stage, error) {
	hands := scheduler.NewManualClock(at)
	return raiseStage(ctx, standin.New(standin.Options{Now: hands.Now}), hands, with)
}

// raiseStage starts the program against a platform that is there already, as a
// second start does.
func raiseStage(ctx context.Context, platform *standin.Server, hands *scheduler.ManualClock, with parts) (*stage,
	error) {
	api, err := telegram.New(telegram.Options{Token: standin.Token, Transport: platform.Transport(),
		Refused: time.Second})
	if err != nil {
		return nil, err
	}
	if with.api = api; with.clock == nil {
		with.clock = hands
	}
	p, err := build(ctx, with)
	if err != nil {
		return nil, err
	}
	s := &stage{program: p, platform: platform, hands: hands, ended: make(chan struct{})}
	if err := p.introduce(ctx); err != nil {
		return nil, err
	}
	ctx, s.stop = context.WithCancelCause(ctx)
	s.ctx = ctx
	started := make(chan struct{})
	go func() {
		defer close(s.ended)
		if err := p.poll(ctx, func() { close(started) }); err != nil {
			s.stop(err)
		}
	}()
	select {
	case <-started:
	case <-ctx.Done():
		return nil, context.Cause(ctx)
	}
	return s, nil
}

// close ends the program and waits for it.
func (s *stage) close() {
	s.stop(nil)
	<-s.ended
	s.platform.Close()
}

var errStuck = errors.New("the program does not become quiet")

// quiet waits until every update is confirmed and nothing is due, sendable or
// in flight. What a flood limit holds back for seconds is waited for on the
// clock that is moved.
func (s *stage) quiet(ctx context.Context) error {
	calm := 0
	for tries := 0; calm < 2; tries++ {
		if err := ctx.Err(); err != nil {
			return context.Cause(ctx)
		}
		if tries > 200_000 {
			return errStuck
		}
		is, next, err := s.runner.Quiet(ctx)
		if err != nil {
			return err
		}
		is = is && s.platform.Quiet() && s.poller.Idle()
		switch now := s.hands.Now(); {
		case !is:
			calm = 0
			time.Sleep(50 * time.Microsecond)
		case !next.IsZero() && next.Sub(now) <= nearby:
			calm = 0
			s.hands.Set(next)
		default:
			calm++
		}
	}
	return nil
}

// next is when something waits to happen; the zero time for never.
func (s *stage) next(ctx context.Context) (time.Time, error) {
	_, next, err := s.runner.Quiet(ctx)
	return next, err
}

// move takes the clock to an instant, from one waiting thing to the next, so
// that a week in one step is a week lived through. It never goes back.
func (s *stage) move(ctx context.Context, to time.Time) error {
	for {
		if err := s.quiet(ctx); err != nil {
			return err
		}
		next, err := s.next(ctx)
		if err != nil {
			return err
		}
		if next.IsZero() || next.After(to) {
			s.hands.Set(to)
			return s.quiet(ctx)
		}
		s.hands.Set(next)
	}
}
