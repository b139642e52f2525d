package sqlite

import (
	"database/sql"
	"time"

	"duskdawn/store"
)

// recentMost is how many aggregates are remembered: about two kilobytes each.
const recentMost = 2000

// lastWrites remembers what the last commits wrote of each aggregate, so that the
// next one need not read it again. It is the writer's own, and it is true as
// long as no other connection has committed and nothing was rolled back.
type lastWrites struct {
	version int64 // of the file's content, as the engine counts other connections' commits
	of      map[string]*last
	handed  map[string]handed // by the item's id
	tail    map[string]head   // of the journals whose last records have no place yet; nil: not known
	loose   int               // how many records have none
}

// last is what is known of one aggregate.
type last struct {
	body    *store.Aggregate // nil: not known
	head    *head            // of its journal; nil: not known
	summary *store.Summary   // nil: not known
	waiting map[string]int   // how many items wait in each line, by queue; lines that are not in it are not known
}

// handed is an item that was handed over and that nothing has touched since.
type handed struct {
	seq        int64
	ref, queue string
	plan       int32
}

// head is the end of a journal.
type head struct {
	seq  int64
	hash [32]byte
}

func (r *lastWrites) forget() {
	clear(r.of)
	clear(r.handed)
	r.tail = nil
}

// touched forgets what is known of the lines of an aggregate.
func (r *lastWrites) touched(key string) {
	if l := r.of[key]; l != nil {
		l.waiting = nil
	}
}

// ordered counts one more item in a line, or as many fewer.
func (r *lastWrites) ordered(key, queue string, n int) {
	if l := r.of[key]; l != nil {
		if was, known := l.waiting[queue]; known {
			l.waiting[queue] = was + n
		}
	}
}

// at gives what is remembered of an aggregate, to be read and added to.
func (r *lastWrites) at(key string) *last {
	l := r.of[key]
	if l == nil {
		if len(r.of) >= recentMost {
			clear(r.of)
			clear(r.handed)
		}
		l = &last{}
		r.of[key] = l
	}
	return l
}

// refresh begins a transaction's memory: it forgets all where another
// connection has committed since.
func (t *tx) refresh() error {
	t.changed = t.changed[:0]
	var version int64
	at := time.Now()
	if _, err := t.get("PRAGMA data_version", nil, &version); err != nil {
		return err
	}
	t.readCache.look(at, version != t.lastWrites.version)
	if version != t.lastWrites.version {
		t.lastWrites.forget()
		t.lastWrites.version = version
	}
	return nil
}

// aggregate reads an aggregate as it stands.
func (t *tx) aggregate(key string) (store.Aggregate, error) {
	l := t.lastWrites.at(key)
	if l.body == nil {
		var a store.Aggregate
		found, err := t.get("SELECT rev, body FROM aggregate WHERE ref = ?", []any{key}, &a.Rev, &a.Body)
		if err != nil {
			return a, err
		}
		if found {
			if a.Body, err = store.Unwrap(store.BodyPlace(key, a.Rev), a.Body); err != nil {
				return a, err
			}
		}
		l.body = &a
	}
	return *l.body, nil
}

// journal reads the end of a journal; readTail was called.
func (t *tx) journal(key string) (head, error) {
	l := t.lastWrites.at(key)
	if l.head != nil {
		return *l.head, nil
	}
	h, loose := t.lastWrites.tail[key]
	if !loose {
		var raw []byte
		if _, err := t.get("SELECT seq, hash FROM journal WHERE id = (SELECT id FROM place WHERE ref = ? ORDER BY seq DESC LIMIT 1)",
			[]any{key}, &h.seq, &raw); err != nil {
			return h, err
		}
		copy(h.hash[:], raw)
	}
	l.head = &h
	return h, nil
}

// placeEvery is how many records get their places at once: an index entry for
// each by itself would dirty a page of its own in every commit.
const placeEvery = 1000

// noted remembers a journal's new end, behind n records that were just written,
// and gives the records their places when there are enough.
func (t *tx) noted(key string, end head, n int) error {
	t.lastWrites.at(key).head = &end
	t.lastWrites.tail[key] = end
	if t.lastWrites.loose += n; t.lastWrites.loose < placeEvery {
		return nil
	}
	// OR FAIL: without it the engine copies each page first, to take the statement back alone
	for _, text := range []string{
		"INSERT OR FAIL INTO place (ref, seq, id) SELECT ref, seq, id FROM journal WHERE id > (SELECT id FROM placed) ORDER BY ref, seq",
		"UPDATE placed SET id = (SELECT max(id) FROM journal)",
	} {
		if err := t.exec(text); err != nil {
			return err
		}
	}
	clear(t.lastWrites.tail)
	t.lastWrites.loose = 0
	return nil
}

// readTail reads the ends of the journals whose last records have no place.
func (t *tx) readTail() error {
	if t.lastWrites.tail != nil {
		return nil
	}
	tail, n := map[string]head{}, 0
	if err := t.all("SELECT ref, seq, hash FROM journal WHERE id > (SELECT id FROM placed) ORDER BY id", nil,
		func(rows *sql.Rows) error {
			var ref string
			var h head
			var raw []byte
			err := rows.Scan(&ref, &h.seq, &raw)
			copy(h.hash[:], raw)
			tail[ref] = h
			n++
			return err
		}); err != nil {
		return err
	}
	t.lastWrites.tail, t.lastWrites.loose = tail, n
	return nil
}

// waits reports whether anything waits in a line.
func (t *tx) waits(ref, queue string) (bool, error) {
	l := t.lastWrites.at(ref)
	if n, known := l.waiting[queue]; known {
		return n > 0, nil
	}
	found, err := t.get("SELECT 1 FROM outbox WHERE ref = ? AND queue = ? AND state = 0 LIMIT 1", []any{ref, queue},
		new(int))
	if err != nil || found {
		return found, err
	}
	if l.waiting == nil {
		l.waiting = map[string]int{}
	}
	l.waiting[queue] = 0
	return false, nil
}
