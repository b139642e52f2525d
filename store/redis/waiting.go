package redis

import (
	"context"
	"fmt"

	"duskdawn/store"
)

// Waiting tells what waits, shard by shard in one round trip.
func (s *Store) Waiting(ctx context.Context) (b store.Backlog, err error) {
	var calls []*call
	for i := range store.Shards {
		calls = append(calls, &call{script: s.scripts.waiting, prefix: prefix(i)})
	}
	if err := s.runAll(ctx, "counting the outbox", calls); err != nil {
		return b, err
	}
	for _, c := range calls {
		row, err := list(c.reply)
		if err != nil || len(row)%3 != 0 {
			return b, fmt.Errorf("counting the outbox: %w", store.ErrCorrupt)
		}
		for ; len(row) > 0; row = row[3:] {
			b.Add(store.Lane(number(row[0])), int(number(row[1])), store.FromMicros(number(row[2])))
		}
	}
	return b, nil
}
