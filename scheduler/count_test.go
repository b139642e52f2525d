package scheduler

import (
	"log/slog"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/redflag"
	"duskdawn/store"
)

// tallyOf sees what one event did to a patient.
func TestTallyOf(t *testing.T) {
	before := flows.Patient{Escalations: []flows.Escalation{{N: 1, Class: redflag.ClassS, RaisedAt: 100},
		{N: 2, Class: redflag.ClassN, RaisedAt: 50, AckBy: "s1"}}}
	before.Talk.CheckIn, before.Talk.Silent = flows.MorningCheck, 1
	before.Course.Advice.Number = 4
	after := before
	after.Talk.CheckIn, after.Talk.Silent = flows.NoCheckIn, 2
	after.Course.Advice = chart.Advice{Number: 5, Action: chart.Stay, Rule: 7}
	after.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassS, RaisedAt: 100, AckBy: "s1", AckAt: 160},
		{N: 3, Class: redflag.ClassE, RaisedAt: 160}}
	got := tallyOf(&before, &after, &flows.Event{Body: flows.Said{}},
		[]store.Item{{Lane: store.LanePrompt}, {Lane: store.LaneReply}})
	if got.prompts != 1 || got.answered != flows.MorningCheck || !got.silent || got.late || got.advice.Rule != 7 {
		t.Errorf("counted %+v", got)
	}
	if len(got.raised) != 1 || got.raised[0] != redflag.ClassE || len(got.taken) != 1 ||
		got.taken[0] != (taken{redflag.ClassS, 60}) {
		t.Errorf("raised %v, taken %v", got.raised, got.taken)
	}
	var s Stats
	s.add(&got)
	s.add(&tally{})
	if s.Prompts.Load() != 1 || s.Answered[flows.MorningCheck].Load() != 1 || s.Held[7].Load() != 1 ||
		s.Advice[chart.Stay].Load() != 1 || s.Raised[0].Load() != 1 {
		t.Errorf("%d prompts, %d held", s.Prompts.Load(), s.Held[7].Load())
	}
	n, sum, under := s.Taken[1].Read()
	if n != 1 || sum != 60 || under[60] != 1 || under[30] != 0 {
		t.Errorf("taken: %d in %v s, %v", n, sum, under)
	}
	// An escalation that is resolved before anybody took it was taken then.
	gone := after
	gone.Escalations = nil
	if got := tallyOf(&after, &gone, &flows.Event{Body: flows.Order{}}, nil); len(got.taken) != 1 ||
		got.taken[0].class != redflag.ClassE {
		t.Errorf("taken %v", got.taken)
	}
	if got := tallyOf(&before, &before, &flows.Event{Body: flows.Missed{Key: "prompt"}}, nil); !got.late {
		t.Error("a prompt that came too late is not counted")
	}
}

// A panic becomes an error that names its line and nothing of its value.
func TestAPanicIsNamedByItsLine(t *testing.T) {
	r := Runner{log: slog.New(slog.DiscardHandler)}
	err := r.Safely(func() error { panic("sore at the left, a 9") })
	if err == nil || classOf(err) != err.Error() || len(err.Error()) > 80 || r.Stats.Panics.Load() != 1 {
		t.Fatalf("%v", err)
	}
	if want := "panic at scheduler.TestAPanicIsNamedByItsLine"; len(err.Error()) < len(want) ||
		err.Error()[:len(want)] != want {
		t.Errorf("it says %q", err)
	}
}
