package redis

import (
	"context"
	"runtime"
	"sync"

	"github.com/redis/go-redis/v9"
)

const (
	batchMost = 128 // commands of one round trip, about
	inFlight  = 2   // round trips under way: the server works on one while we read the other
)

// batches sends what several callers ask for at once in one round trip: where
// the server syncs always it syncs once for all of them. A lone caller does not wait.
type batches struct {
	c redis.UniversalClient

	mu      sync.Mutex
	waiting []*part
	flying  int
}

// part is what one caller asks for.
type part struct {
	fill func(redis.Pipeliner)
	done chan struct{}
	cmds []redis.Cmder // answered, each with a value or an error
}

// do runs the commands that fill queues, and gives them answered. The server may
// do others' between them, so that it is for commands which do not belong together.
func (b *batches) do(fill func(redis.Pipeliner)) []redis.Cmder {
	p := &part{fill: fill, done: make(chan struct{})}
	b.mu.Lock()
	b.waiting = append(b.waiting, p)
	start := b.flying < inFlight
	if start {
		b.flying++
	}
	b.mu.Unlock()
	if start {
		go b.fly()
	}
	<-p.done
	return p.cmds
}

// fly makes round trips until nobody waits.
func (b *batches) fly() {
	for {
		runtime.Gosched() // those just answered ask for their next
		parts := b.take()
		if parts == nil {
			return
		}
		pipe := b.c.Pipeline()
		for _, p := range parts {
			from := pipe.Len()
			p.fill(pipe)
			p.cmds = make([]redis.Cmder, pipe.Len()-from)
		}
		cmds, _ := pipe.Exec(context.Background()) // each answer is looked at, and the client's own time limits end it
		for _, p := range parts {
			cmds = cmds[copy(p.cmds, cmds):]
			close(p.done)
		}
	}
}

// take gives some of those who wait; nil ends a flight.
func (b *batches) take() []*part {
	b.mu.Lock()
	defer b.mu.Unlock()
	n := min(len(b.waiting), batchMost)
	if n == 0 {
		b.flying--
		return nil
	}
	parts := b.waiting[:n:n]
	b.waiting = b.waiting[n:]
	return parts
}
