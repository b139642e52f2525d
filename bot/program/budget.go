package program

import (
	"sync"
	"time"
)

// Strangers are heard as far as this goes: each costs a commit, a place among
// thirty messages a second, and a chat that is remembered. What is beyond it is
// dropped and counted; whoever really wants something writes again.
const (
	strangersBurst     = 100
	strangersPerSecond = 5
)

// budget is so many at once, and so many more each second, by a clock that
// nobody sets.
type budget struct {
	mu   sync.Mutex
	left float64
	at   time.Time
}

// take takes one, where there is one.
func (b *budget) take(now time.Time) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.at.IsZero() {
		b.left = strangersBurst
	} else {
		b.left = min(strangersBurst, b.left+now.Sub(b.at).Seconds()*strangersPerSecond)
	}
	if b.at = now; b.left < 1 {
		return false
	}
	b.left--
	return true
}

// stranger reports whether somebody whom nobody knows may be heard now.
func (p *Program) stranger() bool {
	if p.strangers.take(time.Now()) {
		return true
	}
	p.metrics.Dropped()
	return false
}
