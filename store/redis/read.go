package redis

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"iter"
	"slices"
	"strconv"
	"strings"

	"duskdawn/store"

	"github.com/redis/go-redis/v9"
)

// page is how many entries of a list are read at a time.
const page = 256

// Get returns the aggregate.
func (s *Store) Get(ctx context.Context, ref store.Ref) (store.Aggregate, error) {
	var cmd *redis.SliceCmd
	if err := s.glance(ctx, "reading an aggregate", func(p redis.Pipeliner) {
		cmd = p.HMGet(ctx, prefix(ref.Shard())+"agg:"+ref.String(), "rev", "body", "journal")
	}); err != nil {
		return store.Aggregate{}, err
	}
	a, _, err := s.form.aggregate(ref.String(), cmd.Val())
	if err == nil && a.Rev == 0 {
		err = store.ErrNotFound
	}
	return a, err
}

// Lookup returns the owner of an index entry.
func (s *Store) Lookup(ctx context.Context, key string) (store.Ref, error) {
	var cmd *redis.StringCmd
	if err := s.read(ctx, "reading an index entry", func(p redis.Pipeliner) {
		cmd = p.HGet(ctx, prefix(store.ShardOf(key))+"own", key)
	}); err != nil {
		return store.Ref{}, err
	}
	if errors.Is(cmd.Err(), redis.Nil) {
		return store.Ref{}, store.ErrNotFound
	}
	return store.ParseRef(cmd.Val())
}

// List yields the summaries that match. Label and Open are found by an index of
// each shard; anything else reads them all.
func (s *Store) List(ctx context.Context, q store.Query) iter.Seq2[store.Summary, error] {
	return func(yield func(store.Summary, error) bool) {
		found, err := s.list(ctx, q)
		if err != nil {
			yield(store.Summary{}, err)
			return
		}
		for _, m := range found {
			if !yield(m, nil) {
				return
			}
		}
	}
}

func (s *Store) list(ctx context.Context, q store.Query) ([]store.Summary, error) {
	var out []store.Summary
	for shard := range store.Shards {
		blobs, err := s.summaries(ctx, prefix(shard), q)
		if err != nil {
			return nil, err
		}
		for ref, b := range blobs {
			m, err := s.form.decodeSummary(ref, []byte(b))
			if err != nil {
				return nil, fmt.Errorf("reading a summary: %w", err)
			}
			if q.Match(m) {
				out = append(out, m)
			}
		}
	}
	slices.SortFunc(out, q.Compare)
	if q.Limit > 0 && len(out) > q.Limit {
		out = out[:q.Limit]
	}
	return out, nil
}

// summaries reads those of one shard that may match, by whose they are.
func (s *Store) summaries(ctx context.Context, p string, q store.Query) (map[string]string, error) {
	const what = "reading summaries"
	var refs *redis.StringSliceCmd
	switch {
	case q.Label != "":
		if err := s.read(ctx, what, func(pipe redis.Pipeliner) {
			refs = pipe.ZRangeByLex(ctx, p+"label", &redis.ZRangeBy{Min: "[" + q.Label + "\x00", Max: "(" + q.Label + "\x01"})
		}); err != nil {
			return nil, err
		}
	case q.Open:
		if err := s.read(ctx, what, func(pipe redis.Pipeliner) { refs = pipe.ZRange(ctx, p+"open", 0, -1) }); err != nil {
			return nil, err
		}
	default:
		var all *redis.MapStringStringCmd
		if err := s.read(ctx, what, func(pipe redis.Pipeliner) { all = pipe.HGetAll(ctx, p+"sum") }); err != nil {
			return nil, err
		}
		return all.Val(), nil
	}
	var keys []string
	for _, r := range refs.Val() {
		_, after, ok := strings.Cut(r, "\x00") // of a label
		if !ok {
			after = r
		}
		keys = append(keys, after)
	}
	if len(keys) == 0 {
		return nil, nil
	}
	var blobs *redis.SliceCmd
	if err := s.read(ctx, what, func(pipe redis.Pipeliner) { blobs = pipe.HMGet(ctx, p+"sum", keys...) }); err != nil {
		return nil, err
	}
	out := map[string]string{}
	for i, b := range blobs.Val() {
		out[keys[i]] = text(b)
	}
	return out, nil
}

// entries yields a list from its beginning.
func entries[T any](ctx context.Context, s *Store, what, key string, decode func([]byte) (T, error)) iter.Seq2[T,
	error] {
	return func(yield func(T, error) bool) {
		var zero T
		for from := int64(0); ; from += page {
			var cmd *redis.StringSliceCmd
			if err := s.read(ctx, what, func(p redis.Pipeliner) { cmd = p.LRange(ctx, key, from, from+page-1) }); err != nil {
				yield(zero, err)
				return
			}
			for _, b := range cmd.Val() {
				v, err := decode([]byte(b))
				if err != nil {
					yield(zero, fmt.Errorf("%s: %w", what, err))
					return
				}
				if !yield(v, nil) {
					return
				}
			}
			if len(cmd.Val()) < page {
				return
			}
		}
	}
}

// Diary yields a patient's rows.
func (s *Store) Diary(ctx context.Context, ref store.Ref) iter.Seq2[store.Row, error] {
	return entries(ctx, s, "reading the diary", prefix(ref.Shard())+"diary:"+ref.String(),
		s.form.rows(ref.String()))
}

// rows decodes a diary's rows in their order: the revisions of a night count up.
func (f form) rows(ref string) func([]byte) (store.Row, error) {
	revs, unsure := map[int32]int{}, false
	return func(b []byte) (store.Row, error) {
		revText, blob, ok := bytes.Cut(b, []byte(" "))
		rev, err := strconv.Atoi(string(revText))
		if !ok || err != nil {
			unsure = true // behind a row that cannot be read nobody can count
			return store.Row{}, store.ErrCorrupt
		}
		r, err := f.decodeRow(ref, rev, blob)
		unsure = unsure || err != nil
		if revs[r.Night]++; !unsure && revs[r.Night] != rev {
			err = store.ErrCorrupt
		}
		return r, err
	}
}

// Journal yields an aggregate's records.
func (s *Store) Journal(ctx context.Context, ref store.Ref) iter.Seq2[store.Record, error] {
	return entries(ctx, s, "reading the journal", prefix(ref.Shard())+"journal:"+ref.String(),
		func(b []byte) (store.Record, error) { return s.form.decodeRecord(ref.String(), b) })
}
