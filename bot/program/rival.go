package program

import (
	"context"
	"fmt"
	"sync"
	"time"

	"duskdawn/flows"
	"duskdawn/scheduler"
)

// rivals notices another program that polls with our token, and when it stopped:
// an update that reaches us, or two minutes without a conflict.
type rivals struct {
	set   func(bool) // called on a change only
	mu    sync.Mutex
	end   *time.Timer
	since time.Time
}

// seen notes a conflict, and gives how long they have gone on.
func (r *rivals) seen() time.Duration {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.end == nil {
		r.since = time.Now()
		r.set(true)
	} else {
		r.end.Stop()
	}
	r.end = time.AfterFunc(2*time.Minute, r.gone)
	return time.Since(r.since)
}

func (r *rivals) gone() {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.end != nil {
		r.end.Stop()
		r.end = nil
		r.set(false)
	}
}

// setRival stops prompts, or lets them go on, and tells the practice.
func (p *Program) setRival(on bool) {
	op := flows.ManageAlone
	if on {
		op = flows.ManageRival
		p.log.Error("another program polls with this token")
	}
	p.Runner.SetRival(on)
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	event := fmt.Sprintf("rival/%t/%d", on, p.Clock.Now().UnixNano())
	if err := p.Runner.Handle(ctx, scheduler.PracticeRef(), event, flows.Manage{Op: op}); err != nil {
		p.log.Error("telling of another program", "class", "store")
	}
}
