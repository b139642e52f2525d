package redis

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"

	"github.com/redis/go-redis/v9"
)

// errLoses says that a server's settings would lose what was committed.
var errLoses = errors.New("the server would lose what was committed")

// trust reads the settings that durability hangs on, of every master, and of
// every replica of a Cluster that answers, since it may be the next master.
func (s *Store) trust(ctx context.Context, o options) error {
	cluster, ok := s.c.(*redis.ClusterClient)
	if !ok {
		if err := s.trustOne(ctx, s.c, o); err != nil {
			return err
		}
		n, err := s.followers(ctx, s.c)
		return enough(n, o.replicas, err)
	}
	var mu sync.Mutex
	most := 0
	if err := cluster.ForEachMaster(ctx, func(ctx context.Context, c *redis.Client) error {
		if err := s.trustOne(ctx, c, o); err != nil {
			return err
		}
		n, err := s.followers(ctx, c)
		mu.Lock()
		defer mu.Unlock()
		most = max(most, n)
		return err
	}); err != nil {
		return err
	}
	// A master that lost its replica holds up its own part of what is kept, and
	// no start: the rest goes on.
	if err := enough(most, o.replicas, nil); err != nil {
		return err
	}
	return cluster.ForEachSlave(ctx, func(ctx context.Context, c *redis.Client) error {
		if err := s.trustOne(ctx, c, o); errors.Is(err, errLoses) {
			return fmt.Errorf("a replica: %w", err)
		}
		return nil
	})
}

// followers counts the replicas that follow a master.
func (s *Store) followers(ctx context.Context, c redis.Cmdable) (n int, err error) {
	err = s.retry(ctx, "counting the replicas (INFO must be allowed)", func() error {
		info, err := c.Info(ctx, "replication").Result()
		n = strings.Count(info, ",state=online,")
		return err
	})
	return n, err
}

// enough refuses a master with fewer replicas than must confirm a commit.
func enough(have, want int, err error) error {
	if err != nil || have >= want {
		return err
	}
	return fmt.Errorf("%w: %d replicas follow it, and %d must have a commit before it counts; add replicas, "+
		"or add replicas=%d to the address and accept that a master which dies takes its newest commits with it", errLoses, have, want, have)
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
