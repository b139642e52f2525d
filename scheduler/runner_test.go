package scheduler

import (
	"context"
	"sync"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/store"
	"duskdawn/store/memory"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// rig is a runner on the memory store with a sender that remembers, a clock
// that is moved, and a flow that does what each test says.
type rig struct {
	*Runner
	t     *testing.T
	st    store.Store
	clock *ManualClock

	mu      sync.Mutex
	sent    []store.Item
	answer  func(store.Item) Result
	early   func(store.Item) bool // nil is never
	events  []flows.Event         // of patients
	others  []flows.Event         // of chats and the practice
	patient func(flows.Patient, flows.Event) (flows.Patient, []flows.Effect)
}

const who = chart.PatientID("07ABCDEFGHJKMNPQRS")

func newRig(t *testing.T) *rig {
	g := &rig{t: t, st: memory.New(), clock: NewManualClock(time.Date(2026, 11, 3, 12, 0, 0, 0, time.UTC))}
	g.answer = func(store.Item) Result { return Result{Outcome: store.Sent, Message: 1} }
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) { return p, nil }
	note := func(list *[]flows.Event, e flows.Event) {
		g.mu.Lock()
		*list = append(*list, e)
		g.mu.Unlock()
	}
	r, err := New(t.Context(), Options{Store: g.st, Sender: g, Clock: g.clock, Logic: Logic{
		Patient: func(_ *practice.Practice, p *flows.Patient, e *flows.Event) (fx []flows.Effect) {
			note(&g.events, *e)
			p.ID, p.Chat, p.Zone = who, 77, "America/New_York"
			*p, fx = g.patient(*p, *e)
			return fx
		},
		Practice: func(pr practice.Practice, e flows.Event) (practice.Practice, []flows.Effect) {
			note(&g.others, e)
			return pr, nil
		},
		Chat: func(_ practice.Practice, _ int64, b []byte, e flows.Event) ([]byte, string, []flows.Effect, error) {
			note(&g.others, e)
			return []byte{1}, "en", nil, nil
		},
	}})
	if err != nil {
		t.Fatal(err)
	}
	g.Runner = r
	t.Cleanup(func() { g.st.Close() })
	return g
}

func (g *rig) Early(_ context.Context, it store.Item, _ time.Duration) bool {
	return g.early != nil && g.early(it)
}

func (g *rig) Send(_ context.Context, it store.Item, written func() error) Result {
	if err := written(); err != nil {
		return Result{Outcome: store.Pending, Class: "store"}
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	g.sent = append(g.sent, it)
	return g.answer(it)
}

func (g *rig) handle(event string, b flows.Body) {
	g.t.Helper()
	if err := g.Handle(g.t.Context(), PatientRef(who), event, b); err != nil {
		g.t.Fatal(err)
	}
}

// settle fires and delivers until nothing is left at the clock's now.
func (g *rig) settle() {
	g.t.Helper()
	for range 100 {
		fired, _, err := g.FireDue(g.t.Context())
		if err != nil {
			g.t.Fatal(err)
		}
		started, _, err := g.deliverPass(g.t.Context())
		if err != nil {
			g.t.Fatal(err)
		}
		g.drain()
		if fired+started == 0 {
			return
		}
	}
	g.t.Fatal("never quiet")
}

func words(key string) message.Message {
	return message.Message{Lines: []message.Line{message.Say(key)}}
}

func TestAnEventIsHandledOnce(t *testing.T) {
	g := newRig(t)
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
		p.EscCount++
		return p, []flows.Effect{flows.Send{Lane: flows.LaneReply, Msg: words("a")}}
	}
	g.handle("u/1", flows.Said{Chat: 77})
	g.handle("u/1", flows.Said{Chat: 77})
	g.settle()
	a, err := g.st.Get(t.Context(), PatientRef(who))
	if err != nil {
		t.Fatal(err)
	}
	p, err := store.DecodePatient(a.Body)
	if err != nil || p.EscCount != 1 {
		t.Errorf("applied %d times, %v", p.EscCount, err)
	}
	if len(g.sent) != 1 || g.Stats.Seen.Load() != 1 {
		t.Errorf("sent %d, seen %d", len(g.sent), g.Stats.Seen.Load())
	}
	for _, it := range g.sent {
		if it.Queue != "77" || it.Lane != store.LaneReply || it.ID[:2] != "07" {
			t.Errorf("item %+v", it)
		}
	}
}

func TestATimerFiresOnceAtItsWallTime(t *testing.T) {
	g := newRig(t)
	evening := civil.Wall{Date: civil.DateOf(2026, 11, 3), Clock: 21 * 60}
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
		if _, ok := e.Body.(flows.Said); ok {
			return p, []flows.Effect{flows.SetTimer{Name: "evening", At: evening, Arg: "x"}}
		}
		return p, nil
	}
	g.handle("u/1", flows.Said{})
	g.settle()
	if len(g.events) != 1 {
		t.Fatalf("%d events before the hour", len(g.events))
	}
	at := time.Date(2026, 11, 4, 2, 0, 0, 0, time.UTC) // 21:00 EST
	g.clock.Set(at.Add(-time.Second))
	g.settle()
	if len(g.events) != 1 {
		t.Fatal("it fired early")
	}
	g.clock.Set(at.Add(3 * time.Minute))
	g.settle()
	g.clock.Set(at.Add(48 * time.Hour))
	g.settle()
	if len(g.events) != 2 {
		t.Fatalf("%d events; the timer fires once", len(g.events))
	}
	due, ok := g.events[1].Body.(flows.Due)
	if !ok || due.Name != "evening" || due.Arg != "x" || due.Scheduled != evening || due.Late != 3 {
		t.Errorf("got %+v", g.events[1].Body)
	}
	if g.events[1].Wall != evening.Add(3) {
		t.Errorf("wall %v", g.events[1].Wall)
	}
	if _, next, _ := g.FireDue(t.Context()); !next.IsZero() {
		t.Error("the timer is still there")
	}
}

func TestATellIsAppliedOnceAndACodeFindsItsOwner(t *testing.T) {
	g := newRig(t)
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
		switch e.Body.(type) {
		case flows.Enrol:
			return p, []flows.Effect{flows.Own{Kind: "code", Value: "07CODECODECODE"}}
		case flows.Said:
			return p, []flows.Effect{
				flows.Tell{To: flows.Target{Practice: true}, Body: flows.GroupMoved{From: 1, To: 2}},
				flows.Tell{To: flows.Target{Code: "07CODECODECODE"}, Body: flows.Join{Chat: 5}},
				flows.Tell{To: flows.Target{Code: "07NOBODYNOBODY"}, Body: flows.Join{Chat: 5}},
			}
		}
		return p, nil
	}
	g.handle("e/1", flows.Enrol{})
	g.handle("u/1", flows.Said{})
	g.settle()
	if len(g.others) != 1 {
		t.Errorf("the practice heard %d events", len(g.others))
	}
	joins, nobody := 0, 0
	for _, e := range g.events {
		switch e.Body.(type) {
		case flows.Join:
			joins++
		case flows.NoSuchCode:
			nobody++
		}
	}
	if joins != 1 || nobody != 1 {
		t.Errorf("%d joins, %d unknown codes", joins, nobody)
	}
}

// A label is found in every shard, and taken only once.
func TestALabelIsTakenOnce(t *testing.T) {
	g := newRig(t)
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
		if en, ok := e.Body.(flows.Enrol); ok {
			p.Label = en.Enrolment.Label
		}
		return p, nil
	}
	g.handle("e/1", flows.Enrol{Enrolment: chart.Enrolment{Label: "Wren-17"}, Chat: 9})
	if err := g.Handle(t.Context(), store.Ref{Kind: store.Patient, ID: "08ABCDEFGHJKMNPQRS"}, "e/2",
		flows.Enrol{Enrolment: chart.Enrolment{Label: " wren-17 "}, Chat: 9}); err != nil {
		t.Fatal(err)
	}
	if len(g.others) != 1 {
		t.Fatalf("the chat heard %d events", len(g.others))
	}
	if _, ok := g.others[0].Body.(flows.LabelTaken); !ok {
		t.Errorf("it heard %+v", g.others[0].Body)
	}
	// Of a treatment that has ended as well: something may be open there yet.
	g.patient = func(p flows.Patient, _ flows.Event) (flows.Patient, []flows.Effect) {
		p.Course.State = chart.Ended
		return p, nil
	}
	g.handle("e/3", flows.Said{})
	if taken, err := g.LabelTaken(t.Context(), "08ABCDEFGHJKMNPQRS", "WREN-17"); err != nil || !taken {
		t.Errorf("the label of an ended treatment is free: %v", err)
	}
}

// A timer planned on other zone data keeps its wall time and gets a new instant.
func TestTimersArePlannedAgainForNewZoneData(t *testing.T) {
	g := newRig(t)
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
		return p, []flows.Effect{flows.SetTimer{Name: "plain", After: 60}}
	}
	g.handle("u/1", flows.Said{})
	old := store.Timer{Name: "evening", At: time.Date(2026, 11, 4, 1, 0, 0, 0, time.UTC), Wall: "2026-11-03T21:00",
		Zone: "America/New_York", Basis: "0ld"}
	if err := g.st.Update(t.Context(), PatientRef(who), "old", g.clock.Now(), func(store.Aggregate) (store.Change, error) {
		return store.Change{Set: []store.Timer{old}}, nil
	}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []int{1, 0} {
		if n, err := g.Replan(t.Context()); err != nil || n != want {
			t.Fatalf("moved %d, want %d, %v", n, want, err)
		}
	}
	for tm, err := range g.st.Pending(t.Context(), PatientRef(who)) {
		if err != nil {
			t.Fatal(err)
		}
		if tm.Name == "evening" && (!tm.At.Equal(time.Date(2026, 11, 4, 2, 0, 0, 0, time.UTC)) || tm.Wall != old.Wall) {
			t.Errorf("planned again for %v at %s", tm.At, tm.Wall)
		}
	}
}

// Run stops when told to and leaves no goroutine behind.
func TestRun(t *testing.T) {
	g := newRig(t)
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error)
	go func() { done <- g.Run(ctx) }()
	sent := make(chan struct{})
	g.answer = func(store.Item) Result { close(sent); return Result{Outcome: store.Sent} }
	g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
		return p, []flows.Effect{flows.Send{Lane: flows.LaneReply, Msg: words("a")}}
	}
	g.handle("u/1", flows.Said{})
	<-sent
	for {
		if quiet, _, err := g.Quiet(t.Context()); err != nil {
			t.Fatal(err)
		} else if quiet {
			break
		}
		time.Sleep(time.Millisecond)
	}
	cancel()
	if err := <-done; err != nil {
		t.Error(err)
	}
}
