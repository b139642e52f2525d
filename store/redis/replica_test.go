package redis_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

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
	c := client.NewClient(&client.Options{Network: "unix", Addr: replica.socket})
	t.Cleanup(func() { _ = c.Close() })
	until(t, "the replica follows", func() bool {
		return strings.Contains(c.Info(t.Context(), "replication").Val(), "master_link_status:up")
	})
	return master, replica, "redis+unix://" + master.socket + "?replicas=1"
}

// commit commits an event and nothing else.
func commit(h store.Store, ref store.Ref, event string) error {
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	return h.Update(ctx, ref, event, time.Now(), func(store.Aggregate) (store.Change, error) { return store.Change{Body: []byte("x")}, nil })
}

// TestUnconfirmed stops the replica: nothing counts as committed, or as seen,
// until the replica has it.
func TestUnconfirmed(t *testing.T) {
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
	master, replica, address := startPair(t)
	h, err := redis.Open(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = h.Close() }()
	var confirmed sync.Map
	var n, ok atomic.Int64
	var done atomic.Bool
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for !done.Load() {
				i := n.Add(1)
				ref, event := store.Ref{Kind: store.Patient, ID: fmt.Sprintf("%02dp", i%store.Shards)}, fmt.Sprint(i)
				if commit(h, ref, event) == nil {
					confirmed.Store(event, ref)
					ok.Add(1)
				}
			}
		})
	}
	until(t, "there is a load", func() bool { return ok.Load() > 300 })
	if err := master.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	done.Store(true)
	wg.Wait()
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
	lost := 0
	confirmed.Range(func(event, ref any) bool {
		if err := commit(after, ref.(store.Ref), event.(string)); !errors.Is(err, store.ErrSeen) {
			lost++
		}
		return true
	})
	if lost > 0 {
		t.Fatalf("%d of %d confirmed commits are gone", lost, ok.Load())
	}
	t.Logf("%d commits confirmed, the master killed, 0 lost", ok.Load())
}
