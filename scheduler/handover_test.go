package scheduler

import (
	"context"
	"errors"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/store"
)

// A server fails, its last commit is lost with it, and another process gives the
// same revision to another answer: the next answer here builds on that one, not
// on what was lost.
func TestARevisionThatWasLostAndGivenAgainIsReadAgain(t *testing.T) {
	g := newRig(t)
	other := newRig(t)
	add := func(n int32) func(flows.Patient, flows.Event) (flows.Patient, []flows.Effect) {
		return func(p flows.Patient, _ flows.Event) (flows.Patient, []flows.Effect) {
			p.EscCount += n
			return p, nil
		}
	}
	g.patient, other.patient = add(1), add(100)
	g.handle("u/1", flows.Said{Chat: 77})
	other.handle("u/2", flows.Said{Chat: 77}) // of the same revision
	g.Runner.store = other.st
	g.handle("u/3", flows.Said{Chat: 77})
	a, err := other.st.Get(t.Context(), PatientRef(who))
	if err != nil {
		t.Fatal(err)
	}
	if p, err := store.DecodePatient(a.Body); err != nil || p.EscCount != 101 {
		t.Errorf("it stands at %d, %v: an answer that was committed is lost", p.EscCount, err)
	}
}

// deaf is a store that commits nothing that was too late.
type deaf struct{ store.Store }

func (d deaf) Update(ctx context.Context, ref store.Ref, event string, at time.Time,
	fn func(store.Aggregate) (store.Change, error)) error {
	if event[:2] == "x/" {
		return errors.New("not now")
	}
	return d.Store.Update(ctx, ref, event, at, fn)
}

// What is too late and cannot be told to its owner holds no red flag up.
func TestWhatIsTooLateHoldsNoRedFlagUp(t *testing.T) {
	g := newRig(t)
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
		if e.ID == "u/1" {
			return p, []flows.Effect{flows.Send{Lane: flows.LaneReply, NotAfter: 1, Msg: words("late")}}
		}
		return p, []flows.Effect{flows.Send{Lane: flows.LaneUrgent, Chat: 88, Msg: words("flag")}}
	}
	g.handle("u/1", flows.Said{Chat: 77})
	g.clock.Set(g.clock.Now().Add(time.Hour))
	g.handle("u/2", flows.Said{Chat: 77})
	g.Runner.store = deaf{g.st}
	if _, _, err := g.deliverPass(t.Context()); err == nil {
		t.Error("what is too late was told")
	}
	g.drain()
	if len(g.sent) != 1 || g.sent[0].Lane != store.LaneUrgent {
		t.Errorf("sent %+v", g.sent)
	}
}

// slow is a store whose commits of what a person said take longer than a lease.
type slow struct {
	store.Store
	clock *ManualClock
}

func (s slow) Update(ctx context.Context, ref store.Ref, event string, at time.Time,
	fn func(store.Aggregate) (store.Change, error)) error {
	err := s.Store.Update(ctx, ref, event, at, fn)
	s.clock.Set(s.clock.Now().Add(leaseHold + time.Second))
	return err
}

// A commit takes so long that the lease of what it hands over has run out:
// whoever looks next has the item, and it goes out once.
func TestALateHandoverIsLeftToWhoeverLooksNext(t *testing.T) {
	g := newRig(t)
	g.patient = func(p flows.Patient, _ flows.Event) (flows.Patient, []flows.Effect) {
		return p, []flows.Effect{flows.Send{Lane: flows.LaneReply, Msg: words("a")}}
	}
	g.open.Store(true)
	g.Runner.store = slow{g.st, g.clock}
	g.handle("u/1", flows.Said{Chat: 77})
	g.open.Store(false)
	g.drain()
	if len(g.sent) != 0 {
		t.Fatalf("sent %d under a lease that has run out", len(g.sent))
	}
	g.Runner.store = g.st
	g.settle()
	if len(g.sent) != 1 {
		t.Errorf("sent %d times", len(g.sent))
	}
	if n := len(g.slots); n != 0 {
		t.Errorf("%d slots are gone", n)
	}
}

// faulty is a store that runs the function, as where a transaction is run
// again, and then fails by a panic.
type faulty struct{ store.Store }

func (f faulty) Update(ctx context.Context, ref store.Ref, event string, at time.Time,
	fn func(store.Aggregate) (store.Change, error)) error {
	c, err := fn(store.Aggregate{})
	if err != nil {
		return err
	}
	it := c.Out[0]
	it.Ref, it.Attempt = ref, 1
	c.Hand.Items = []store.Item{it}
	panic("a fault")
}

// What was handed over in a run that did not commit is not sent.
func TestAHandoverOfARunThatFailedIsNotBegun(t *testing.T) {
	g := newRig(t)
	g.patient = func(p flows.Patient, _ flows.Event) (flows.Patient, []flows.Effect) {
		return p, []flows.Effect{flows.Send{Lane: flows.LaneReply, Msg: words("a")}}
	}
	g.open.Store(true)
	g.Runner.store = faulty{g.st}
	func() {
		defer func() { _ = recover() }()
		g.handle("u/1", flows.Said{Chat: 77})
		t.Error("no fault")
	}()
	g.drain()
	if len(g.sent) != 0 || len(g.slots) != 0 {
		t.Errorf("sent %d, %d slots taken", len(g.sent), len(g.slots))
	}
}

// A pass found every slot taken by commits that then ordered nothing: giving
// them back wakes it.
func TestSlotsThatAreGivenBackWakeThePass(t *testing.T) {
	g := newRig(t)
	g.patient = func(p flows.Patient, _ flows.Event) (flows.Patient, []flows.Effect) {
		return p, []flows.Effect{flows.Send{Lane: flows.LaneUrgent, Msg: words("flag")}}
	}
	g.handle("u/1", flows.Said{Chat: 77}) // it waits
	g.open.Store(true)
	taken := 0
	for n := g.hands(); n > 0; n = g.hands() {
		taken += n
	}
	for len(g.wake) > 0 {
		<-g.wake
	}
	if started, next, err := g.deliverPass(t.Context()); started != 0 || !next.IsZero() || err != nil {
		t.Fatal(started, next, err)
	}
	g.handOver(t.Context(), taken, g.clock.Now(), store.Change{})
	if len(g.wake) == 0 {
		t.Error("nothing wakes the pass")
	}
}
