package redis

import (
	"cmp"
	"context"
	"fmt"
	"iter"
	"slices"

	"duskdawn/store"

	"github.com/redis/go-redis/v9"
)

// inOrder puts what several shards gave into order.
func inOrder(items []leased) []store.Item {
	slices.SortFunc(items, func(a, b leased) int {
		switch {
		case a.State == store.Pending:
			return cmp.Or(cmp.Compare(a.Lane, b.Lane), cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.ID, b.ID))
		case a.since != b.since:
			return cmp.Compare(a.since, b.since)
		case a.since == 0 && !a.NotAfter.Equal(b.NotAfter):
			return a.NotAfter.Compare(b.NotAfter)
		}
		return cmp.Or(cmp.Compare(a.Lane, b.Lane), cmp.Compare(a.ID, b.ID))
	})
	var out []store.Item
	for _, it := range items {
		out = append(out, it.Item)
	}
	return out
}

// Wrote notes that the request is about to be written.
func (s *Store) Wrote(ctx context.Context, id string) error {
	reply, err := s.commit(ctx, "noting a request", s.scripts.wrote, prefix(store.ShardOf(id)), id)
	if err == nil && reply != "ok" {
		err = store.ErrNotFound
	}
	return err
}

// Settle ends a lease.
func (s *Store) Settle(ctx context.Context, id string, m store.Settlement) error {
	p := prefix(store.ShardOf(id))
	written := 0
	if m.Written {
		written = 1
	}
	args := []any{token(), id, m.Attempt, int(m.Outcome), m.Message, store.Micros(m.Until), written, store.Micros(m.At)}
	for {
		all, ref, head := args, "", ""
		if m.Text != nil {
			record, owner, err := s.shown(ctx, p, id, m)
			if err != nil {
				return err
			}
			all, ref, head = slices.Concat(args, record), owner, record[1].(string)
		}
		reply, err := s.commit(ctx, "settling", s.scripts.settle, p, all...)
		if err != nil {
			return err
		}
		switch reply {
		case "ok":
			s.lastSeen.wrote(ref, head)
			return nil
		case "none":
			return store.ErrNotFound
		case "again":
			s.lastSeen.forget(ref) // the journal has gone on
			continue
		}
		return fmt.Errorf("settling: unknown answer %v", reply)
	}
}

// shown seals the record of an item's text behind its owner's journal, as that
// is remembered, or else as it is read.
func (s *Store) shown(ctx context.Context, p, id string, m store.Settlement) (record []any, ref string, err error) {
	h, head, ok := s.lastSeen.take(id)
	if !ok {
		if h, head, err = s.owner(ctx, p, id); err != nil {
			return nil, "", err
		}
	}
	records := []store.Record{store.Item{ID: id, Plan: h.plan}.Shown(m)}
	newest, err := seal(h.ref, head, records)
	if err != nil {
		return nil, "", err
	}
	blob, err := encodeRecord(h.ref, records[0])
	return []any{head, newest, blob}, h.ref, err
}

// owner reads who ordered an item, and the head of the owner's journal.
func (s *Store) owner(ctx context.Context, p, id string) (h handed, head string, err error) {
	reply, err := s.run(ctx, "reading an item", s.scripts.owner, p, id)
	if err != nil {
		return h, "", err
	}
	f, err := list(reply)
	if err != nil {
		return h, "", err
	}
	if len(f) != 3 {
		return h, "", store.ErrNotFound
	}
	it, err := s.form.decodeItem(id, []byte(text(f[0])))
	if err != nil {
		return h, "", fmt.Errorf("reading an item: %w", err)
	}
	return handed{it.Ref.String(), it.Plan}, text(f[2]), nil
}

// Doubtful yields the items settled as in doubt.
func (s *Store) Doubtful(ctx context.Context) iter.Seq2[store.Item, error] {
	return func(yield func(store.Item, error) bool) {
		items, err := s.doubtful(ctx)
		if err != nil {
			yield(store.Item{}, err)
			return
		}
		for _, it := range items {
			if !yield(it, nil) {
				return
			}
		}
	}
}

func (s *Store) doubtful(ctx context.Context) ([]store.Item, error) {
	var out []store.Item
	for shard := range store.Shards {
		p := prefix(shard)
		var ids *redis.StringSliceCmd
		if err := s.read(ctx, "reading what is in doubt",
			func(pipe redis.Pipeliner) { ids = pipe.ZRange(ctx, p+"doubt", 0, -1) }); err != nil {
			return nil, err
		}
		var cmds []*redis.SliceCmd
		if len(ids.Val()) == 0 {
			continue
		}
		if err := s.read(ctx, "reading what is in doubt", func(pipe redis.Pipeliner) {
			cmds = nil
			for _, id := range ids.Val() {
				cmds = append(cmds, pipe.HMGet(ctx, p+"item:"+id, "seq", "attempt", "written", "before", "message", "d"))
			}
		}); err != nil {
			return nil, err
		}
		for i, c := range cmds {
			f := c.Val()
			it, err := s.form.decodeItem(ids.Val()[i], []byte(text(f[5])))
			if err != nil {
				return nil, fmt.Errorf("reading an item: %w", err)
			}
			it.State, it.Seq, it.Attempt, it.Written = store.Doubt, number(f[0]), int(number(f[1])), text(f[2]) == "1"
			it.NotBefore, it.Message = store.FromMicros(number(f[3])), number(f[4])
			out = append(out, it)
		}
	}
	slices.SortFunc(out, func(a, b store.Item) int {
		return cmp.Or(a.Ordered.Compare(b.Ordered), cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.ID, b.ID))
	})
	return out, nil
}
