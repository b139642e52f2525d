package stage

import (
	"context"
	"errors"
	"log/slog"
	"runtime"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// Stage is the whole program against the stand-in, on a clock that is moved by
// hand: the rehearsal's page and the tests play on it.
type Stage struct {
	*program.Program
	Platform *standin.Server
	Hands    *scheduler.ManualClock
	ctx      context.Context // of the run; its cause says why it ended
	stop     context.CancelCauseFunc
	ended    chan struct{}
}

// nearby is how far the clock goes on by itself while something waits: the
// flood limits hold a message back for seconds, and nobody should have to move
// the clock for that.
const nearby = 5 * time.Second

// New starts the program on a store, at an instant.
func New(ctx context.Context, st store.Store, at time.Time, log *slog.Logger) (*Stage, error) {
	return Open(ctx, at, program.Parts{Store: st, Log: log})
}

// Open is newStage with parts chosen; its platform and clock are made here.
func Open(ctx context.Context, at time.Time, with program.Parts) (*Stage, error) {
	hands := scheduler.NewManualClock(at)
	return Raise(ctx, standin.New(standin.Options{Now: hands.Now}), hands, with)
}

// Raise starts the program against a platform that is there already, as a
// second start does.
func Raise(ctx context.Context, platform *standin.Server, hands *scheduler.ManualClock, with program.Parts) (*Stage,
	error) {
	api, err := telegram.New(telegram.Options{Token: standin.Token, Transport: platform.Transport(),
		Refused: time.Second})
	if err != nil {
		return nil, err
	}
	if with.API = api; with.Clock == nil {
		with.Clock = hands
	}
	p, err := program.Build(ctx, with)
	if err != nil {
		return nil, err
	}
	s := &Stage{Program: p, Platform: platform, Hands: hands, ended: make(chan struct{})}
	if err := p.Introduce(ctx); err != nil {
		return nil, err
	}
	ctx, s.stop = context.WithCancelCause(ctx)
	s.ctx = ctx
	started := make(chan struct{})
	go func() {
		defer close(s.ended)
		if err := p.Poll(ctx, func() { close(started) }); err != nil {
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

// Halt ends the program and waits for it; the platform goes on.
func (s *Stage) Halt() {
	s.stop(nil)
	<-s.ended
}

// Close ends the program and the platform.
func (s *Stage) Close() {
	s.Halt()
	s.Platform.Close()
}

// Why is why the program ended: nil while it runs, context.Canceled where it was told to.
func (s *Stage) Why() error { return context.Cause(s.ctx) }

// Over is closed when the program has ended.
func (s *Stage) Over() <-chan struct{} { return s.ended }

// glances is how often Quiet looks between two sleeps.
const glances = 32

var errStuck = errors.New("the program does not become quiet")

// Quiet waits until every update is confirmed and nothing is due, sendable or
// in flight. What a flood limit holds back for seconds is waited for on the
// clock that is moved.
func (s *Stage) Quiet(ctx context.Context) error {
	calm := 0
	for tries := 0; calm < 2; tries++ {
		if err := ctx.Err(); err != nil {
			return context.Cause(ctx)
		}
		if tries > 200_000*glances {
			return errStuck
		}
		is, next, err := s.Runner.Quiet(ctx)
		if err != nil {
			return err
		}
		is = is && s.Platform.Quiet() && s.Poller.Idle() && !s.Regaining()
		switch now := s.Hands.Now(); {
		case !is:
			calm = 0
			if tries%glances != glances-1 {
				runtime.Gosched() // what is waited for runs in this process, mostly within microseconds
			} else {
				time.Sleep(50 * time.Microsecond)
			}
		case !next.IsZero() && next.Sub(now) <= nearby:
			calm = 0
			s.Hands.Set(next)
		default:
			calm++
		}
	}
	return nil
}

// Next is when something waits to happen; the zero time for never.
func (s *Stage) Next(ctx context.Context) (time.Time, error) {
	_, next, err := s.Runner.Quiet(ctx)
	return next, err
}

// Move takes the clock to an instant, from one waiting thing to the next, so
// that a week in one step is a week lived through. It never goes back.
func (s *Stage) Move(ctx context.Context, to time.Time) error {
	for {
		if err := s.Quiet(ctx); err != nil {
			return err
		}
		next, err := s.Next(ctx)
		if err != nil {
			return err
		}
		if next.IsZero() || next.After(to) {
			s.Hands.Set(to)
			return s.Quiet(ctx)
		}
		s.Hands.Set(next)
	}
}
