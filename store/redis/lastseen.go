package redis

import (
	"sync"

	"duskdawn/store"
)

// recentMost is how many aggregates are remembered: about two kilobytes each.
const recentMost = 2000

// lastSeen remembers what this process last saw of each aggregate, and what was
// handed over to it, so that the next commit need not read it first. It may be
// wrong: the scripts compare revision and journal with what they find, and what
// does not fit is read and tried again.
type lastSeen struct {
	mu     sync.Mutex
	of     map[string]last
	handed map[string]handed // by the item's id
}

// last is an aggregate as it was seen, and the head of its journal.
type last struct {
	store.Aggregate
	head    string
	summary *store.Summary // that this process wrote with it; nil: not known
}

// handed is what the record of an item's text needs.
type handed struct {
	ref  string
	plan int32
}

func (r *lastSeen) get(key string) (last, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	l, ok := r.of[key]
	return l, ok
}

func (r *lastSeen) put(key string, l last, items []store.Item) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.of == nil || len(r.of) >= recentMost || len(r.handed) >= recentMost {
		r.of, r.handed = map[string]last{}, map[string]handed{}
	}
	r.of[key] = l
	for _, it := range items {
		r.handed[it.ID] = handed{key, it.Plan}
	}
}

// wrote notes that a journal has a new head.
func (r *lastSeen) wrote(key, head string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if l, ok := r.of[key]; ok {
		l.head = head
		r.of[key] = l
	}
}

func (r *lastSeen) forget(key string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	delete(r.of, key)
}

// take gives what is known of a handed item and its owner's journal, once.
func (r *lastSeen) take(id string) (h handed, head string, ok bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	h, ok = r.handed[id]
	if !ok {
		return h, "", false
	}
	delete(r.handed, id)
	l, ok := r.of[h.ref]
	return h, l.head, ok
}
