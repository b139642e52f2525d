package program

import (
	"context"
	"errors"
	"sync"
	"time"

	"duskdawn/store"
)

// probe writes to the store to learn whether it can be written to: a lease that
// nobody needs. It asks at most once a second, and one at a time, since a store
// that hangs would keep every question.
type probe struct {
	mu  sync.Mutex
	at  time.Time
	err error
}

const probeFor = time.Second

func (b *probe) write(ctx context.Context, st store.Store) error {
	if !b.mu.TryLock() {
		return errors.New("a write has not come back")
	}
	defer b.mu.Unlock()
	if time.Since(b.at) < probeFor {
		return b.err
	}
	_, err := st.Lead(ctx, "probe", "whoever looks", probeFor) // every process renews the same one
	if b.err = nil; err != nil {
		b.err = errors.New("it takes no write")
	}
	b.at = time.Now()
	return b.err
}
