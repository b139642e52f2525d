package sqlite

import (
	"bytes"
	"sync"
	"time"

	"duskdawn/store"
)

const (
	readCacheMost = 2000                  // aggregates kept to be read: about two kilobytes each
	readCacheFor  = 10 * time.Millisecond // how long a look at what other connections commit is trusted
)

// readCache holds aggregates as committed, to be read without the engine while
// updates come fast: as long as the writer, who looks at every transaction's
// beginning, saw just now that nobody else has committed. So a read may miss what
// another process committed in the last moment, and never what this one did. It
// is for whoever holds the file's lock: beside serve only commands write.
type readCache struct {
	on     bool
	mu     sync.RWMutex
	of     map[string]store.Aggregate
	round  int       // how often all was forgotten
	looked time.Time // when the writer last looked
}

// get gives an aggregate that can be trusted. Otherwise round is what keep wants
// of whoever reads it from the engine next.
func (f *readCache) get(key string) (a store.Aggregate, ok bool, round int) {
	f.mu.RLock()
	defer f.mu.RUnlock()
	if a, ok = f.of[key]; !ok || !f.on || time.Since(f.looked) > readCacheFor {
		return store.Aggregate{}, false, f.round
	}
	a.Body = bytes.Clone(a.Body)
	return a, true, f.round
}

// guess gives what an aggregate probably is; whoever goes by it must check.
func (f *readCache) guess(key string) (a store.Aggregate, ok bool) {
	f.mu.RLock()
	defer f.mu.RUnlock()
	a, ok = f.of[key]
	return a, ok
}

// keep remembers what was read from the engine since round was given, or just
// committed. It never goes back: what was committed meanwhile stays.
func (f *readCache) keep(key string, a store.Aggregate, round int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if !f.on || round != f.round || a.Rev <= f.of[key].Rev {
		return
	}
	if len(f.of) >= readCacheMost {
		f.forget()
		return
	}
	f.of[key] = a
}

// committed remembers what a transaction changed, in order; it is called before
// anybody hears of the commit.
func (f *readCache) committed(changes []changed) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if !f.on {
		return
	}
	if len(f.of)+len(changes) > readCacheMost {
		f.forget()
	}
	for _, c := range changes {
		f.of[c.key] = c.now
	}
}

// changed is an aggregate that a transaction wrote.
type changed struct {
	key string
	now store.Aggregate
}

// look notes when the writer looked, and forgets all where somebody else committed.
func (f *readCache) look(at time.Time, others bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.looked = at
	if others {
		f.forget()
	}
}

// doubt forgets all, until the writer has looked: a transaction ended in a way
// that tells nothing.
func (f *readCache) doubt() { f.look(time.Time{}, true) }

// forget begins a new round, in which nothing read before counts.
func (f *readCache) forget() {
	clear(f.of)
	f.round++
}
