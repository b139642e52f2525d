package sqlite

import (
	"context"
	"database/sql"
	"time"

	"duskdawn/store"
)

// Lease returns what may go out and what is too late.
func (s *Store) Lease(ctx context.Context, now time.Time, n int, most store.Lane, hold time.Duration) (out,
	expired []store.Item, err error) {
	// Most passes find nothing: they cost a read and no sync.
	if ready, err := s.Ready(ctx, most); err != nil || ready.IsZero() || ready.After(now) || n <= 0 {
		return nil, nil, err
	}
	l := lease{now: now.UnixMicro(), until: store.Micros(now.Add(hold)), n: n, most: most}
	err = s.writer.do(ctx, func(t *tx) (err error) {
		out, expired = nil, nil
		if err := t.lapse(l.now); err != nil {
			return err
		}
		if expired, err = t.expire(l); err != nil {
			return err
		}
		var damaged []store.Item
		out, damaged, err = t.takeAll(l)
		expired = append(expired, damaged...)
		return err
	})
	if err != nil {
		return nil, nil, err
	}
	return out, expired, nil
}

// LeaseBehind returns what may go out behind the replies.
func (s *Store) LeaseBehind(ctx context.Context, now time.Time, n int, most store.Lane,
	hold time.Duration) (out []store.Item, err error) {
	if ready, err := s.Ready(ctx, most); err != nil || ready.IsZero() || ready.After(now) || n <= 0 {
		return nil, err
	}
	l := lease{now: now.UnixMicro(), until: store.Micros(now.Add(hold)), n: n, least: store.LaneReply + 1, most: most}
	err = s.writer.do(ctx, func(t *tx) (err error) {
		if err := t.lapse(l.now); err != nil {
			return err
		}
		var damaged []store.Item
		if out, damaged, err = t.takeAll(l); err != nil {
			return err
		}
		for _, it := range damaged { // Lease lists it, as soon as it is asked
			if err := t.exec("UPDATE outbox SET held = 1, ready = 1 WHERE seq = ?", it.Seq); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// takeAll leases as many as are asked for, or as there are. What cannot be read
// among them is Expired and held like what is too late.
func (t *tx) takeAll(l lease) (out, damaged []store.Item, err error) {
	for len(out) < l.n {
		more, err := t.take(l, l.n-len(out))
		if err != nil || len(more) == 0 {
			return out, damaged, err
		}
		for _, it := range more {
			if !it.Damaged {
				out = append(out, it)
				continue
			}
			if err := t.tooLate(it, l.until); err != nil {
				return nil, nil, err
			}
			if err := t.exec("UPDATE outbox SET ready = 0 WHERE ready > 0 AND ready <= ? AND held = 0", l.now); err != nil {
				return nil, nil, err
			}
			it.State = store.Expired
			damaged = append(damaged, it)
		}
	}
	return out, damaged, nil
}

// tooLate makes an item Expired, held until its owner was told; what stands
// behind it may go.
func (t *tx) tooLate(it store.Item, until int64) error {
	if err := t.exec("UPDATE outbox SET state = 4, held = ?1, leased = 1, ready = ?1 WHERE seq = ?2", until, it.Seq); err != nil {
		return err
	}
	t.lastWrites.touched(it.Ref.String())
	return t.free(it.Ref.String(), it.Queue)
}

// lease is what one call of Lease asks for.
type lease struct {
	now, until int64
	n          int

	least, most store.Lane
}

// lapse ends the leases that ran out and lets go what waited for its time.
func (t *tx) lapse(now int64) error {
	type line struct {
		seq        int64
		ref, queue string
		withdrawn  bool
	}
	var lines []line
	waiting := false
	if err := t.all("SELECT seq, ref, queue, held, state, withdrawn FROM outbox WHERE ready > 0 AND ready <= ?",
		[]any{now}, func(rows *sql.Rows) error {
			var l line
			var held, state int64
			if err := rows.Scan(&l.seq, &l.ref, &l.queue, &held, &state, &l.withdrawn); err != nil {
				return err
			}
			switch {
			case held == 0:
				waiting = true
			case state == int64(store.Pending):
				lines = append(lines, l)
			}
			return nil
		}); err != nil {
		return err
	}
	if waiting {
		if err := t.exec("UPDATE outbox SET ready = 0 WHERE ready > 0 AND ready <= ? AND held = 0", now); err != nil {
			return err
		}
	}
	for _, l := range lines {
		text := "UPDATE outbox SET held = 0, ready = 0 WHERE seq = ?2"
		if l.withdrawn {
			t.lastWrites.touched(l.ref)
			text = "UPDATE outbox SET held = 0, leased = 0, ready = NULL, state = 5, settled = ?1 WHERE seq = ?2" // Cancelled
		}
		if err := t.exec(text, now, l.seq); err != nil {
			return err
		}
		if err := t.free(l.ref, l.queue); err != nil {
			return err
		}
	}
	if len(lines) > 0 {
		return t.exec("UPDATE outbox SET ready = 0 WHERE ready > 0 AND ready <= ? AND held = 0", now)
	}
	return nil
}

// expire holds what is too late, until its owner was told.
func (t *tx) expire(l lease) ([]store.Item, error) {
	var out []store.Item
	scan := func(rows *sql.Rows) error {
		it, err := newest.scanItem(rows)
		it.State = store.Expired
		out = append(out, it)
		return err
	}
	if err := t.all("SELECT "+itemColumns+" FROM outbox WHERE not_after > 0 AND not_after < ? AND state = 0 AND held = 0 AND lane <= ? ORDER BY not_after, lane, id LIMIT ?",
		[]any{l.now, l.most, l.n}, scan); err != nil {
		return nil, err
	}
	fresh := len(out)
	if err := t.all("SELECT "+itemColumns+" FROM outbox WHERE ready > 0 AND ready <= ? AND lane <= ? AND state = 4 ORDER BY ready, lane, id LIMIT ?",
		[]any{l.now, l.most, l.n - fresh}, scan); err != nil {
		return nil, err
	}
	for i, it := range out {
		if i < fresh {
			if err := t.tooLate(it, l.until); err != nil {
				return nil, err
			}
		} else if err := t.exec("UPDATE outbox SET held = ?1, ready = ?1 WHERE seq = ?2", l.until, it.Seq); err != nil {
			return nil, err
		}
	}
	if fresh > 0 { // what stood behind them may be ready by now
		return out, t.exec("UPDATE outbox SET ready = 0 WHERE ready > 0 AND ready <= ? AND held = 0", l.now)
	}
	return out, nil
}

// take leases at most n items of those that may go now.
func (t *tx) take(l lease, n int) ([]store.Item, error) {
	var found []store.Item
	if err := t.all("SELECT "+itemColumns+" FROM outbox WHERE ready = 0 AND lane >= ? AND lane <= ? AND (not_after = 0 OR not_after >= ?) ORDER BY lane, seq LIMIT ?",
		[]any{l.least, l.most, l.now, n}, func(rows *sql.Rows) error {
			it, err := newest.scanItem(rows)
			found = append(found, it)
			return err
		}); err != nil {
		return nil, err
	}
	type line struct {
		ref   store.Ref
		queue string
	}
	taken := map[line]bool{}
	var out []store.Item
	for _, it := range found {
		if taken[line{it.Ref, it.Queue}] {
			continue // a lower lane of its line goes first; it was put back
		}
		taken[line{it.Ref, it.Queue}] = true
		it.Attempt++
		if err := t.exec("UPDATE outbox SET held = ?1, leased = 1, ready = ?1, attempt = ?2 WHERE seq = ?3", l.until,
			it.Attempt, it.Seq); err != nil {
			return nil, err
		}
		line, err := t.fronts(it.Ref.String(), it.Queue)
		if err != nil {
			return nil, err
		}
		for _, h := range line {
			if h.seq != it.Seq && h.ready.Valid {
				if err := t.exec("UPDATE outbox SET ready = NULL WHERE seq = ?", h.seq); err != nil {
					return nil, err
				}
			}
		}
		out = append(out, it)
	}
	return out, nil
}
