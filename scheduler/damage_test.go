package scheduler

import (
	"context"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/store"
)

// rotten is a store in which the rows of one timer and of one key's messages
// cannot be read, as store/storetest has it of every store.
type rotten struct {
	store.Store
	timer, key string
}

func (s *rotten) Claim(ctx context.Context, now time.Time, n int, hold time.Duration) ([]store.Timer, error) {
	due, err := s.Store.Claim(ctx, now, n, hold)
	for i := range due {
		if due[i].Name == s.timer {
			due[i].Body, due[i].Damaged = nil, true
		}
	}
	return due, err
}

func (s *rotten) Lease(ctx context.Context, now time.Time, n int, most store.Lane, hold time.Duration) (out,
	expired []store.Item, err error) {
	all, expired, err := s.Store.Lease(ctx, now, n, most, hold)
	for _, it := range all {
		if orderedKey(it) == s.key {
			it.Body, it.Damaged, it.State = nil, true, store.Expired
			expired = append(expired, it)
		} else {
			out = append(out, it)
		}
	}
	return out, expired, err
}

// told counts how often staff were told of a record that cannot be read.
func (g *rig) toldOfDamage() (n int) {
	g.mu.Lock()
	defer g.mu.Unlock()
	for _, e := range g.others {
		if m, ok := e.Body.(flows.Manage); ok && m.Op == flows.ManageDamaged {
			n++
		}
	}
	return n
}

// A timer that cannot be read does not fire, staff are told once a day whose it
// is, others fire, and it fires when it is repaired.
func TestADamagedTimerIsTold(t *testing.T) {
	g := newRig(t)
	bad := &rotten{Store: g.st, timer: "a"}
	g.Runner.store = bad
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
		if e.ID == "u/1" {
			return p, []flows.Effect{flows.SetTimer{Name: "a", After: 1, Arg: "x"}, flows.SetTimer{Name: "b", After: 1, Arg: "y"}}
		}
		if d, ok := e.Body.(flows.Due); ok {
			return p, []flows.Effect{flows.ClearTimer{Name: d.Name}}
		}
		return p, nil
	}
	fired := func() (out string) {
		for _, e := range g.events {
			if d, ok := e.Body.(flows.Due); ok {
				out += d.Name + d.Arg
			}
		}
		return out
	}
	g.handle("u/1", flows.Said{})
	for range 4 {
		g.clock.Set(g.clock.Now().Add(2 * time.Minute))
		if _, _, err := g.FireDue(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	if got := fired(); got != "by" || g.toldOfDamage() != 1 {
		t.Errorf("fired %q, told %d times", got, g.toldOfDamage())
	}
	bad.timer = ""
	g.clock.Set(g.clock.Now().Add(2 * time.Minute))
	g.settle()
	if got := fired(); got != "byax" {
		t.Errorf("repaired, fired %q", got)
	}
}

// A message that cannot be read is not sent: its owner hears that it was not, as of
// what is too late, staff are told whose it was, and the next one goes out.
func TestADamagedMessageIsMissed(t *testing.T) {
	g := newRig(t)
	g.Runner.store = &rotten{Store: g.st, key: "one"}
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
		if e.ID == "u/1" {
			return p, []flows.Effect{flows.Send{Lane: flows.LaneUrgent, Msg: words("a"), Key: "one"},
				flows.Send{Lane: flows.LaneUrgent, Msg: words("b"), Key: "two"}}
		}
		return p, nil
	}
	g.handle("u/1", flows.Said{})
	g.settle()
	missed := ""
	for _, e := range g.events {
		if m, ok := e.Body.(flows.Missed); ok {
			missed += m.Key
		}
	}
	if len(g.sent) != 1 || orderedKey(g.sent[0]) != "two" || missed != "one" || g.toldOfDamage() != 1 {
		t.Errorf("sent %+v, missed %q, told %d times", g.sent, missed, g.toldOfDamage())
	}
}
