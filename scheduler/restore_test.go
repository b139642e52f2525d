package scheduler

import (
	"slices"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/store"
)

// Everything that waited in a copy is settled without being sent: an old red
// flag, what was in flight, what waited for its time, what is too late by now.
// What comes later goes out as ever.
func TestVoidSendsNothingOfTheCopy(t *testing.T) {
	g := newRig(t)
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
		if _, ok := e.Body.(flows.Due); ok {
			return p, nil
		}
		return p, []flows.Effect{
			flows.Send{Lane: flows.LaneUrgent, Msg: words("flag")},
			flows.Send{Lane: flows.LaneReply, Msg: words("reply")},
			flows.Send{Lane: flows.LanePrompt, NotAfter: 30, Msg: words("prompt")},
			flows.Send{Chat: 88, Lane: flows.LaneStaff, Msg: words("staff")},
			flows.Tell{To: flows.Target{Practice: true}, Body: flows.GroupMoved{From: 1, To: 2}},
		}
	}
	g.handle("u/1", flows.Said{Chat: 77})
	since := g.clock.Now()
	inFlight, _, err := g.st.Lease(t.Context(), since, 1, store.LaneUrgent, leaseHold) // the program was killed here
	if err != nil || len(inFlight) != 1 {
		t.Fatal(inFlight, err)
	}
	g.clock.Set(since.Add(6 * time.Hour))
	n, err := g.void(t.Context(), since)
	if err != nil || n != 4 {
		t.Errorf("%d void, %v", n, err)
	}
	if len(g.sent) > 0 {
		t.Errorf("sent %+v", g.sent)
	}
	if len(g.others) != 1 {
		t.Errorf("the practice was told %d times", len(g.others))
	}
	doubtful := 0
	for _, err := range g.st.Doubtful(t.Context()) {
		if err != nil {
			t.Fatal(err)
		}
		doubtful++
	}
	if doubtful < 3 {
		t.Errorf("%d are in doubt", doubtful)
	}
	g.clock.Set(since.Add(200 * 24 * time.Hour)) // nothing comes back
	g.settle()
	if len(g.sent) > 0 {
		t.Errorf("later sent %+v", g.sent)
	}
	g.handle("u/2", flows.Said{Chat: 77})
	g.settle()
	if len(g.sent) != 4 {
		t.Errorf("%d of 4 new messages went out", len(g.sent))
	}
}

// Before the release emergencies and answers go out, whatever else waits.
func TestAFreezeLetsEmergenciesAndAnswersPass(t *testing.T) {
	g := newRig(t)
	g.patient = func(p flows.Patient, _ flows.Event) (flows.Patient, []flows.Effect) {
		var fx []flows.Effect
		for lane := flows.LaneUrgent; lane <= flows.LaneStranger; lane++ {
			fx = append(fx, flows.Send{Chat: 10 + int64(lane), Lane: lane, Msg: words("x")})
		}
		return p, fx
	}
	pr := practice.Practice{Epoch: 1}
	put := func(event string) {
		t.Helper()
		body, err := store.Encode(pr)
		if err != nil {
			t.Fatal(err)
		}
		if err := g.st.Update(t.Context(), PracticeRef(), event, g.clock.Now(), func(store.Aggregate) (store.Change, error) {
			return store.Change{Body: body}, nil
		}); err != nil {
			t.Fatal(err)
		}
		g.forgetPractice()
	}
	put("restored")
	g.handle("u/1", flows.Said{Chat: 77})
	g.settle()
	var lanes []store.Lane
	for _, it := range g.sent {
		lanes = append(lanes, it.Lane)
	}
	slices.Sort(lanes)
	if !slices.Equal(lanes, []store.Lane{store.LaneUrgent, store.LaneReply}) {
		t.Errorf("lanes %v went out", lanes)
	}
	pr.Released = 1
	put("released")
	g.settle()
	if len(g.sent) != 7 {
		t.Errorf("%d of 7 went out after the release", len(g.sent))
	}
}
