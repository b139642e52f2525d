package store

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"time"
)

// CheckRef refuses a ref that does not begin with its shard.
func CheckRef(ref Ref) error {
	if ref.Kind != Patient && ref.Kind != Chat && ref.Kind != Practice {
		return fmt.Errorf("a ref of kind %q: %w", ref.Kind, ErrKey)
	}
	id := ref.ID
	if len(id) < 3 || id[:2] != fmt.Sprintf("%02d", ref.Shard()) {
		return fmt.Errorf("a ref whose id does not begin with its shard: %w", ErrKey)
	}
	return checkKey("a ref", id)
}

// checkKey refuses what no back end could tell apart or hold.
func checkKey(what, key string) error {
	switch {
	case key == "":
		return fmt.Errorf("%s that is empty: %w", what, ErrKey)
	case len(key) > MaxKey:
		return fmt.Errorf("%s of %d bytes: %w", what, len(key), ErrKey)
	case strings.IndexByte(key, 0) >= 0:
		return fmt.Errorf("%s with a zero byte: %w", what, ErrKey)
	}
	return nil
}

// checkOwn is checkKey for what must lie in the aggregate's shard.
func checkOwn(what, key string, ref Ref) error {
	if ShardOf(key) != ref.Shard() {
		return fmt.Errorf("%s outside the shard of its aggregate: %w", what, ErrKey)
	}
	return checkKey(what, key)
}

// checkBody refuses what is too large to keep.
func checkBody(what string, body []byte, most int) error {
	if len(body) > most {
		return fmt.Errorf("%s of %d bytes, at most %d: %w", what, len(body), most, ErrTooLarge)
	}
	return nil
}

// Prepare checks one commit and gives it the form in which it is stored: a
// copy that shares nothing with c, with everything set that the store gives and
// that does not depend on what is stored already. Every back end calls it once
// on what fn returned.
func Prepare(ref Ref, event string, at time.Time, c Change) (Change, error) {
	if err := CheckRef(ref); err != nil {
		return Change{}, err
	}
	if err := checkKey("an event", event); err != nil {
		return Change{}, err
	}
	most := MaxBody
	if ref.Kind == Patient {
		most = MaxPatientBody
	}
	if err := checkBody("a body", c.Body, most); err != nil {
		return Change{}, err
	}
	for _, key := range slices.Concat(c.Own, c.Disown) {
		if err := checkOwn("an index entry", key, ref); err != nil {
			return Change{}, err
		}
	}
	for _, name := range c.Clear {
		if err := checkKey("a timer's name", name); err != nil {
			return Change{}, err
		}
	}
	c.Body = bytes.Clone(c.Body)
	if c.Summary != nil {
		s := *c.Summary
		s.Ref, s.Deadline, s.Review = ref, kept(s.Deadline), kept(s.Review)
		c.Summary = &s
	}
	c.Own, c.Disown = slices.Clone(c.Own), slices.Clone(c.Disown)
	c.Clear, c.Withdraw = slices.Clone(c.Clear), slices.Clone(c.Withdraw)
	c.Diary, c.Journal = slices.Clone(c.Diary), slices.Clone(c.Journal)
	c.Set, c.Out = slices.Clone(c.Set), slices.Clone(c.Out)
	for i := range c.Diary {
		r := &c.Diary[i]
		if err := checkBody("a diary row", r.Body, MaxBody); err != nil {
			return Change{}, err
		}
		r.Rev, r.At, r.Body = 0, kept(r.At), bytes.Clone(r.Body)
	}
	for i := range c.Journal {
		r := &c.Journal[i]
		if err := checkBody("a journal record", r.Body, MaxBody); err != nil {
			return Change{}, err
		}
		r.Seq, r.Hash, r.At, r.Body = 0, [32]byte{}, kept(r.At), bytes.Clone(r.Body)
	}
	for i := range c.Set {
		if err := prepareTimer(ref, &c.Set[i]); err != nil {
			return Change{}, err
		}
	}
	for i := range c.Out {
		if err := prepareItem(ref, at, &c.Out[i]); err != nil {
			return Change{}, err
		}
	}
	if c.Hand != nil {
		c.Hand.Items = nil
	}
	return c, nil
}

// Eligible gives the places in Out of what may be handed over, as far as the
// change itself tells, in the order in which it is to be tried: the store has
// still to see whether anything waits in the line.
func (c Change) Eligible(at time.Time) []int {
	if c.Hand == nil || c.Hand.N <= 0 {
		return nil
	}
	var out []int
	for i, it := range c.Out {
		first := true // of its line
		for j, o := range c.Out {
			if o.Queue == it.Queue && (o.Lane < it.Lane || o.Lane == it.Lane && j < i) {
				first = false
			}
		}
		if first && it.Lane <= c.Hand.Most && !it.NotBefore.After(at) &&
			(it.NotAfter.IsZero() || !it.NotAfter.Before(kept(at))) {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int { return int(c.Out[a].Lane) - int(c.Out[b].Lane) })
	return out
}

func prepareTimer(ref Ref, t *Timer) error {
	if err := checkKey("a timer's name", t.Name); err != nil {
		return err
	}
	if err := checkBody("a timer", t.Body, MaxBody); err != nil {
		return err
	}
	t.Ref, t.At, t.Body = ref, kept(t.At), bytes.Clone(t.Body)
	return nil
}

func prepareItem(ref Ref, at time.Time, it *Item) error {
	if err := checkOwn("an item's id", it.ID, ref); err != nil {
		return err
	}
	if err := checkKey("a queue", it.Queue); err != nil {
		return err
	}
	if len(it.Key) > MaxKey || it.Lane < LaneEvent || it.Lane > LaneAll {
		return fmt.Errorf("an item with a key of %d bytes in lane %d: %w", len(it.Key), it.Lane, ErrKey)
	}
	if err := checkBody("an item", it.Body, MaxBody); err != nil {
		return err
	}
	it.Ref, it.Body = ref, bytes.Clone(it.Body)
	it.NotBefore, it.NotAfter, it.Ordered = kept(it.NotBefore), kept(it.NotAfter), kept(at)
	it.State, it.Attempt, it.Written, it.Message, it.Seq = Pending, 0, false, 0, 0
	return nil
}
