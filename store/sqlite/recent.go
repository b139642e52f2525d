package sqlite

import (
	"duskdawn/store"
)

// recentMost is how many aggregates are remembered: about two kilobytes each.
const recentMost = 2000

// recent remembers what the last commits wrote of each aggregate, so that the
// next one need not read it again. It is the writer's own, and it is true as
// long as no other connection has committed and nothing was rolled back.
type recent struct {
	version int64 // of the file's content, as the engine counts other connections' commits
	of      map[string]*last
}

// last is what is known of one aggregate.
type last struct {
	body    *store.Aggregate // nil: not known
	head    *head            // of its journal; nil: not known
	summary *store.Summary   // nil: not known
}

// head is the end of a journal.
type head struct {
	seq  int64
	hash [32]byte
}

func (r *recent) forget() { clear(r.of) }

// at gives what is remembered of an aggregate, to be read and added to.
func (r *recent) at(key string) *last {
	l := r.of[key]
	if l == nil {
		if len(r.of) >= recentMost {
			r.forget()
		}
		l = &last{}
		r.of[key] = l
	}
	return l
}

// refresh forgets all where another connection has committed since.
func (t *tx) refresh() error {
	var version int64
	if _, err := t.get("PRAGMA data_version", nil, &version); err != nil {
		return err
	}
	if version != t.recent.version {
		t.recent.forget()
		t.recent.version = version
	}
	return nil
}

// aggregate reads an aggregate as it stands.
func (t *tx) aggregate(key string) (store.Aggregate, error) {
	l := t.recent.at(key)
	if l.body == nil {
		var a store.Aggregate
		if _, err := t.get("SELECT rev, body FROM aggregate WHERE ref = ?", []any{key}, &a.Rev, &a.Body); err != nil {
			return a, err
		}
		l.body = &a
	}
	return *l.body, nil
}

// journal reads the end of a journal.
func (t *tx) journal(key string) (head, error) {
	l := t.recent.at(key)
	if l.head == nil {
		var h head
		var raw []byte
		if _, err := t.get("SELECT seq, hash FROM journal WHERE ref = ? ORDER BY seq DESC LIMIT 1", []any{key}, &h.seq, &raw); err != nil {
			return h, err
		}
		copy(h.hash[:], raw)
		l.head = &h
	}
	return *l.head, nil
}
