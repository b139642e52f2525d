package scheduler

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/store"
)

// away is a store that cannot be reached until an instant, from the first
// settlement on.
type away struct {
	store.Store
	after atomic.Bool
	gone  atomic.Bool
	until atomic.Int64
}

func (a *away) err() error {
	if a.gone.Load() && time.Now().UnixNano() < a.until.Load() {
		return errors.New("away")
	}
	return nil
}

func (a *away) Settle(ctx context.Context, id string, s store.Settlement) error {
	a.gone.Store(a.after.Load())
	if err := a.err(); err != nil {
		return err
	}
	return a.Store.Settle(ctx, id, s)
}

func (a *away) Next(ctx context.Context) (time.Time, error) {
	if err := a.err(); err != nil {
		return time.Time{}, err
	}
	return a.Store.Next(ctx)
}

func (a *away) Ready(ctx context.Context, most store.Lane) (time.Time, error) {
	if err := a.err(); err != nil {
		return time.Time{}, err
	}
	return a.Store.Ready(ctx, most)
}

// The store goes away while a message is sent, and comes back after its lease
// has run out: the message is not sent again.
func TestASentMessageIsSettledOnceTheStoreIsBack(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newRig(t)
		a := &away{Store: g.st}
		g.Runner.store, g.Runner.clock = a, RealClock{}
		g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
			return p, []flows.Effect{flows.Send{Lane: flows.LaneReply, Msg: words("a")}}
		}
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan struct{})
		go func() { defer close(ended); _ = g.Run(ctx) }()
		time.Sleep(time.Second)
		a.until.Store(time.Now().Add(leaseHold + 20*time.Second).UnixNano())
		a.after.Store(true) // from the sending on
		g.handle("u/1", flows.Said{Chat: 77})
		time.Sleep(2 * leaseHold)
		synctest.Wait()
		g.mu.Lock()
		if len(g.sent) != 1 {
			t.Errorf("sent %d times", len(g.sent))
		}
		g.mu.Unlock()
		if ready, err := g.st.Ready(ctx, store.LaneAll); err != nil || !ready.IsZero() {
			t.Errorf("it waits until %v, %v", ready, err)
		}
		cancel()
		<-ended
	})
}

// What another process ordered and left is found within one look round.
func TestALookRoundFindsWhatAnotherProcessLeft(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newRig(t)
		g.Runner.clock = RealClock{}
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan struct{})
		go func() { defer close(ended); _ = g.Run(ctx) }()
		time.Sleep(time.Minute) // asleep, with nothing to do
		if err := g.st.Update(ctx, PatientRef(who), "by another", time.Now(), func(store.Aggregate) (store.Change, error) {
			return store.Change{Set: []store.Timer{{Name: "x", At: time.Now()}}}, nil
		}); err != nil {
			t.Fatal(err)
		}
		time.Sleep(6 * time.Second)
		synctest.Wait()
		g.mu.Lock()
		if len(g.events) != 1 {
			t.Errorf("%d events", len(g.events))
		}
		g.mu.Unlock()
		cancel()
		<-ended
	})
}

// The process that polls has met another program and told the practice: the
// others hold their prompts back as well.
func TestARivalThatAnotherProcessMetStopsPrompts(t *testing.T) {
	g := newRig(t)
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
		return p, []flows.Effect{flows.Send{Lane: flows.LanePrompt, Msg: words("prompt")},
			flows.Send{Lane: flows.LaneReply, Msg: words("reply")}}
	}
	tell := func(rival bool) {
		body, err := store.Encode(practice.Practice{Rival: rival})
		if err != nil {
			t.Fatal(err)
		}
		if err := g.st.Update(t.Context(), PracticeRef(), "rival/"+time.Now().String(), g.clock.Now(),
			func(store.Aggregate) (store.Change, error) {
				return store.Change{Body: body}, nil
			}); err != nil {
			t.Fatal(err)
		}
		g.forgetPractice()
	}
	tell(true)
	g.handle("u/1", flows.Said{Chat: 77})
	g.settle()
	if len(g.sent) != 1 || g.sent[0].Lane != store.LaneReply {
		t.Errorf("sent %+v", g.sent)
	}
	tell(false)
	g.clock.Set(g.clock.Now().Add(time.Minute))
	g.settle()
	if len(g.sent) != 2 {
		t.Errorf("%d sent once it was gone", len(g.sent))
	}
}
