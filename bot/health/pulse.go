package health

import (
	"fmt"
	"sync/atomic"
	"time"
)

// Pulse is that of one loop, which says each time by when it will move again.
// So a loop that sleeps for a minute is alive, and one that hangs is found out
// as soon as its own word is broken. The zero Pulse, of a loop that has not
// begun, is alive. It counts by a clock that nobody sets.
type Pulse struct{ until atomic.Int64 }

var origin = time.Now()

// Within says that the loop moves, and will move again within d.
func (p *Pulse) Within(d time.Duration) { p.until.Store(int64(time.Since(origin) + d)) }

// Ended says that the loop ended, as it was told to.
func (p *Pulse) Ended() { p.until.Store(0) }

// Alive is an error where the loop should have moved by now.
func (p *Pulse) Alive() error {
	until := p.until.Load()
	if late := time.Since(origin) - time.Duration(until); until != 0 && late > 0 {
		return fmt.Errorf("should have moved %s ago", late.Round(time.Second))
	}
	return nil
}
