package redis

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"hash/fnv"
	"slices"
	"strconv"
	"time"

	"duskdawn/store"

	"github.com/redis/go-redis/v9"
)

// token is what a script knows its own work by.
func token() string {
	var b [8]byte
	_, _ = rand.Read(b[:]) // never fails
	return hex.EncodeToString(b[:])
}

// turn is the lock under which an aggregate's updates queue up in this process.
func (s *Store) turn(ref store.Ref) func() {
	h := fnv.New32a()
	h.Write([]byte(ref.String()))
	m := &s.turns[h.Sum32()%uint32(len(s.turns))]
	m.Lock()
	return m.Unlock
}

// Update runs fn on the body as it stands and commits what it returns, if the
// body is still the same then; otherwise it begins anew.
func (s *Store) Update(ctx context.Context, ref store.Ref, event string, at time.Time,
	fn func(store.Aggregate) (store.Change, error)) error {
	if _, err := store.Prepare(ref, event, at, store.Change{}); err != nil {
		return err
	}
	defer s.turn(ref)()
	a := attempt{ref: ref, event: event, token: token(), at: at}
	for {
		done, err := s.round(ctx, a, fn)
		if done || err != nil {
			return err
		}
	}
}

// attempt is an update that is tried until it is in. Its token is one for all
// rounds, so that at most one of them commits.
type attempt struct {
	ref   store.Ref
	event string
	token string
	at    time.Time
}

// round tries one commit; false where somebody else came first.
func (s *Store) round(ctx context.Context, a attempt, fn func(store.Aggregate) (store.Change, error)) (bool, error) {
	p, key := prefix(a.ref.Shard()), a.ref.String()
	field := key + "\x00" + a.event
	old, remembered := s.lastSeen.get(key)
	if !remembered {
		var seen bool
		var err error
		if old, seen, err = s.stand(ctx, p, key, field); err != nil {
			return false, err
		}
		if seen {
			return false, s.confirmSeen(ctx, p, field)
		}
	}
	c, err := fn(store.Aggregate{Rev: old.Rev, Body: bytes.Clone(old.Body)})
	if err == nil {
		c, err = store.Prepare(a.ref, a.event, a.at, c)
	}
	if err != nil {
		s.lastSeen.forget(key)
		return false, onlyFresh(err, remembered) // an event that was seen is no error of fn
	}
	summary := old.summary
	if c.Summary != nil {
		if summary != nil && *summary == *c.Summary {
			c.Summary = nil // most answers leave it as it is
		} else {
			summary = c.Summary
		}
	}
	args, head, err := a.args(old, c)
	if err != nil {
		return false, err
	}
	reply, err := s.commit(ctx, "committing", s.scripts.commit, p, args...)
	if err != nil {
		s.lastSeen.forget(key)
		return false, err
	}
	if list, ok := reply.([]any); ok { // "ok", and then ids and the places that the items were given
		if err := takeHanded(c, list[1:]); err != nil {
			return true, err
		}
		reply = list[0]
	}
	switch reply {
	case "ok":
		s.remember(key, last{old.Aggregate, head, summary}, c)
		return true, nil
	case "seen":
		return false, s.confirmSeen(ctx, p, field)
	case "taken":
		return false, store.ErrTaken
	case "again":
		s.lastSeen.forget(key)
		return false, nil
	}
	return false, fmt.Errorf("committing: unknown answer %v", reply)
}

// remember keeps what a commit has left, for the next one of the same aggregate.
func (s *Store) remember(key string, now last, c store.Change) {
	if len(c.Journal) == 0 { // nothing would show that a failing server lost it and its revision was given again
		s.lastSeen.forget(key)
		return
	}
	if c.Body != nil {
		now.Aggregate = store.Aggregate{Rev: now.Rev + 1, Body: c.Body}
	}
	var items []store.Item
	if c.Hand != nil {
		items = c.Hand.Items
	}
	s.lastSeen.put(key, now, items)
}

// onlyFresh gives an error of fn, or nothing where fn had only what was remembered.
func onlyFresh(err error, remembered bool) error {
	if remembered {
		return nil
	}
	return err
}

// stand reads an aggregate as it stands, and whether it has seen the event.
func (s *Store) stand(ctx context.Context, p, key, field string) (l last, was bool, err error) {
	var seen *redis.BoolCmd
	var agg *redis.SliceCmd
	if err := s.glance(ctx, "reading an aggregate", func(pipe redis.Pipeliner) {
		seen = pipe.HExists(ctx, p+seenKey, field)
		agg = pipe.HMGet(ctx, p+"agg:"+key, "rev", "body", "journal")
	}); err != nil {
		return l, false, err
	}
	if seen.Val() {
		return l, true, nil
	}
	l.Aggregate, l.head, err = s.form.aggregate(key, agg.Val())
	return l, false, err
}

// takeHanded fills in what a commit handed over.
func takeHanded(c store.Change, reply []any) error {
	for i := 0; i+1 < len(reply); i += 2 {
		n := slices.IndexFunc(c.Out, func(it store.Item) bool { return it.ID == text(reply[i]) })
		if n < 0 {
			return fmt.Errorf("committing: %w", store.ErrCorrupt)
		}
		it := c.Out[n]
		it.Attempt, it.Seq = 1, number(reply[i+1])
		c.Hand.Items = append(c.Hand.Items, it)
	}
	return nil
}

// confirmSeen gives ErrSeen for an event that was seen, once the replicas have
// it: it may have been committed by somebody who could not wait for them.
func (s *Store) confirmSeen(ctx context.Context, p, field string) error {
	if s.replicas > 0 {
		if err := s.retry(ctx, "confirming a commit", func() error {
			var still *redis.BoolCmd
			err := s.confirmed(ctx, p, func(pipe redis.Pipeliner) { still = pipe.HExists(ctx, p+seenKey, field) })
			if err == nil && !still.Val() {
				err = errUnconfirmed // lost with its server; the next try commits it
			}
			return err
		}); err != nil {
			return err
		}
	}
	return store.ErrSeen
}

// aggregate reads the fields of an aggregate: its body and the head of its journal.
func (f form) aggregate(ref string, fields []any) (a store.Aggregate, head string, err error) {
	if len(fields) != 3 {
		return a, "", fmt.Errorf("reading an aggregate: %w", store.ErrCorrupt)
	}
	if rev, ok := fields[0].(string); ok {
		if a.Rev, err = strconv.ParseInt(rev, 10, 64); err != nil {
			return a, "", fmt.Errorf("reading a revision: %w", store.ErrCorrupt)
		}
	}
	if body, ok := fields[1].(string); ok {
		if a.Body, err = f.body([]byte(body), store.BodyPlace(ref, a.Rev)); err != nil {
			return a, "", fmt.Errorf("reading an aggregate: %w", err)
		}
	}
	head, _ = fields[2].(string)
	return a, head, nil
}

// rowHead is the kind of a journal's head: the sequence and hash of its last record.
const rowHead = "head"

// seal gives records their place behind the head of an aggregate's journal and
// returns the new one, in its envelope.
func seal(ref, head string, rs []store.Record) (string, error) {
	var seq int64
	var hash [32]byte
	place := store.Place(rowHead, ref)
	if head != "" {
		b, err := store.Unwrap(place, []byte(head))
		if err != nil || len(b) != 40 {
			return "", fmt.Errorf("reading a journal's head: %w", store.ErrCorrupt)
		}
		seq = int64(binary.BigEndian.Uint64(b))
		copy(hash[:], b[8:])
	}
	store.Seal(seq, hash, rs)
	last := rs[len(rs)-1]
	return string(store.Wrap(place, append(binary.BigEndian.AppendUint64(nil, uint64(last.Seq)), last.Hash[:]...))), nil
}

// args writes a commit out for the script, and gives the journal's new head.
func (a *attempt) args(old last, c store.Change) (args []any, newest string, err error) {
	add := func(vs ...any) { args = append(args, vs...) }
	blob := func(b []byte, failed error) []byte {
		if failed != nil && err == nil {
			err = failed
		}
		return b
	}
	key := a.ref.String()
	add(key, a.event, a.token, store.Micros(a.at), old.Rev, old.head)
	eligible := c.Eligible(a.at)
	if c.Hand == nil {
		add(0, 0)
	} else {
		add(store.Micros(a.at.Add(c.Hand.Hold)), c.Hand.N)
	}
	add(len(eligible))
	for _, i := range eligible {
		add(c.Out[i].ID, c.Out[i].Queue)
	}
	add(len(c.Disown))
	for _, k := range c.Disown {
		add(k)
	}
	add(len(c.Own))
	for _, k := range c.Own {
		add(k)
	}
	if c.Body != nil {
		add(1, store.Wrap(store.BodyPlace(key, old.Rev+1), c.Body))
	} else {
		add(0)
	}
	if m := c.Summary; m != nil {
		open, deadline := 0, store.Micros(m.Deadline)
		if m.Class != 0 {
			open = 1
		}
		add(1, blob(encodeSummary(*m)), m.Label, open, deadline)
	} else {
		add(0)
	}
	add(len(c.Diary))
	for _, r := range c.Diary {
		add(r.Night, blob(encodeRow(key, r)))
	}
	add(len(c.Journal))
	newest = old.head
	if len(c.Journal) > 0 {
		if newest, err = seal(key, old.head, c.Journal); err != nil {
			return nil, "", err
		}
		for _, r := range c.Journal {
			add(newest, blob(encodeRecord(key, r)))
		}
	}
	add(len(c.Clear))
	for _, name := range c.Clear {
		add(name)
	}
	add(len(c.Set))
	for _, t := range c.Set {
		add(t.Name, store.Micros(t.At), blob(encodeTimer(t)))
	}
	add(len(c.Withdraw))
	for _, k := range c.Withdraw {
		add(k)
	}
	add(len(c.Out))
	for _, it := range c.Out {
		add(it.ID, int(it.Lane), it.Queue, it.Key, store.Micros(it.NotBefore), store.Micros(it.NotAfter),
			blob(encodeItem(it)))
	}
	return args, newest, err
}
