package scheduler

import (
	"context"
	"crypto/rand"
	"fmt"
	"log/slog"
	"sync"
	"sync/atomic"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/store"
)

// Logic is what the runner asks what happens next. All three are pure and total.
type Logic struct {
	// Patient works in place: the patient, whose lists are not to be written
	// into, becomes what it is next.
	Patient  func(*practice.Practice, *flows.Patient, *flows.Event) []flows.Effect
	Practice func(practice.Practice, flows.Event) (practice.Practice, []flows.Effect)
	// Chat works on a chat's stored body, which the runner does not look into;
	// lang is the language the chat reads, for its messages.
	Chat func(pr practice.Practice, id int64, body []byte, e flows.Event) (next []byte, lang string, fx []flows.Effect,
		err error)
}

// Sender puts an outbox item into words and hands it to the platform.
type Sender interface {
	// Early reports whether an item that was ordered so long ago speaks of
	// something that has not reached its reader yet and is about to: it then waits
	// a moment, and takes no place.
	Early(ctx context.Context, it store.Item, age time.Duration) bool
	// Send makes one try. written is called right before the request is
	// written, so that a crash after it leaves a mark; its error stops the try.
	Send(ctx context.Context, it store.Item, written func() error) Result
}

// Caller makes the practice's outside call.
type Caller interface {
	// Call makes one try: Sent where somebody outside was told, Doubt where
	// somebody may have been, Pending where surely nobody was. class is one letter,
	// and why says in fixed words what went wrong.
	Call(ctx context.Context, class string, number int, at time.Time) (o store.Outcome, why string)
}

// Result is what became of one try.
type Result struct {
	Outcome store.Outcome // Sent, Rejected, Blocked, Doubt, or Pending: not sent, try again
	Message int64         // the platform's message id, with Sent
	Wait    time.Duration // with Pending: how long the platform asks to wait; 0 for our own back-off
	MovedTo int64         // with Pending: the chat has this new number
	Text    []byte        // the text shown, for the journal
	Class   string        // of an error, for the log; never its text
}

// Runner runs the flows in time. Make one with New, then Run it.
type Runner struct {
	store store.Store
	logic Logic
	send  Sender
	calls Caller // nil where no outside call is set
	clock Clock
	zones *Zones
	log   *slog.Logger
	free  bool // no flood limit
	moves func(within time.Duration)

	secret []byte
	wake   chan struct{} // something may be due or sendable
	flight atomic.Int64  // handles, passes and deliveries that run now
	begun  atomic.Int64  // of those, how many ever began

	practice struct {
		sync.Mutex
		known bool
		at    time.Time
		value practice.Practice
	}
	doubt  atomic.Bool // the clock is in doubt
	rival  atomic.Bool // another program polls with our token
	told   atomic.Bool // the same, as the process that polls has told the practice
	frozen atomic.Bool // a restore waits for the owner's release

	known  known // patients that were written last
	damage damage

	draining atomic.Bool   // what waited at the platform is still being taken in
	slots    chan struct{} // one for each try in flight
	crew     crew
	open     atomic.Bool  // tries may begin
	until    atomic.Int64 // microseconds: when the loop will look again; 0 while it looks
	soon     atomic.Bool  // a wake-up is on its way
	short    atomic.Bool  // a pass found few slots free
	full     atomic.Int64 // microseconds: the flood limit has no place before then
	enrolled atomic.Int64 // patients on their way, at the last count

	patience time.Duration
	behind   behind

	asking atomic.Int64 // messages leased that have not asked the flood limit yet
	holds  holds        // the longest wait that the platform asked for
	storms storms       // chats that met a 429 a moment ago
	Stats  Stats
}

// Options make a Runner.
type Options struct {
	Store  store.Store
	Logic  Logic
	Sender Sender
	Caller Caller // nil where no outside call is set
	Clock  Clock
	Log    *slog.Logger
	// Moves is told by the loop, before each thing it does, within which time it
	// will move again at the latest: so that a loop that is stuck is found out.
	Moves func(within time.Duration)
	// Unlimited leaves the flood limit out, to measure speed; never against the platform.
	Unlimited bool
}

// New makes a runner on an open store.
func New(ctx context.Context, o Options) (*Runner, error) {
	secret, err := o.Store.Secret(ctx)
	if err != nil {
		return nil, fmt.Errorf("reading the store's key: %w", err)
	}
	if o.Clock == nil {
		o.Clock = RealClock{}
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Moves == nil {
		o.Moves = func(time.Duration) {}
	}
	return &Runner{store: o.Store, logic: o.Logic, send: o.Sender, calls: o.Caller, clock: o.Clock, zones: NewZones(), log: o.Log,
		free: o.Unlimited, moves: o.Moves,
		secret: secret, patience: patience, wake: make(chan struct{}, 1), slots: make(chan struct{}, sendSlots),
		crew: crew{work: make(chan func())}}, nil
}

// passMost is longer than a pass may take, its batch of commits on a slow store included.
const passMost = 2 * time.Minute

// Run fires timers and delivers until the context ends, then lets what is in
// flight finish, 20 seconds at most.
func (r *Runner) Run(ctx context.Context) error {
	if n, err := r.Replan(ctx); err != nil {
		r.logError(ctx, "replan", err)
	} else if n > 0 {
		r.log.Info("timers planned again for new zone data", "count", n)
	}
	if err := r.census(ctx); err != nil {
		r.logError(ctx, "census", err)
	}
	var upkeep sync.WaitGroup
	upkeep.Go(func() { r.upkeep(ctx) })
	defer r.crew.begin()()
	r.open.Store(true)
	away := false
	for ctx.Err() == nil {
		r.moves(passMost)
		r.until.Store(0)
		fired, next, err := 0, time.Time{}, error(nil)
		if !r.draining.Load() {
			if fired, next, err = r.FireDue(ctx); err != nil {
				r.logError(ctx, "timers", err)
			}
		}
		r.moves(passMost)
		// it is back: what went out, from here or another process, is settled before anything is leased again
		if away && err == nil {
			away = false
			r.pause(ctx)
			r.pause(ctx)
		}
		sent, ready, derr := r.deliverPass(ctx)
		if derr != nil {
			r.logError(ctx, "deliveries", derr)
		}
		r.moves(passMost) // a real clock's wait ends within a minute
		if fired+sent > 0 {
			continue
		}
		if err != nil || derr != nil {
			away = true
			r.pause(ctx) // the store is away
			continue
		}
		r.wait(ctx, earliest(next, ready))
	}
	r.open.Store(false)
	upkeep.Wait()
	r.drain()
	return nil
}

// drain waits for the tries in flight, 20 seconds at most: what is left stays
// leased, and in doubt, for the next start.
func (r *Runner) drain() {
	late := time.NewTimer(20 * time.Second)
	defer late.Stop()
	taken := 0
	defer func() {
		for range taken {
			<-r.slots
		}
	}()
	for ; taken < cap(r.slots); taken++ {
		select {
		case r.slots <- struct{}{}:
		case <-late.C:
			return
		}
	}
}

// SetDraining says whether what waited at the platform is still being taken in.
// Until it is, no timer fires and nothing goes out but answers: what a person
// wrote meanwhile counts before the reminder for it.
func (r *Runner) SetDraining(b bool) {
	if r.draining.Swap(b) != b {
		r.Wake()
	}
}

// lookRound is how long a runner sleeps at the most: another process on the
// same store may have ordered something since, and died before it came to it.
const lookRound = 5 * time.Second

// wait sleeps until at, a wake-up, or the next look round.
func (r *Runner) wait(ctx context.Context, at time.Time) {
	at = earliest(at, r.clock.Now().Add(lookRound))
	r.until.Store(at.UnixMicro())
	ready, stop := r.clock.Until(at)
	defer stop()
	select {
	case <-ctx.Done():
	case <-r.wake:
	case <-ready:
	}
}

// pause waits a second of real time, whatever the clock shows.
func (r *Runner) pause(ctx context.Context) {
	t := time.NewTimer(time.Second)
	defer t.Stop()
	select {
	case <-ctx.Done():
	case <-t.C:
	}
}

// Wake tells the loops to look again.
func (r *Runner) Wake() {
	select {
	case r.wake <- struct{}{}:
	default:
	}
}

// wakeFor wakes the loop for something that is due then, if it would look too late.
func (r *Runner) wakeFor(at time.Time) {
	if until := r.until.Load(); until == 0 || at.UnixMicro() < until {
		r.Wake()
	}
}

// SetDoubt says whether the machine's clock is in doubt: then no advice goes forward.
func (r *Runner) SetDoubt(b bool) { r.doubt.Store(b) }

// SetRival says whether another program polls with our token: then no prompt
// and no advice goes out, while red flags and replies go on.
func (r *Runner) SetRival(b bool) {
	if r.rival.Swap(b) != b {
		r.Wake()
	}
}

// Frozen reports whether a restored copy waits for the owner's release, Rival
// whether another program polls with our token, Doubt whether our clock is in doubt.
func (r *Runner) Frozen() bool { return r.frozen.Load() }
func (r *Runner) Rival() bool  { return r.rival.Load() || r.told.Load() }
func (r *Runner) Doubt() bool  { return r.doubt.Load() }

// Asked is the longest wait that the platform has asked for, where it is longer
// than what we keep to and not over; 0 otherwise.
func (r *Runner) Asked() time.Duration { return r.holds.asked() }

// Quiet reports whether nothing is due, sendable or in flight at the clock's now;
// otherwise, or where a flood limit holds something back, next says when to look again.
func (r *Runner) Quiet(ctx context.Context) (quiet bool, next time.Time, err error) {
	begun := r.begun.Load()
	if r.flight.Load() > 0 {
		return false, time.Time{}, nil
	}
	now := r.clock.Now()
	due, err := r.store.Next(ctx)
	if err != nil {
		return false, time.Time{}, err
	}
	turn, err := r.turn(ctx, now, r.most())
	if err != nil {
		return false, time.Time{}, err
	}
	next = earliest(due, turn.at)
	quiet = (next.IsZero() || next.After(now)) && r.begun.Load() == begun // else it changed while we looked
	return quiet, next, nil
}

// enter and leave bracket whatever may change what waits.
func (r *Runner) enter() { r.begun.Add(1); r.flight.Add(1) }
func (r *Runner) leave() { r.flight.Add(-1) }

func (r *Runner) logError(ctx context.Context, what string, err error) {
	if ctx.Err() == nil {
		r.log.Error("pass", "part", what, "class", classOf(err))
	}
}

// seed makes the random bytes of one event.
func seed() (s [16]byte) {
	rand.Read(s[:]) // never fails
	return s
}

// later of two instants.
func later(a, b time.Time) time.Time {
	if a.Before(b) {
		return b
	}
	return a
}

// earliest of two instants, where zero means never.
func earliest(a, b time.Time) time.Time {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}
