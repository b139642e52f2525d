package program

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"duskdawn/bot/setup"
	"duskdawn/store"
	"duskdawn/store/memory"
	"duskdawn/store/redis"
	"duskdawn/store/sqlite"
)

// OpenStore opens what DUSKDAWN_STORE names. lock is serve's alone: other
// commands work beside a running program.
func OpenStore(ctx context.Context, address setup.Secret, lock bool) (store.Store, error) {
	kind, rest, _ := strings.Cut(address.Reveal(), ":")
	switch {
	case kind == "memory":
		return memory.New(), nil
	case kind == "sqlite":
		s, err := sqlite.Open(ctx, sqlite.Options{Path: rest, Lock: lock})
		switch {
		case errors.Is(err, store.ErrInUse):
			return nil, fmt.Errorf("%w: another program serves from this file; stop it first", err)
		case err != nil:
			return nil, fmt.Errorf("opening the store: %w", err)
		}
		return s, nil
	case strings.HasPrefix(kind, "redis"):
		s, err := redis.Open(ctx, address.Reveal())
		if err != nil {
			return nil, fmt.Errorf("opening the store: %w", err)
		}
		return s, nil
	}
	return nil, errors.New("DUSKDAWN_STORE is neither sqlite:PATH nor redis://... nor rediss://... nor memory: alone")
}
