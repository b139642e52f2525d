package scheduler

import (
	"context"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/message"
	"duskdawn/store"
)

// stopped is a sender that stands still before it writes its request, as a process does
// that is stopped.
type stopped struct {
	*rig
	still time.Duration
	err   error
}

func (s *stopped) Send(ctx context.Context, it store.Item, written func() error) Result {
	time.Sleep(s.still)
	s.err = written()
	return Result{Outcome: store.Pending, Class: "store"}
}

// What a process was about to send when it was stopped it does not send when it goes
// on after the time of its try: its lease ends soon after that, and another has it.
func TestAStoppedProcessSendsNothingLate(t *testing.T) {
	t.Parallel()
	for still, late := range map[time.Duration]bool{0: false, 300 * time.Millisecond: true} {
		g := newRig(t)
		s := &stopped{rig: g, still: still}
		g.Runner.send = s
		g.patient = func(p flows.Patient, e flows.Event) (flows.Patient, []flows.Effect) {
			return p, []flows.Effect{flows.Send{Lane: flows.LaneReply, Msg: message.Message{Lines: []message.Line{message.Say("x")}}}}
		}
		g.handle("1", flows.Gap{})
		out, _, err := g.st.Lease(t.Context(), g.clock.Now(), 1, store.LaneAll, leaseHold)
		if err != nil || len(out) != 1 {
			t.Fatal(out, err)
		}
		g.asking.Add(1)
		ctx, cancel := context.WithTimeout(t.Context(), 200*time.Millisecond)
		if err := g.deliverMessage(ctx, out[0]); err != nil {
			t.Fatal(err)
		}
		cancel()
		if (s.err != nil) != late {
			t.Errorf("after %v it may write: %v", still, s.err)
		}
	}
}
