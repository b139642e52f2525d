package redis

import (
	"context"
	"errors"
	"iter"
	"slices"
	"strings"
	"sync"

	"duskdawn/store"

	"github.com/redis/go-redis/v9"
)

// Refs yields every aggregate: they have no index of their own, so all keys of
// all masters are gone through.
func (s *Store) Refs(ctx context.Context) iter.Seq2[store.Ref, error] {
	return func(yield func(store.Ref, error) bool) {
		refs, err := s.refs(ctx)
		if err != nil {
			yield(store.Ref{}, err)
			return
		}
		for _, ref := range refs {
			if !yield(ref, nil) {
				return
			}
		}
	}
}

func (s *Store) refs(ctx context.Context) ([]store.Ref, error) {
	const mark = "}:agg:"
	found := map[store.Ref]bool{}
	if err := s.scanKeys(ctx, "duskdawn:{*"+mark+"*", func(keys []string) error {
		for _, key := range keys {
			ref, err := store.ParseRef(key[strings.Index(key, mark)+len(mark):])
			if err != nil {
				return err
			}
			found[ref] = true
		}
		return nil
	}); err != nil {
		return nil, err
	}
	out := make([]store.Ref, 0, len(found))
	for ref := range found {
		out = append(out, ref)
	}
	slices.SortFunc(out, store.Ref.Compare)
	return out, nil
}

// scanKeys gives the keys that match, of all masters, to do, some at a time; a key
// may come more than once.
func (s *Store) scanKeys(ctx context.Context, match string, do func([]string) error) error {
	var mu sync.Mutex // masters are read side by side
	node := func(ctx context.Context, c redis.Cmdable) error {
		for cursor := uint64(0); ; {
			keys, next, err := c.Scan(ctx, cursor, match, 1000).Result()
			if err != nil {
				return err
			}
			mu.Lock()
			err = do(keys)
			mu.Unlock()
			if err != nil {
				return err
			}
			if cursor = next; cursor == 0 {
				return nil
			}
		}
	}
	return s.retry(ctx, "listing keys", func() error {
		if cluster, ok := s.c.(*redis.ClusterClient); ok {
			return cluster.ForEachMaster(ctx, func(ctx context.Context, c *redis.Client) error { return node(ctx, c) })
		}
		return node(ctx, s.c)
	})
}

// Damaged yields the rows that are not as they were stored.
func (s *Store) Damaged(ctx context.Context) iter.Seq2[string, error] {
	return func(yield func(string, error) bool) {
		if s.form < enveloped { // nothing would show it
			return
		}
		err := s.eachRow(ctx, func(prefix string, r row) error {
			if prefix == floodPrefix && s.form < flooded {
				return nil
			}
			_, err := store.Unwrap(r.place, []byte(r.row))
			if r.again != nil {
				err = r.again()
			}
			if err != nil && !yield(r.name, nil) {
				return errEnough
			}
			return nil
		})
		if err != nil && !errors.Is(err, errEnough) {
			yield("", err)
		}
	}
}

// errEnough ends a reading that nobody goes on with.
var errEnough = errors.New("enough")

// Check reads again the settings that durability hangs on.
func (s *Store) Check(ctx context.Context) error { return s.trust(ctx, s.wanted) }
