package scheduler

import (
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/store"
)

// The journal keeps as shown what arrived, or may have: a try that the platform
// refused or asked to wait with showed nobody anything.
func TestOnlyWhatArrivedWasShown(t *testing.T) {
	for name, c := range map[string]struct {
		outcomes []store.Outcome
		shown    int
	}{
		"at once":                 {[]store.Outcome{store.Sent}, 1},
		"after two tries":         {[]store.Outcome{store.Pending, store.Pending, store.Sent}, 1},
		"after one in doubt":      {[]store.Outcome{store.Doubt, store.Sent}, 1},
		"in doubt for good":       {[]store.Outcome{store.Doubt, store.Doubt, store.Doubt}, 1},
		"refused":                 {[]store.Outcome{store.Rejected}, 0},
		"refused after two tries": {[]store.Outcome{store.Pending, store.Pending, store.Rejected}, 0},
	} {
		g := newRig(t)
		g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
			return p, []flows.Effect{flows.Send{Lane: flows.LaneReply, Msg: words("a")}}
		}
		left := c.outcomes
		g.answer = func(store.Item) Result {
			o := left[0]
			left = left[1:]
			return Result{Outcome: o, Message: 1, Text: []byte("a text")}
		}
		g.handle("u/1", flows.Said{})
		for range c.outcomes {
			g.settle()
			g.clock.Set(g.clock.Now().Add(2 * time.Minute))
		}
		shown := 0
		for r, err := range g.st.Journal(t.Context(), PatientRef(who)) {
			if err != nil {
				t.Fatal(err)
			}
			if r.What == store.WhatShown {
				shown++
			}
		}
		if len(left) > 0 || shown != c.shown {
			t.Errorf("%s: %d tries left, shown %d times, want %d", name, len(left), shown, c.shown)
		}
	}
}
