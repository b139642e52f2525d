package redis_test

import (
	"errors"
	"strings"
	"syscall"
	"testing"

	"duskdawn/store"
	"duskdawn/store/redis"

	client "github.com/redis/go-redis/v9"
)

// startPair starts a master that can be reached over the network, and its replica.
func startPair(t *testing.T) (master, replica *server, address string) {
	t.Helper()
	port := freePort(t)
	master = startServer(t, "--port", port, "--bind", "127.0.0.1", "--repl-diskless-sync-delay", "0")
	replica = startServer(t, "--replicaof", "127.0.0.1 "+port)
	c := client.NewClient(&client.Options{Network: "unix", Addr: master.socket})
	t.Cleanup(func() { _ = c.Close() })
	until(t, "the replica follows", func() bool { // as the master sees it, which is what Open asks for
		return strings.Contains(c.Info(t.Context(), "replication").Val(), "state=online")
	})
	return master, replica, "redis+unix://" + master.socket + "?replicas=1"
}

// TestUnconfirmed stops the replica: nothing counts as committed, or as seen,
// until the replica has it.
func TestUnconfirmed(t *testing.T) {
	t.Parallel()
	onlyInSiege(t)
	_, replica, address := startPair(t)
	h, err := redis.Open(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = h.Close() }()
	if err := commit(h, ann, "e1"); err != nil {
		t.Fatal(err)
	}
	if err := replica.cmd.Process.Signal(syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	for range 2 { // the second time the master has it, and still it does not count
		if err := commit(h, ann, "e2"); err == nil || errors.Is(err, store.ErrSeen) {
			t.Fatalf("without a replica: %v", err)
		}
	}
	if err := replica.cmd.Process.Signal(syscall.SIGCONT); err != nil {
		t.Fatal(err)
	}
	if err := commit(h, ann, "e2"); !errors.Is(err, store.ErrSeen) {
		t.Fatalf("once the replica has it: %v", err)
	}
	if err := commit(h, ann, "e3"); err != nil {
		t.Fatal(err)
	}
}

// TestMasterLost kills the master under load and goes on with its replica: all
// that was confirmed is there.
func TestMasterLost(t *testing.T) {
	t.Parallel()
	onlyInSiege(t)
	master, replica, address := startPair(t)
	h, err := redis.Open(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = h.Close() }()
	l := startLoad(h, 8)
	l.more(t, 300)
	if err := master.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	l.abandon()
	c := client.NewClient(&client.Options{Network: "unix", Addr: replica.socket})
	defer func() { _ = c.Close() }()
	if err := c.ReplicaOf(t.Context(), "NO", "ONE").Err(); err != nil {
		t.Fatal(err)
	}
	after, err := redis.Open(t.Context(), "redis+unix://"+replica.socket)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = after.Close() }()
	l.prove(t, after)
}
