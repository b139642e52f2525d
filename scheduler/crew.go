package scheduler

import "sync/atomic"

// crew runs tries, each in a goroutine. While the runner runs they are kept for
// the next: the stack of a fresh one grows again and again in each try, and the
// copying costs as much as a good part of the try.
type crew struct {
	work chan func()
	over atomic.Pointer[chan struct{}] // closed when the runner ends; nil while it does not run
}

// begin keeps goroutines from now on; end lets them go.
func (c *crew) begin() (end func()) {
	over := make(chan struct{})
	c.over.Store(&over)
	return func() { c.over.Store(nil); close(over) }
}

func (c *crew) do(f func()) {
	select {
	case c.work <- f: // somebody waits for it
	default:
		go c.member(f)
	}
}

func (c *crew) member(f func()) {
	for {
		f()
		over := c.over.Load()
		if over == nil {
			return
		}
		select {
		case f = <-c.work:
		case <-*over:
			return
		}
	}
}
