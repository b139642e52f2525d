package redis_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"duskdawn/store/redis"

	client "github.com/redis/go-redis/v9"
)

// startSentinel starts a Sentinel that watches a master under the name clinic.
func startSentinel(t *testing.T, masterPort, password, own string) *node {
	t.Helper()
	n := &node{port: freePort(t)}
	file := filepath.Join(t.TempDir(), "sentinel.conf")
	config := fmt.Sprintf(`port %s
bind 127.0.0.1
dir %s
requirepass %s
sentinel monitor clinic 127.0.0.1 %s 1
sentinel auth-pass clinic %s
sentinel down-after-milliseconds clinic 1000
sentinel failover-timeout clinic 10000
logfile log
`, n.port, filepath.Dir(file), own, masterPort, password)
	if err := os.WriteFile(file, []byte(config), 0o600); err != nil {
		t.Fatal(err)
	}
	n.args = []string{file, "--sentinel"}
	n.c = client.NewClient(&client.Options{Addr: n.addr(), Password: own, MaxRetries: -1})
	t.Cleanup(func() { _ = n.c.Close() })
	n.start(t)
	t.Cleanup(n.kill)
	until(t, "the Sentinel knows both replicas", func() bool {
		return strings.Contains(n.c.Info(t.Context(), "sentinel").Val(), "slaves=2")
	})
	return n
}

// TestSentinel kills the master under load; the Sentinel puts a replica in its
// place, the other one follows it, and the store goes on there by itself.
// Nothing that was acknowledged is lost.
func TestSentinel(t *testing.T) {
	t.Parallel()
	onlyInSiege(t)
	const password, own = "a-servers-word", "a-sentinels-word"
	server := func(more ...string) (*node, *client.Client) {
		n := &node{port: freePort(t)}
		n.args = append([]string{"--port", n.port, "--bind", "127.0.0.1", "--dir", t.TempDir(), "--save", "", "--appendonly",
			"yes", "--appendfsync", "always",
			"--repl-diskless-sync-delay", "0", "--requirepass", password, "--masterauth", password, "--logfile", "log"}, more...)
		n.c = client.NewClient(&client.Options{Addr: n.addr(), Password: password, MaxRetries: -1})
		t.Cleanup(func() { _ = n.c.Close() })
		n.start(t)
		t.Cleanup(n.kill)
		return n, n.c
	}
	master, info := server()
	for range 2 {
		server("--replicaof", "127.0.0.1 "+master.port)
	}
	until(t, "both replicas follow", func() bool {
		return strings.Count(info.Info(t.Context(), "replication").Val(),
			"state=online") == 2
	})
	sentinel := startSentinel(t, master.port, password, own)
	address := "redis+sentinel://:" + password + "@" + sentinel.addr() + "?master=clinic&sentinel-password=" + own
	h, err := redis.Open(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = h.Close() }()
	l, sent := startLoad(h, 8), startSender(h)
	l.more(t, 300)
	master.kill()
	until(t, "the Sentinel names another master", func() bool {
		now, err := sentinel.c.Do(t.Context(), "sentinel", "get-master-addr-by-name", "clinic").StringSlice()
		return err == nil && len(now) == 2 && now[1] != master.port
	})
	l.more(t, 300)
	l.finish()
	l.prove(t, h)
	sent.prove(t, l)

	for _, wrong := range []string{
		"redis+sentinel://:" + password + "@" + sentinel.addr() + "?master=other&sentinel-password=" + own,
		"redis+sentinel://:" + password + "@" + sentinel.addr() + "?master=clinic&sentinel-password=x" + own,
		"redis+sentinel://:x" + password + "@" + sentinel.addr() + "?master=clinic&sentinel-password=" + own,
	} {
		h, err := redis.Open(t.Context(), wrong)
		if err == nil {
			_ = h.Close()
			t.Error("a wrong name or word is taken")
			continue
		}
		if text := fmt.Sprintf("%v %+v %#v", err, err, err); strings.Contains(text, password) || strings.Contains(text, own) {
			t.Errorf("an error tells a password: %s", strings.NewReplacer(password, "<SECRET>", own, "<SECRET>").Replace(text))
		}
	}
}
