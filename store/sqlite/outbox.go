package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"iter"
	"slices"
	"time"

	"duskdawn/store"
)

const itemColumns = `seq, id, ref, queue, lane, key, lang, plan, advice, not_before, not_after, once, ordered,
	state, attempt, written, message, body`

// byID finds an item by its id, as ?1, through the index in the order of time.
const byID = "substr(id, 3) = substr(?1, 3) AND id = ?1"

// scanItem reads an item; one whose row cannot be read has no body, and is Damaged.
func (f form) scanItem(rows *sql.Rows) (store.Item, error) {
	var it store.Item
	var ref string
	var before, after, ordered int64
	if err := rows.Scan(&it.Seq, &it.ID, &ref, &it.Queue, &it.Lane, &it.Key, &it.Lang, &it.Plan, &it.Advice, &before,
		&after, &it.Once, &ordered,
		&it.State, &it.Attempt, &it.Written, &it.Message, &it.Body); err != nil {
		return it, err
	}
	it.NotBefore, it.NotAfter, it.Ordered = store.FromMicros(before), store.FromMicros(after), store.FromMicros(ordered)
	var err error
	if err = setRef(&it.Ref, ref); err == nil {
		it.Body, err = f.body(it.Body, it.Place())
	}
	if err != nil {
		it.Body, it.Damaged = nil, true
	}
	return it, nil
}

// front is the oldest item that waits in one lane of a line: of what one
// aggregate orders for one queue.
type front struct {
	seq, lane, before, held int64
	ready                   sql.NullInt64
}

// fronts reads a line's fronts, lowest lane first. A leased item is always one of them.
func (t *tx) fronts(ref, queue string) ([]front, error) {
	var out []front
	for lane := int64(-1); ; {
		var h front
		ok, err := t.get(`SELECT seq, lane, not_before, held, ready FROM outbox
			WHERE ref = ? AND queue = ? AND state = 0 AND lane > ? ORDER BY lane, seq LIMIT 1`,
			[]any{ref, queue, lane}, &h.seq, &h.lane, &h.before, &h.held, &h.ready)
		if err != nil || !ok {
			return out, err
		}
		out = append(out, h)
		lane = h.lane
	}
}

// orderAll puts what a change orders into the outbox, and hands over what it may.
func (t *tx) orderAll(ref string, c store.Change, at time.Time) error {
	var hand []int
	busy := map[string]bool{} // queues of which one is handed over
	for _, i := range c.Eligible(at) {
		waits, err := t.waits(ref, c.Out[i].Queue)
		if err != nil {
			return err
		}
		if !waits && len(hand) < c.Hand.N {
			hand, busy[c.Out[i].Queue] = append(hand, i), true
		}
	}
	for i, it := range c.Out {
		var err error
		switch {
		case slices.Contains(hand, i):
			err = t.handOver(ref, &c.Out[i], store.Micros(at.Add(c.Hand.Hold)))
		case busy[it.Queue]:
			_, err = t.insertItem(ref, it, nil, 0)
		default:
			err = t.order(ref, it)
		}
		if err != nil {
			return err
		}
	}
	for _, i := range hand {
		if c.Out[i].Attempt > 0 {
			c.Hand.Items = append(c.Hand.Items, c.Out[i])
		}
	}
	return nil
}

// handOver writes an item as leased. One whose id is there already is left as it is.
func (t *tx) handOver(ref string, it *store.Item, until int64) error {
	it.Attempt = 1
	seq, err := t.insertItem(ref, *it, until, until)
	if err != nil {
		return err
	}
	if seq == 0 {
		it.Attempt = 0
		return t.free(ref, it.Queue)
	}
	it.Seq = seq
	t.lastWrites.handed[it.ID] = handed{seq, ref, it.Queue, it.Plan}
	return nil
}

// order puts an item behind what waits in its line.
func (t *tx) order(ref string, it store.Item) error {
	line, err := t.fronts(ref, it.Queue)
	if err != nil {
		return err
	}
	ready := any(store.Micros(it.NotBefore))
	for _, f := range line {
		if f.held != 0 || f.lane == int64(it.Lane) {
			ready = nil
		}
	}
	_, err = t.insertItem(ref, it, ready, 0)
	return err
}

// insertItem writes an item's row; held is the end of its lease, 0 for none.
// The seq is 0 where there is an item of that id.
func (t *tx) insertItem(ref string, it store.Item, ready any, held int64) (seq int64, err error) {
	seq, n, err := t.insert(`INSERT INTO outbox (id, ref, queue, lane, key, lang, plan, advice, not_before, not_after, once, ordered, attempt, ready, held, leased, body)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING`,
		it.ID, ref, it.Queue, it.Lane, it.Key, it.Lang, it.Plan, it.Advice, store.Micros(it.NotBefore),
		store.Micros(it.NotAfter), it.Once,
		store.Micros(it.Ordered), it.Attempt, ready, held, held != 0, store.Wrap(it.Place(), it.Body))
	if err != nil || n == 0 {
		return 0, err
	}
	t.lastWrites.ordered(ref, it.Queue, 1)
	return seq, nil
}

// free lets a line's fronts go on, where none of them is leased.
func (t *tx) free(ref, queue string) error {
	line, err := t.fronts(ref, queue)
	if err != nil {
		return err
	}
	for _, h := range line {
		if h.held != 0 {
			return nil
		}
	}
	for _, h := range line {
		if h.ready.Valid {
			continue
		}
		if err := t.exec("UPDATE outbox SET ready = ? WHERE seq = ?", h.before, h.seq); err != nil {
			return err
		}
	}
	return nil
}

// withdraw cancels what an aggregate ordered under a key, as far as it is not leased.
func (t *tx) withdraw(ref, key string, at time.Time) error {
	t.lastWrites.touched(ref)
	queues := map[string]bool{}
	if err := t.all("SELECT queue FROM outbox WHERE ref = ? AND key = ? AND state = 0 AND held = 0", []any{ref, key},
		func(rows *sql.Rows) error {
			var queue string
			err := rows.Scan(&queue)
			queues[queue] = true
			return err
		}); err != nil {
		return err
	}
	if err := t.exec("UPDATE outbox SET withdrawn = 1 WHERE ref = ? AND key = ? AND state = 0 AND held > 0", ref,
		key); err != nil || len(queues) == 0 {
		return err
	}
	if err := t.exec("UPDATE outbox SET state = ?, leased = 0, ready = NULL, settled = ? WHERE ref = ? AND key = ? AND state = 0 AND held = 0",
		store.Cancelled, store.Micros(at), ref, key); err != nil {
		return err
	}
	for queue := range queues {
		if err := t.free(ref, queue); err != nil {
			return err
		}
	}
	return nil
}

// Ready returns when Lease could return something.
func (s *Store) Ready(ctx context.Context, most store.Lane) (time.Time, error) {
	var next sql.NullInt64
	err := s.one(ctx, `SELECT min(t) FROM (
		SELECT * FROM (SELECT 1 AS t FROM outbox WHERE ready = 0 AND lane <= ?1 LIMIT 1)
		UNION ALL SELECT * FROM (SELECT ready FROM outbox WHERE ready > 0 AND (lane <= ?1 OR held > 0 AND state = 0) ORDER BY ready LIMIT 1)
		UNION ALL SELECT * FROM (SELECT not_after + 1 FROM outbox WHERE not_after > 0 AND state = 0 AND held = 0 AND lane <= ?1 ORDER BY not_after LIMIT 1))`,
		[]any{most}, &next)
	if err != nil {
		return time.Time{}, fmt.Errorf("reading the outbox: %w", err)
	}
	return store.FromMicros(next.Int64), nil
}

// Waiting tells what waits, by the index of that alone; the first by order is
// the oldest of its lane.
func (s *Store) Waiting(ctx context.Context) (b store.Backlog, err error) {
	type lane struct {
		lane    store.Lane
		n       int
		ordered int64
	}
	for l, err := range read(ctx, s, `SELECT w.lane, w.n, o.ordered FROM
		(SELECT lane, count(*) AS n, min(seq) AS first FROM outbox INDEXED BY outbox_line WHERE state = 0 GROUP BY lane) w
		CROSS JOIN outbox o ON o.seq = w.first`, nil, func(rows *sql.Rows) (l lane, err error) {
		err = rows.Scan(&l.lane, &l.n, &l.ordered)
		return l, err
	}) {
		if err != nil {
			return b, err
		}
		b.Add(l.lane, l.n, store.FromMicros(l.ordered))
	}
	return b, nil
}

// Wrote notes that the request is about to be written.
func (s *Store) Wrote(ctx context.Context, id string) error {
	return s.writer.do(ctx, func(t *tx) error {
		n, err := t.change("UPDATE outbox SET written = 1 WHERE "+byID+" AND state = 0 AND held > 0", id)
		if err == nil && n == 0 {
			err = store.ErrNotFound
		}
		return err
	})
}

// Settle ends a lease.
func (s *Store) Settle(ctx context.Context, id string, m store.Settlement) error {
	return s.writer.settle(ctx, func(t *tx) error { return t.settle(id, m) })
}

func (t *tx) settle(id string, m store.Settlement) error {
	if m.Outcome != store.Pending {
		done, err := t.settleSent(id, m)
		if done || err != nil {
			return err
		}
	}
	it := store.Item{ID: id}
	var seq int64
	var ref, queue string
	var leased, withdrawn bool
	ok, err := t.get("SELECT seq, ref, queue, plan, state, attempt, leased, withdrawn FROM outbox WHERE "+byID, []any{id},
		&seq, &ref, &queue, &it.Plan, &it.State, &it.Attempt, &leased, &withdrawn)
	if err != nil {
		return err
	}
	if !ok || !leased || m.Attempt != 0 && m.Attempt != it.Attempt {
		return store.ErrNotFound
	}
	if m.Text != nil {
		if err := t.note(ref, []store.Record{it.Shown(m)}); err != nil {
			return err
		}
	}
	if it.State == store.Expired {
		return t.exec("UPDATE outbox SET held = 0, leased = 0, ready = NULL, settled = ? WHERE seq = ?", store.Micros(m.At),
			seq)
	}
	text := "UPDATE outbox SET held = 0, leased = 0, ready = NULL, written = ?1, not_before = ?2 WHERE seq = ?3"
	args := []any{m.Written, store.Micros(m.Until), seq}
	if withdrawn {
		t.lastWrites.touched(ref)
		text = "UPDATE outbox SET held = 0, leased = 0, ready = NULL, written = ?1, state = ?2, settled = ?3 WHERE seq = ?4"
		args = []any{m.Written, store.Cancelled, store.Micros(m.At), seq}
	}
	if err := t.exec(text, args...); err != nil {
		return err
	}
	return t.free(ref, queue)
}

// settleSent ends a lease for good, in one statement: what nearly every try
// comes to. It is not done where there is no such lease of a waiting item.
func (t *tx) settleSent(id string, m store.Settlement) (done bool, err error) {
	it, known := t.lastWrites.handed[id]
	if known {
		delete(t.lastWrites.handed, id)
		n, err := t.change(`UPDATE outbox SET held = 0, leased = 0, ready = NULL, written = ?2, state = ?3, message = ?4, settled = ?5
			WHERE seq = ?1 AND state = 0 AND leased = 1 AND attempt = 1 AND written = 0 AND ?6 IN (0, 1)`,
			it.seq, m.Written, m.Outcome, m.Message, store.Micros(m.At), m.Attempt)
		if err != nil {
			return false, err
		}
		known = n == 1
	}
	if !known {
		found, err := t.write(`UPDATE outbox SET held = 0, leased = 0, ready = NULL, written = written OR ?2, state = ?3, message = ?4, settled = ?5
			WHERE `+byID+` AND state = 0 AND leased = 1 AND (?6 = 0 OR attempt = ?6) RETURNING ref, queue, plan`,
			[]any{id, m.Written, m.Outcome, m.Message, store.Micros(m.At), m.Attempt}, &it.ref, &it.queue, &it.plan)
		if !found || err != nil {
			return false, err
		}
	}
	t.lastWrites.ordered(it.ref, it.queue, -1)
	if m.Text != nil {
		if err := t.note(it.ref, []store.Record{store.Item{ID: id, Plan: it.plan}.Shown(m)}); err != nil {
			return false, err
		}
	}
	if waits, err := t.waits(it.ref, it.queue); err != nil || !waits {
		return true, err
	}
	return true, t.free(it.ref, it.queue)
}

// Doubtful yields the items settled as in doubt.
func (s *Store) Doubtful(ctx context.Context) iter.Seq2[store.Item, error] {
	return read(ctx, s, "SELECT "+itemColumns+" FROM outbox WHERE state = 6 ORDER BY ordered, seq, id", nil,
		func(rows *sql.Rows) (store.Item, error) {
			it, err := s.form.scanItem(rows)
			if it.Damaged {
				err = store.ErrCorrupt
			}
			return it, err
		})
}
