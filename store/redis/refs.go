package redis

import (
	"context"
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
	var mu sync.Mutex // masters are read side by side
	found := map[store.Ref]bool{}
	node := func(ctx context.Context, c redis.Cmdable) error {
		for cursor := uint64(0); ; {
			keys, next, err := c.Scan(ctx, cursor, "duskdawn:{*"+mark+"*", 1000).Result()
			if err != nil {
				return err
			}
			for _, key := range keys {
				ref, err := store.ParseRef(key[strings.Index(key, mark)+len(mark):])
				if err != nil {
					return err
				}
				mu.Lock()
				found[ref] = true
				mu.Unlock()
			}
			if cursor = next; cursor == 0 {
				return nil
			}
		}
	}
	err := s.retry(ctx, "listing aggregates", func() error {
		if cluster, ok := s.c.(*redis.ClusterClient); ok {
			return cluster.ForEachMaster(ctx, func(ctx context.Context, c *redis.Client) error { return node(ctx, c) })
		}
		return node(ctx, s.c)
	})
	if err != nil {
		return nil, err
	}
	out := make([]store.Ref, 0, len(found))
	for ref := range found {
		out = append(out, ref)
	}
	slices.SortFunc(out, store.Ref.Compare)
	return out, nil
}

// Check reads again the settings that durability hangs on.
func (s *Store) Check(ctx context.Context) error { return s.trust(ctx, s.wanted) }
