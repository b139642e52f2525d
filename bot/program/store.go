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

// LookAt opens what DUSKDAWN_STORE names to be read only, and touches nothing.
func LookAt(ctx context.Context, address setup.Secret) (store.Store, error) {
	kind, rest, _ := strings.Cut(address.Reveal(), ":")
	var st store.Store
	var err error
	switch {
	case kind == "sqlite":
		st, err = sqlite.Open(ctx, sqlite.Options{Path: rest, Look: true})
	case strings.HasPrefix(kind, "redis"):
		st, err = redis.Look(ctx, address.Reveal())
	default:
		return OpenStore(ctx, address, false)
	}
	if err != nil {
		return nil, fmt.Errorf("opening the store: %w", err)
	}
	return st, nil
}

// OpenStore opens what DUSKDAWN_STORE names. lock is serve's alone, or of who makes
// sure that nothing serves: other commands work beside a running program, and what
// has an older form is not brought over below one.
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
		open := redis.OpenBeside
		if lock {
			open = redis.Open
		}
		s, err := open(ctx, address.Reveal())
		if err != nil {
			return nil, fmt.Errorf("opening the store: %w", err)
		}
		return s, nil
	}
	return nil, errors.New("DUSKDAWN_STORE is neither sqlite:PATH nor redis://... nor rediss://... nor memory: alone")
}
