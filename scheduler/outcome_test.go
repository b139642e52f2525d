package scheduler

import (
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/store"
)

func TestOutcomes(t *testing.T) {
	sendOne := func(s flows.Send) func(flows.Patient, flows.Event) (flows.Patient, []flows.Effect) {
		return func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
			if _, ok := e.Body.(flows.Said); ok {
				return p, []flows.Effect{s}
			}
			return p, nil
		}
	}
	t.Run("429 is waited out", func(t *testing.T) {
		g := newRig(t)
		g.patient = sendOne(flows.Send{Lane: flows.LaneReply, Msg: words("a")})
		g.answer = func(store.Item) Result {
			if len(g.sent) == 1 {
				return Result{Outcome: store.Pending, Wait: 40 * time.Second}
			}
			return Result{Outcome: store.Sent}
		}
		g.handle("u/1", flows.Said{})
		g.settle()
		g.clock.Set(g.clock.Now().Add(39 * time.Second))
		g.settle()
		if len(g.sent) != 1 {
			t.Fatalf("%d tries before the wait was over", len(g.sent))
		}
		g.clock.Set(g.clock.Now().Add(2 * time.Second))
		g.settle()
		if len(g.sent) != 2 || g.Stats.Tries(store.LaneReply, store.Sent) != 1 {
			t.Errorf("%d tries", len(g.sent))
		}
	})
	t.Run("in doubt it is repeated, the same, until it is old", func(t *testing.T) {
		for lane, want := range map[flows.Lane]struct {
			first, most time.Duration // between two tries
			ends        time.Duration // after it was ordered, no more tries
			tries       int
		}{
			flows.LanePrompt:   {2 * time.Second, 5 * time.Minute, 35 * time.Minute, 15},
			flows.LaneReply:    {2 * time.Second, 15 * time.Second, 195 * time.Second, 16},
			flows.LaneStranger: {2 * time.Second, 2 * time.Second, 2 * time.Second, 2},
		} {
			g := newRig(t)
			g.patient = sendOne(flows.Send{Lane: lane, Msg: words("a")})
			var at []time.Time
			g.answer = func(store.Item) Result {
				at = append(at, g.clock.Now())
				return Result{Outcome: store.Doubt}
			}
			g.handle("u/1", flows.Said{})
			for range 3600 {
				g.settle()
				g.clock.Set(g.clock.Now().Add(time.Second))
			}
			if len(at) != want.tries {
				t.Errorf("%v: %d tries", lane, len(at))
			}
			for i := 1; i < len(at); i++ {
				switch gap := at[i].Sub(at[i-1]); {
				case i == 1 && gap != want.first, gap > want.most, i > 1 && gap < want.first,
					at[i].Sub(at[0]) > want.ends, string(g.sent[i].Body) != string(g.sent[0].Body):
					t.Errorf("%v: try %d after %v, %v after the first", lane, i, gap, at[i].Sub(at[0]))
				}
			}
		}
	})
	t.Run("sends alone fail for half a minute", func(t *testing.T) {
		g := newRig(t)
		g.patient = sendOne(flows.Send{Lane: flows.LanePrompt, Msg: words("a")})
		began := g.clock.Now()
		g.answer = func(store.Item) Result {
			if g.clock.Now().Sub(began) < 30*time.Second {
				return Result{Outcome: store.Doubt}
			}
			return Result{Outcome: store.Sent}
		}
		g.handle("u/1", flows.Said{})
		for range 90 {
			g.settle()
			g.clock.Set(g.clock.Now().Add(time.Second))
		}
		if g.Stats.Tries(store.LanePrompt, store.Sent) != 1 || g.clock.Now().Sub(began) < 90*time.Second {
			t.Errorf("an evening's question is lost after %d tries", len(g.sent))
		}
	})
	t.Run("a document in doubt is not repeated", func(t *testing.T) {
		g := newRig(t)
		g.patient = sendOne(flows.Send{Lane: flows.LaneReport, Msg: words("a"), Once: true})
		g.answer = func(store.Item) Result { return Result{Outcome: store.Doubt} }
		g.handle("u/1", flows.Said{})
		for range 5 {
			g.settle()
			g.clock.Set(g.clock.Now().Add(time.Hour))
		}
		if len(g.sent) != 1 {
			t.Errorf("%d tries", len(g.sent))
		}
	})
	t.Run("a document that met a 429 is sent after it", func(t *testing.T) {
		g := newRig(t)
		g.patient = sendOne(flows.Send{Lane: flows.LaneReport, Msg: words("a"), Once: true})
		g.answer = func(store.Item) Result {
			if len(g.sent) == 1 {
				return Result{Outcome: store.Pending, Wait: 20 * time.Second}
			}
			return Result{Outcome: store.Sent}
		}
		g.handle("u/1", flows.Said{})
		for range 3 {
			g.settle()
			g.clock.Set(g.clock.Now().Add(time.Minute))
		}
		if len(g.sent) != 2 || g.Stats.Doubt.Load() != 0 {
			t.Errorf("%d tries, %d in doubt", len(g.sent), g.Stats.Doubt.Load())
		}
	})
	t.Run("a moved group gets what waited for it", func(t *testing.T) {
		g := newRig(t)
		g.patient = sendOne(flows.Send{Chat: -5, Lane: flows.LaneStaff, Msg: words("a")})
		g.answer = func(it store.Item) Result {
			if it.Queue == "-5" {
				return Result{Outcome: store.Pending, MovedTo: -1005}
			}
			return Result{Outcome: store.Sent}
		}
		g.handle("u/1", flows.Said{})
		g.settle()
		if len(g.sent) != 2 || g.sent[1].Queue != "-1005" || g.Stats.Tries(store.LaneStaff, store.Sent) != 1 {
			t.Errorf("sent %+v", g.sent)
		}
		if m, ok := g.others[0].Body.(flows.GroupMoved); !ok || m != (flows.GroupMoved{From: -5, To: -1005}) {
			t.Errorf("the practice hears %+v", g.others)
		}
	})
	t.Run("blocked becomes an event of the patient", func(t *testing.T) {
		g := newRig(t)
		g.patient = sendOne(flows.Send{Lane: flows.LanePrompt, Msg: words("a")})
		g.answer = func(store.Item) Result { return Result{Outcome: store.Blocked, Class: "blocked"} }
		g.handle("u/1", flows.Said{})
		g.settle()
		if b, ok := g.events[len(g.events)-1].Body.(flows.Bounce); !ok || b.Chat != 77 {
			t.Errorf("got %+v", g.events[len(g.events)-1].Body)
		}
	})
	t.Run("too late is not sent, and ours", func(t *testing.T) {
		g := newRig(t)
		g.patient = sendOne(flows.Send{Lane: flows.LanePrompt, Msg: words("a"), NotAfter: 180, Key: "evening"})
		g.handle("u/1", flows.Said{})
		g.clock.Set(g.clock.Now().Add(4 * time.Hour))
		g.settle()
		if m, ok := g.events[len(g.events)-1].Body.(flows.Missed); !ok || m.Key != "evening" || len(g.sent) != 0 {
			t.Errorf("%d sent, last event %+v", len(g.sent), g.events[len(g.events)-1].Body)
		}
	})
}

// A message made under an older plan, or overtaken by a later advice, is never sent.
func TestStaleMessagesAreCancelled(t *testing.T) {
	g := newRig(t)
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
		switch e.ID {
		case "u/1":
			p.Plan.Rev, p.Course.Advice.Number = 1, 4
			return p, []flows.Effect{
				flows.Send{Lane: flows.LanePrompt, Msg: words("old plan"), Plan: 1},
				flows.Send{Lane: flows.LanePrompt, Msg: words("old advice"), Plan: 2, Advice: 4},
				flows.Send{Lane: flows.LanePrompt, Msg: words("current"), Plan: 2, Advice: 5},
			}
		case "u/2":
			p.Plan.Rev, p.Course.Advice.Number = 2, 5
		}
		return p, nil
	}
	g.handle("u/1", flows.Said{})
	g.handle("u/2", flows.Said{})
	for range 10 {
		g.settle()
		g.clock.Set(g.clock.Now().Add(5 * time.Second))
	}
	if len(g.sent) != 1 || g.sent[0].Advice != 5 || g.Stats.Cancelled.Load() != 2 {
		t.Errorf("sent %d, cancelled %d", len(g.sent), g.Stats.Cancelled.Load())
	}
}

// Another program polls with our token: red flags and replies go on, prompts wait.
func TestARivalStopsPromptsAlone(t *testing.T) {
	g := newRig(t)
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
		return p, []flows.Effect{
			flows.Send{Lane: flows.LanePrompt, Msg: words("prompt")},
			flows.Send{Lane: flows.LaneUrgent, Chat: 78, Msg: words("urgent")},
		}
	}
	g.SetRival(true)
	g.handle("u/1", flows.Said{})
	g.settle()
	if len(g.sent) != 1 || g.sent[0].Lane != store.LaneUrgent {
		t.Fatalf("sent %+v", g.sent)
	}
	if pr, err := g.Practice(t.Context()); err != nil || !pr.Rival {
		t.Errorf("the flows are not told: %v", err)
	}
	g.SetRival(false)
	g.settle()
	if len(g.sent) != 2 {
		t.Errorf("sent %d after the rival left", len(g.sent))
	}
}
