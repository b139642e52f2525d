package scheduler

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"sync"
	"time"

	"duskdawn/flows"
	"duskdawn/store"
)

const (
	sendSlots = 512              // sends in flight at once: the platform may take a second for each
	keptSlots = 24               // of these, kept for red flags and replies
	leaseHold = 45 * time.Second // longer than any try may take
	tryFor    = 30 * time.Second
	settleFor = 5 * time.Minute      // how long a try waits for a store that is away, to be settled
	handMost  = 3                    // tries that one commit may begin by itself
	behindFor = 5 * time.Millisecond // how long what stands behind one of these waits for a look, at the most
)

// deliverPass leases what may go out now and starts a try for each, as far as
// slots are free. It says how many it started and when to look again.
func (r *Runner) deliverPass(ctx context.Context) (started int, next time.Time, err error) {
	if _, err := r.Practice(ctx); err != nil { // also learns whether a restore froze us
		return 0, time.Time{}, err
	}
	most, free := r.most(), cap(r.slots)-len(r.slots)
	if free <= keptSlots {
		r.short.Store(true)
		free = cap(r.slots) - len(r.slots)
	}
	if free == 0 {
		return 0, time.Time{}, nil // the end of one in flight wakes us, or a slot that is given back
	}
	if free <= keptSlots {
		most = min(most, store.LaneReply)
	}
	now := r.clock.Now()
	turn, err := r.turn(ctx, now, most)
	if err != nil || turn.at.IsZero() || turn.at.After(now) {
		return 0, turn.at, err
	}
	r.enter() // what is leased shows in the store no more, so it must show here
	defer r.leave()
	out, expired, err := r.lease(ctx, now, most, turn, free)
	if err != nil {
		return 0, time.Time{}, fmt.Errorf("leasing: %w", err)
	}
	for _, it := range out { // before what is too late, which may fail and must hold none of them up
		r.slots <- struct{}{}
		r.start(ctx, it, now, r.Wake)
		started++
	}
	for _, it := range expired {
		if err := r.tooLate(ctx, it); err != nil {
			return started, time.Time{}, err
		}
	}
	if started+len(expired) == 0 {
		if turn.most < most { // it was ready in another lane, and is seen to be now
			r.Wake()
		}
		return 0, time.Time{}, nil // else what is ready waits behind one in flight, whose end wakes us
	}
	return started + len(expired), now, nil
}

// tooLate tells the owner of an item that it expired, and settles it. Where the
// owner's record cannot be read it stays, for the day when that is repaired.
func (r *Runner) tooLate(ctx context.Context, it store.Item) error {
	if it.Damaged { // what it said is lost; that it was not said, its owner hears
		err := r.damaged(ctx, it.Ref, fmt.Errorf("a message: %w", store.ErrCorrupt))
		r.logError(ctx, "delivery", err)
	}
	if store.CheckRef(it.Ref) == nil { // or else whose it is cannot be read either
		err := r.Safely(func() error {
			return r.Handle(ctx, it.Ref, "x/"+it.ID, flows.Missed{Key: orderedKey(it)})
		})
		if errors.Is(err, store.ErrCorrupt) {
			return nil
		}
		if err != nil {
			return err
		}
	}
	if err := r.store.Settle(ctx, it.ID, store.Settlement{Outcome: store.Expired, At: r.clock.Now(),
		Attempt: it.Attempt}); err != nil && !errors.Is(err, store.ErrNotFound) {
		return fmt.Errorf("settling: %w", err)
	}
	r.Stats.Expired.Add(1)
	return nil
}

// start begins the try of an item that was leased as of at, and whose slot is
// taken; after is called at its end. A lease that may run out during the try is
// left to do so: the commit or a slot came too late, and whoever leases the item
// then would send it as well.
func (r *Runner) start(ctx context.Context, it store.Item, at time.Time, after func()) {
	if r.clock.Now().Sub(at) > leaseHold-tryFor {
		<-r.slots
		after()
		return
	}
	r.enter()
	if it.Lane != store.LaneEvent {
		r.asking.Add(1)
	}
	r.crew.do(func() {
		defer func() { r.leave(); <-r.slots; after() }()
		r.deliver(context.WithoutCancel(ctx), it)
	})
}

// hands takes slots for what the next commit may order, so that an answer goes
// out with the commit and needs no pass. None where nothing may go out from
// here, or the flood limit was met just now.
func (r *Runner) hands() (n int) {
	if !r.open.Load() || r.clock.Now().UnixMicro() < r.full.Load() {
		return 0
	}
	for n < handMost && cap(r.slots)-len(r.slots) > 0 {
		select {
		case r.slots <- struct{}{}:
			n++
		default:
			return n
		}
	}
	return n
}

// handOver begins the tries of what a commit leased to us, gives the slots that
// are left back, and wakes the loop for the rest of what it wrote.
func (r *Runner) handOver(ctx context.Context, taken int, at time.Time, c store.Change) {
	var items []store.Item
	if c.Hand != nil {
		items = c.Hand.Items
	}
	more := len(items) < len(c.Out)
	for _, it := range items {
		if more {
			r.start(ctx, it, at, r.Wake)
		} else {
			r.start(ctx, it, at, r.wakeSoon)
		}
	}
	for range taken - len(items) {
		<-r.slots
	}
	if more || taken > len(items) && r.short.Swap(false) {
		r.Wake()
		return
	}
	for _, t := range c.Set {
		r.wakeFor(t.At)
	}
}

// wakeSoon wakes the loop in a moment, once for all that ask meanwhile: what
// another process, or a later commit, has ordered behind something in flight.
func (r *Runner) wakeSoon() {
	if r.soon.Swap(true) {
		return
	}
	time.AfterFunc(behindFor, func() { r.soon.Store(false); r.Wake() })
}

// most is the last lane that may go out now.
func (r *Runner) most() store.Lane {
	switch {
	case r.frozen.Load():
		// a restored copy, which the owner has to look at first; emergencies cannot wait for that, nor who writes
		return store.LaneReply
	case r.draining.Load():
		return store.LaneReply
	case r.rival.Load() || r.told.Load(): // no prompts; staff are told of it
		return store.LaneStaff
	}
	return store.LaneAll
}

// deliver makes one try of one leased item and settles it.
func (r *Runner) deliver(ctx context.Context, it store.Item) {
	ctx, cancel := context.WithTimeout(ctx, tryFor)
	defer cancel()
	if err := r.Safely(func() error {
		switch {
		case it.Queue == callQueue:
			return r.deliverCall(ctx, it)
		case it.Lane == store.LaneEvent:
			return r.deliverTell(ctx, it)
		}
		return r.deliverMessage(ctx, it)
	}); err != nil {
		r.logError(ctx, "delivery", err) // the lease runs out and it is tried again
	}
}

// deliverMessage sends one message to a chat.
func (r *Runner) deliverMessage(ctx context.Context, it store.Item) error {
	asked := sync.OnceFunc(func() { r.asking.Add(-1) })
	defer asked()
	now := r.clock.Now()
	stale, err := r.stale(ctx, it)
	if err != nil {
		return err
	}
	if stale {
		r.Stats.Cancelled.Add(1)
		return r.store.Settle(ctx, it.ID, store.Settlement{Outcome: store.Cancelled, At: now, Attempt: it.Attempt})
	}
	if it.Written && it.Once {
		r.Stats.Doubt.Add(1)
		return r.store.Settle(ctx, it.ID, store.Settlement{Outcome: store.Doubt, Written: true, At: now, Attempt: it.Attempt})
	}
	if age := now.Sub(it.Ordered); age < earlyFor && r.send.Early(ctx, it, age) {
		asked()
		return r.putBack(ctx, now, it, min(max(earlyPause, 2*age), earlyFor)-age)
	}
	wait, err := r.reserve(ctx, now, it)
	if err != nil {
		return err
	}
	asked()
	if wait > 0 {
		return r.putBack(ctx, now, it, wait)
	}
	wrote := it.Written
	mark := func() error {
		// a process that stood still goes on here, and another may have sent it since
		if end, ok := ctx.Deadline(); ok && !time.Now().Before(end) {
			return context.DeadlineExceeded
		}
		wrote = true
		if !it.Once {
			return nil // sent again in doubt anyway, with the same words: no mark needed
		}
		return r.store.Wrote(ctx, it.ID)
	}
	res := r.send.Send(ctx, it, mark)
	if res.MovedTo != 0 { // what waited for the old number goes to the new one
		if err := r.moved(ctx, it.Queue, res.MovedTo); err != nil {
			return err
		}
		it.Queue = strconv.FormatInt(res.MovedTo, 10)
		if wait, err = r.reserve(ctx, now, it); err != nil {
			return err
		}
		if wait > 0 {
			return r.putBack(ctx, now, it, wait)
		}
		res = r.send.Send(ctx, it, mark)
	}
	return r.settle(ctx, it, res, wrote)
}

// moved tells the practice that a group has a new number.
func (r *Runner) moved(ctx context.Context, queue string, to int64) error {
	from, _ := strconv.ParseInt(queue, 10, 64)
	return r.Handle(ctx, PracticeRef(), fmt.Sprintf("moved/%d/%d", from, to), flows.GroupMoved{From: from, To: to})
}

// stale reports whether an item was made under a plan that is no longer the current one.
func (r *Runner) stale(ctx context.Context, it store.Item) (bool, error) {
	if it.Plan == 0 || it.Ref.Kind != store.Patient {
		return false, nil
	}
	return r.overtaken(ctx, it)
}

func (r *Runner) overtaken(ctx context.Context, it store.Item) (bool, error) {
	a, err := r.store.Get(ctx, it.Ref)
	if errors.Is(err, store.ErrNotFound) {
		return true, nil
	}
	if err != nil {
		return false, fmt.Errorf("reading the plan's revision: %w", err)
	}
	p, err := decoded(a.Body)
	if err != nil {
		return false, err
	}
	if it.Advice != 0 && it.Advice < p.Course.Advice.Number {
		return true, nil // overtaken by a later advice
	}
	return it.Plan < p.Plan.Rev, nil
}

// deliverTell hands an event to the aggregate it is for.
func (r *Runner) deliverTell(ctx context.Context, it store.Item) error {
	var form tellForm
	if err := store.Decode(it.Body, &form); err != nil {
		return r.store.Settle(ctx, it.ID, store.Settlement{Outcome: store.Rejected, At: r.clock.Now(), Attempt: it.Attempt})
	}
	body, err := store.DecodeBody(form.Body)
	if err != nil {
		return r.store.Settle(ctx, it.ID, store.Settlement{Outcome: store.Rejected, At: r.clock.Now(), Attempt: it.Attempt})
	}
	if form.To.Open {
		return r.tellOpen(ctx, it, body)
	}
	ref := PracticeRef()
	switch {
	case form.To.Patient != "":
		ref = PatientRef(form.To.Patient)
	case form.To.Chat != 0:
		ref = ChatRef(form.To.Chat)
	case form.To.Code != "":
		ref, err = r.store.Lookup(ctx, codeKey(r.secret, form.To.Code))
		if errors.Is(err, store.ErrNotFound) {
			ref, body = it.Ref, flows.NoSuchCode{}
		} else if err != nil {
			return err
		}
	}
	if err := r.Handle(ctx, ref, "tell/"+it.ID, body); err != nil {
		return err
	}
	return r.store.Settle(ctx, it.ID, store.Settlement{Outcome: store.Sent, At: r.clock.Now(), Attempt: it.Attempt})
}

// What speaks of words that are on their way waits for them, so long at the most;
// it is looked at so long after it was ordered, and then at twice its age.
const (
	earlyFor   = 3 * time.Second
	earlyPause = 200 * time.Millisecond
)
