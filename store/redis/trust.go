package redis

import (
	"context"
	"errors"
	"fmt"

	"github.com/redis/go-redis/v9"
)

// errLoses says that a server's settings would lose what was committed.
var errLoses = errors.New("the server would lose what was committed")

// trust reads the settings that durability hangs on, of every master.
func (s *Store) trust(ctx context.Context, o options) error {
	if cluster, ok := s.c.(*redis.ClusterClient); ok {
		return cluster.ForEachMaster(ctx, func(ctx context.Context, c *redis.Client) error {
			return s.trustOne(ctx, c, o)
		})
	}
	return s.trustOne(ctx, s.c, o)
}

func (s *Store) trustOne(ctx context.Context, c redis.Cmdable, o options) error {
	set := map[string]string{}
	if err := s.retry(ctx, "reading the server's settings (CONFIG GET must be allowed)", func() error {
		for _, name := range []string{"maxmemory-policy", "appendonly", "appendfsync"} {
			got, err := c.ConfigGet(ctx, name).Result()
			if err != nil {
				return err
			}
			set[name] = got[name]
		}
		return nil
	}); err != nil {
		return err
	}
	refuse := func(name, want, otherwise string) error {
		return fmt.Errorf("%w: %s is %q; set it to %s%s", errLoses, name, set[name], want, otherwise)
	}
	switch {
	case set["maxmemory-policy"] != "noeviction":
		return refuse("maxmemory-policy", "noeviction", "")
	case o.ephemeral:
		return nil
	case set["appendonly"] != "yes":
		return refuse("appendonly", "yes", ", or add keep=nothing to the address for a trial that may lose everything")
	case set["appendfsync"] == "always", set["appendfsync"] == "everysec" && o.everysec:
		return nil
	case set["appendfsync"] == "everysec":
		return refuse("appendfsync", "always", ", or add fsync=everysec to the address and accept that a power cut loses up to two seconds")
	}
	return refuse("appendfsync", "always", "")
}
