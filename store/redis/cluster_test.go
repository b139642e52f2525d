package redis_test

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	"duskdawn/store"
	"duskdawn/store/redis"
	"duskdawn/store/storetest"

	client "github.com/redis/go-redis/v9"
)

// slots is how many hash slots a Redis Cluster has (the cluster specification).
const slots = 16384

// node is one server of a Cluster.
type node struct {
	cmd       *exec.Cmd
	args      []string
	port, bus string
	id        string
	c         *client.Client
}

func (n *node) addr() string { return "127.0.0.1:" + n.port }

func (n *node) start(t *testing.T) {
	t.Helper()
	n.cmd = exec.Command(serverProgram(t), n.args...)
	if err := n.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	until(t, "a node answers", func() bool { return n.c.Ping(t.Context()).Err() == nil })
}

func (n *node) signal(t *testing.T, s os.Signal) {
	t.Helper()
	if err := n.cmd.Process.Signal(s); err != nil {
		t.Fatal(err)
	}
}

// kill ends the process at once, by its id.
func (n *node) kill() {
	_ = n.cmd.Process.Kill()
	_ = n.cmd.Wait()
}

// role is what a node says it is: master or slave.
func (n *node) role(t *testing.T) string {
	_, rest, _ := strings.Cut(n.c.Info(t.Context(), "replication").Val(), "role:")
	role, _, _ := strings.Cut(rest, "\r\n")
	return role
}

func startNode(t *testing.T) *node {
	t.Helper()
	n := &node{port: freePort(t), bus: freePort(t)}
	n.args = []string{"--port", n.port, "--bind", "127.0.0.1", "--cluster-enabled", "yes", "--cluster-port", n.bus,
		"--cluster-node-timeout", "2000",
		"--dir", t.TempDir(), "--save", "", "--appendonly", "yes", "--appendfsync", "always", "--repl-diskless-sync-delay", "0", "--logfile", "log"}
	n.c = client.NewClient(&client.Options{Addr: n.addr(), MaxRetries: -1})
	t.Cleanup(func() { _ = n.c.Close() })
	n.start(t)
	t.Cleanup(n.kill)
	n.id = n.c.ClusterMyID(t.Context()).Val()
	return n
}

// startCluster starts a Redis Cluster of that many masters, and as many
// replicas where asked for.
func startCluster(t *testing.T, count int, withReplicas bool) (masters, replicas []*node) {
	t.Helper()
	ctx := t.Context()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	join := func(n *node) {
		t.Helper()
		must(masters[0].c.Do(ctx, "cluster", "meet", "127.0.0.1", n.port, n.bus).Err())
	}
	for i := range count {
		n := startNode(t)
		must(n.c.ClusterAddSlotsRange(ctx, slots*i/count, slots*(i+1)/count-1).Err())
		must(n.c.Do(ctx, "cluster", "set-config-epoch", i+1).Err())
		if masters = append(masters, n); i > 0 {
			join(n)
		}
	}
	all := masters
	if withReplicas {
		for range count {
			n := startNode(t)
			replicas = append(replicas, n)
			join(n)
		}
		all = append(all[:count:count], replicas...)
	}
	for _, n := range all {
		until(t, "the nodes know each other", func() bool {
			return strings.Contains(n.c.ClusterInfo(ctx).Val(), fmt.Sprintf("cluster_known_nodes:%d", len(all)))
		})
	}
	for i, n := range replicas {
		until(t, "a replica follows its master", func() bool {
			_ = n.c.ClusterReplicate(ctx, masters[i].id).Err()
			return strings.Contains(n.c.Info(ctx, "replication").Val(), "master_link_status:up")
		})
	}
	for _, n := range all {
		until(t, "the cluster is up", func() bool { return strings.Contains(n.c.ClusterInfo(ctx).Val(), "cluster_state:ok") })
	}
	return masters, replicas
}

// address is that of the Cluster, with what stands behind it.
func address(nodes []*node, query string) string {
	var hosts []string
	for _, n := range nodes {
		hosts = append(hosts, n.addr())
	}
	return "redis://" + strings.Join(hosts, ",") + query
}

// serverProgram is the path of redis-server; without one the test is skipped, or fails.
func serverProgram(t testing.TB) string {
	t.Helper()
	program, err := exec.LookPath("redis-server")
	if err != nil {
		if os.Getenv("DUSKDAWN_NO_SKIP") != "" {
			t.Fatal("redis-server is not in the PATH")
		}
		t.Skip("redis-server is not in the PATH: the Redis store goes untested here")
	}
	return program
}

func freePort(t testing.TB) string {
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
func until(t testing.TB, what string, ok func() bool) {
	t.Helper()
	for deadline := time.Now().Add(60 * time.Second); !ok(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatal("waited in vain until " + what)
		}
	}
}

// TestCluster runs the suite on a Redis Cluster of three masters: every script
// stays in one slot, or the server would refuse it.
func TestCluster(t *testing.T) {
	t.Parallel()
	onlyInSiege(t)
	masters, _ := startCluster(t, 3, false)
	handle := func(t testing.TB) store.Store {
		h, err := redis.Open(context.Background(), address(masters, "?replicas=0"))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = h.Close() })
		return h
	}
	storetest.Run(t, storetest.Backend{
		Open: func(t testing.TB) store.Store {
			for _, n := range masters {
				if err := n.c.FlushAll(context.Background()).Err(); err != nil {
					t.Fatal(err)
				}
			}
			return handle(t)
		},
		Again: func(t testing.TB, _ store.Store) store.Store { return handle(t) },
	})
	if _, err := redis.Open(t.Context(), address(masters, "")); err == nil ||
		!strings.Contains(err.Error(), "replicas=0") {
		t.Errorf("a Cluster without replicas is taken as it is: %v", err)
	}
	if err := masters[2].c.ConfigSet(t.Context(), "appendfsync", "everysec").Err(); err != nil {
		t.Fatal(err)
	}
	if _, err := redis.Open(t.Context(), address(masters, "?replicas=0")); err == nil ||
		!strings.Contains(err.Error(), "fsync=everysec") {
		t.Errorf("one of three masters syncs every second: %v", err)
	}
}

// TestFailover takes a Redis Cluster of three masters and three replicas
// through a planned failover and through a master that is killed, both under
// load. Nothing that was acknowledged is lost, nothing is applied twice, and
// every prompt is sent once.
func TestFailover(t *testing.T) {
	t.Parallel()
	onlyInSiege(t)
	masters, replicas := startCluster(t, 3, true)
	h, err := redis.Open(t.Context(), address(masters, ""))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = h.Close() }()
	l, sent := startLoad(h, 12), startSender(h)
	l.more(t, 300)

	// asked for again, as a person would: a busy machine lets it time out after 5 s
	until(t, "the replica leads", func() bool {
		_ = replicas[0].c.ClusterFailover(t.Context()).Err()
		for end := time.Now().Add(6 * time.Second); replicas[0].role(t) != "master" && time.Now().Before(end); {
			time.Sleep(10 * time.Millisecond)
		}
		return replicas[0].role(t) == "master"
	})
	until(t, "its master follows", func() bool {
		return strings.Contains(replicas[0].c.Info(t.Context(), "replication").Val(), "state=online")
	})
	l.more(t, 300)
	planned := l.tried.Load()

	// The second master goes on without its replica for a moment, and is killed:
	// what nobody else had was never acknowledged.
	replicas[1].signal(t, syscall.SIGSTOP)
	if err := masters[1].c.ClientKillByFilter(t.Context(), "type", "replica").Err(); err != nil {
		t.Fatal(err)
	}
	time.Sleep(500 * time.Millisecond) // a load to kill into, not a wait for anything
	masters[1].kill()
	replicas[1].signal(t, syscall.SIGCONT)
	until(t, "its replica leads", func() bool { return replicas[1].role(t) == "master" })
	masters[1].start(t) // as a replica: until then nothing of its part counts
	l.more(t, 300)
	l.finish()
	t.Logf("%d tries failed over the planned failover, %d over the kill", planned, l.tried.Load()-planned)
	l.prove(t, h)
	sent.prove(t, l)
}
