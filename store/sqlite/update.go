package sqlite

import (
	"bytes"
	"context"
	"time"

	"duskdawn/store"
)

// Update runs fn in the writer's transaction and commits what it returns.
func (s *Store) Update(ctx context.Context, ref store.Ref, event string, at time.Time,
	fn func(store.Aggregate) (store.Change, error)) error {
	if _, err := store.Prepare(ref, event, at, store.Change{}); err != nil {
		return err
	}
	u := &update{ref: ref, key: ref.String(), event: event, at: at, fn: fn}
	if a, ok := s.readCache.guess(u.key); ok && s.alive(ctx) == nil {
		u.work(a)
	}
	return s.writer.do(ctx, func(t *tx) error { return t.update(u) })
}

// update is one update on its way. What the aggregate probably is, is worked on
// by whoever asks, so that the one writer has less to do; the result counts where
// it was that.
type update struct {
	ref   store.Ref
	key   string
	event string
	at    time.Time
	fn    func(store.Aggregate) (store.Change, error)

	worked bool
	on     store.Aggregate
	change store.Change
	err    error
}

// work runs the function on what the aggregate is.
func (u *update) work(on store.Aggregate) {
	if u.change, u.err = u.fn(store.Aggregate{Rev: on.Rev, Body: bytes.Clone(on.Body)}); u.err == nil {
		u.change, u.err = store.Prepare(u.ref, u.event, u.at, u.change)
	}
	u.worked, u.on = true, on // not where it panicked
}

// of gives what the function makes of an aggregate. A result is given once: the
// commit writes into it.
func (u *update) of(now store.Aggregate) (store.Change, error) {
	if !u.worked || u.on.Rev != now.Rev || !bytes.Equal(u.on.Body, now.Body) {
		u.work(now)
	}
	u.worked = false
	return u.change, u.err
}

func (t *tx) update(u *update) error {
	n, err := t.change("INSERT INTO seen (event, ref, at) VALUES (?, ?, ?) ON CONFLICT DO NOTHING", u.event, u.key,
		store.Micros(u.at))
	if err != nil {
		return err
	}
	if n == 0 {
		return store.ErrSeen
	}
	now, err := t.aggregate(u.key)
	if err != nil {
		return err
	}
	c, err := u.of(now)
	if err != nil {
		return err
	}
	return t.commit(u.key, now.Rev, c, u.at)
}

// commit writes a prepared change.
func (t *tx) commit(key string, rev int64, c store.Change, at time.Time) error {
	if c.Body != nil {
		text := "UPDATE aggregate SET rev = ?2, body = ?3 WHERE ref = ?1"
		if rev == 0 {
			text = "INSERT INTO aggregate (ref, rev, body) VALUES (?1, ?2, ?3)"
		}
		if err := t.exec(text, key, rev+1, store.Wrap(store.BodyPlace(key, rev+1), c.Body)); err != nil {
			return err
		}
		now := store.Aggregate{Rev: rev + 1, Body: c.Body}
		t.lastWrites.at(key).body = &now
		t.changed = append(t.changed, changed{key, now})
	}
	if err := t.summarize(key, c.Summary); err != nil {
		return err
	}
	if err := t.index(key, c); err != nil {
		return err
	}
	for _, r := range c.Diary {
		if err := t.exec(`INSERT INTO diary (ref, night, rev, source, at, body)
			VALUES (?1, ?2, 1 + ifnull((SELECT max(rev) FROM diary WHERE ref = ?1 AND night = ?2), 0), ?3, ?4, ?5)`,
			key, r.Night, r.Source, store.Micros(r.At), store.Wrap(r.Place(key), r.Body)); err != nil {
			return err
		}
	}
	if err := t.note(key, c.Journal); err != nil {
		return err
	}
	if err := t.setTimers(key, c); err != nil {
		return err
	}
	for _, k := range c.Withdraw {
		if err := t.withdraw(key, k, at); err != nil {
			return err
		}
	}
	return t.orderAll(key, c, at)
}

func (t *tx) summarize(key string, s *store.Summary) error {
	if s == nil {
		return nil
	}
	l := t.lastWrites.at(key)
	if l.summary != nil && *l.summary == *s {
		return nil // most answers leave it as it is
	}
	l.summary = s
	return t.exec(`INSERT INTO summary (ref, label, state, class, acked, deadline, answered, review, chat, step)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (ref) DO UPDATE SET
		label = excluded.label, state = excluded.state, class = excluded.class, acked = excluded.acked, deadline = excluded.deadline,
		answered = excluded.answered, review = excluded.review, chat = excluded.chat, step = excluded.step
		WHERE (label, state, class, acked, deadline, answered, review, chat, step) <> (excluded.label, excluded.state, excluded.class,
			excluded.acked, excluded.deadline, excluded.answered, excluded.review, excluded.chat, excluded.step)`, // an equal one dirties no page
		key, s.Label, s.State, s.Class, s.Acked, store.Micros(s.Deadline), s.Answered, store.Micros(s.Review), s.Chat, s.Step)
}

// index gives up and takes index entries.
func (t *tx) index(key string, c store.Change) error {
	for _, k := range c.Disown {
		if err := t.exec("DELETE FROM entry WHERE key = ? AND ref = ?", k, key); err != nil {
			return err
		}
	}
	for _, k := range c.Own {
		n, err := t.change("INSERT INTO entry (key, ref) VALUES (?1, ?2) ON CONFLICT (key) DO UPDATE SET ref = ref WHERE ref = ?2", k, key)
		if err != nil {
			return err
		}
		if n == 0 {
			return store.ErrTaken
		}
	}
	return nil
}

// note appends records to a journal.
func (t *tx) note(key string, rs []store.Record) error {
	if len(rs) == 0 {
		return nil
	}
	if err := t.readTail(); err != nil {
		return err
	}
	h, err := t.journal(key)
	if err != nil {
		return err
	}
	store.Seal(h.seq, h.hash, rs)
	for _, r := range rs {
		if err := t.exec(`INSERT INTO journal (ref, seq, at, event, actor, role, practice, plan, rules, what, body, hash)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
			key, r.Seq, store.Micros(r.At), r.Event, r.Actor, r.Role, r.Practice, r.Plan, r.Rules, r.What,
			store.Wrap(r.Place(key), r.Body), r.Hash[:]); err != nil {
			return err
		}
	}
	end := rs[len(rs)-1]
	return t.noted(key, head{end.Seq, end.Hash}, len(rs))
}
