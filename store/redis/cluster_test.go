package redis_test

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"duskdawn/store"
	"duskdawn/store/redis"
	"duskdawn/store/storetest"

	client "github.com/redis/go-redis/v9"
)

// slots is how many hash slots a Redis Cluster has (the cluster specification).
const slots = 16384

// startCluster starts a Redis Cluster of that many masters and gives their addresses.
func startCluster(t *testing.T, masters int) []string {
	t.Helper()
	program, err := exec.LookPath("redis-server")
	if err != nil {
		if os.Getenv("DUSKDAWN_NO_SKIP") != "" {
			t.Fatal("redis-server is not in the PATH")
		}
		t.Skip("redis-server is not in the PATH: a Redis Cluster goes untested here")
	}
	ctx, addrs, nodes := t.Context(), []string{}, []*client.Client{}
	for range masters {
		port, bus := freePort(t), freePort(t)
		cmd := exec.Command(program, "--port", port, "--bind", "127.0.0.1", "--cluster-enabled", "yes", "--cluster-port", bus,
			"--cluster-node-timeout", "5000", "--dir", t.TempDir(), "--save", "", "--appendonly", "yes", "--appendfsync", "always", "--logfile", "log")
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() {
			_ = cmd.Process.Kill()
			_ = cmd.Wait()
		})
		addr := "127.0.0.1:" + port
		c := client.NewClient(&client.Options{Addr: addr})
		t.Cleanup(func() { _ = c.Close() })
		until(t, "a node answers", func() bool { return c.Ping(ctx).Err() == nil })
		i := len(nodes)
		if err := c.ClusterAddSlotsRange(ctx, slots*i/masters, slots*(i+1)/masters-1).Err(); err != nil {
			t.Fatal(err)
		}
		if i > 0 {
			if err := nodes[0].Do(ctx, "cluster", "meet", "127.0.0.1", port, bus).Err(); err != nil {
				t.Fatal(err)
			}
		}
		addrs, nodes = append(addrs, addr), append(nodes, c)
	}
	for _, c := range nodes {
		until(t, "the cluster is up", func() bool {
			info := c.ClusterInfo(ctx).Val()
			return strings.Contains(info, "cluster_state:ok") && strings.Contains(info, fmt.Sprintf("cluster_known_nodes:%d", masters))
		})
	}
	return addrs
}

func freePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = l.Close() }()
	_, port, _ := net.SplitHostPort(l.Addr().String())
	return port
}

// until waits for a condition that another process brings about.
func until(t *testing.T, what string, ok func() bool) {
	t.Helper()
	for deadline := time.Now().Add(30 * time.Second); !ok(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatal("waited in vain until " + what)
		}
	}
}

// TestCluster runs the suite on a Redis Cluster of three masters: every script
// stays in one slot, or the server would refuse it.
func TestCluster(t *testing.T) {
	addrs := startCluster(t, 3)
	handle := func(t testing.TB) store.Store {
		h, err := redis.Open(context.Background(), "redis://"+strings.Join(addrs, ","))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = h.Close() })
		return h
	}
	storetest.Run(t, storetest.Backend{
		Open: func(t testing.TB) store.Store {
			for _, addr := range addrs {
				c := client.NewClient(&client.Options{Addr: addr})
				err := c.FlushAll(context.Background()).Err()
				_ = c.Close()
				if err != nil {
					t.Fatal(err)
				}
			}
			return handle(t)
		},
		Again: func(t testing.TB, _ store.Store) store.Store { return handle(t) },
	})
}
