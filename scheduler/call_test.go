package scheduler

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/redflag"
	"duskdawn/store"
)

// line is an outside call that remembers, and ends as each test says.
type line struct {
	calls []string
	ends  []store.Outcome // of each try; the last for all behind it; Cancelled: the program dies in it
}

func (l *line) Call(_ context.Context, class string, number int, at time.Time) (store.Outcome, string) {
	end := l.ends[min(len(l.calls), len(l.ends)-1)]
	l.calls = append(l.calls, fmt.Sprint(class, number, at.Format(" 15:04")))
	if end == store.Cancelled {
		panic("the program dies")
	}
	return end, ""
}

// called orders one outside call that is tried for half an hour, lets time pass,
// and gives how often it was tried and what the flow heard of it.
func called(t *testing.T, with Caller, more func(*rig)) (heard []string, g *rig) {
	t.Helper()
	g = newRig(t)
	g.calls = with
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
		switch b := e.Body.(type) {
		case flows.Said:
			return p, []flows.Effect{flows.Call{Class: redflag.ClassE, Number: 7, Key: "call.7", Within: 30}}
		case flows.Tap:
			return p, []flows.Effect{flows.Withdraw{Key: "call.7"}}
		case flows.Delivered:
			heard = append(heard, "delivered "+b.Key)
		case flows.Missed:
			heard = append(heard, "missed "+b.Key)
		}
		return p, nil
	}
	g.handle("u/1", flows.Said{Chat: 77})
	g.settle()
	if more != nil {
		more(g)
	}
	for range 80 {
		g.clock.Set(g.clock.Now().Add(30 * time.Second))
		g.settle()
	}
	return heard, g
}

// An outside call is stored with its cause and tried until it was made: a failure
// is repeated until it is too late, a doubt and a crash once, and the flow hears
// once what came of it. Nothing of it goes through the platform.
func TestOutsideCall(t *testing.T) {
	const made, missed = "delivered call.7", "missed call.7"
	for name, c := range map[string]struct {
		ends  []store.Outcome
		tries int
		heard string
		doubt int
	}{
		"made":                {[]store.Outcome{store.Sent}, 1, made, 0},
		"fails twice":         {[]store.Outcome{store.Pending, store.Pending, store.Sent}, 3, made, 0},
		"in doubt":            {[]store.Outcome{store.Doubt, store.Sent}, 2, made, 0},
		"in doubt twice":      {[]store.Outcome{store.Doubt}, 2, missed, 1},
		"dies in it":          {[]store.Outcome{store.Cancelled, store.Sent}, 2, made, 0},
		"dies, then in doubt": {[]store.Outcome{store.Cancelled, store.Doubt}, 2, missed, 1},
	} {
		l := &line{ends: c.ends}
		heard, g := called(t, l, nil)
		if len(l.calls) != c.tries || l.calls[0] != "E7 12:00" || !slices.Equal(heard, []string{c.heard}) || len(g.sent) > 0 {
			t.Errorf("%s: tried %q, heard %q", name, l.calls, heard)
		}
		doubt := 0
		for range g.st.Doubtful(t.Context()) {
			doubt++
		}
		if b, err := g.st.Waiting(t.Context()); err != nil || b[store.LaneEvent].Items != 0 || doubt != c.doubt {
			t.Errorf("%s: waits %+v, %d in doubt, %v", name, b[store.LaneEvent], doubt, err)
		}
	}
	l := &line{ends: []store.Outcome{store.Pending}}
	if heard, _ := called(t, l, nil); !slices.Equal(heard, []string{missed}) || len(l.calls) < 20 || len(l.calls) > 60 {
		t.Errorf("it always fails: %d tries, heard %q", len(l.calls), heard)
	}
	if heard, _ := called(t, nil, nil); !slices.Equal(heard, []string{missed}) {
		t.Errorf("none is set: heard %q", heard)
	}
	l = &line{ends: []store.Outcome{store.Pending}}
	heard, _ := called(t, l, func(g *rig) { g.handle("u/2", flows.Tap{Chat: 77}); g.settle() })
	if len(heard) > 0 || len(l.calls) != 1 {
		t.Errorf("taken back: %d tries, heard %q", len(l.calls), heard)
	}
}

// What a copy had to call is not called again: most of it was, since.
func TestACopyDoesNotCall(t *testing.T) {
	l := &line{ends: []store.Outcome{store.Pending, store.Sent}}
	_, g := called(t, l, func(g *rig) {
		if _, err := g.void(g.t.Context(), g.clock.Now()); err != nil {
			g.t.Fatal(err)
		}
	})
	if len(l.calls) != 1 || len(g.sent) > 0 {
		t.Errorf("called %q", l.calls)
	}
}
