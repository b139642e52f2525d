package redis_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"duskdawn/store"
	"duskdawn/store/redis"
	"duskdawn/store/storetest"

	client "github.com/redis/go-redis/v9"
)

// databases is how many numbered databases a test's server has.
const databases = 64

// server is a redis-server process of a test's own.
type server struct {
	socket  string
	program string
	args    []string
	cmd     *exec.Cmd
	used    atomic.Int64
}

// startServer starts one on a socket in a directory of its own, with the given
// settings behind the usual ones.
func startServer(t testing.TB, settings ...string) *server {
	t.Helper()
	dir, err := os.MkdirTemp("", "rs") // a socket's path must be short
	if err != nil {
		t.Fatal(err)
	}
	s := &server{socket: filepath.Join(dir, "s"), program: serverProgram(t)}
	s.args = append([]string{"--port", "0", "--unixsocket", s.socket, "--dir", dir, "--save", "", "--databases",
		fmt.Sprint(databases),
		"--appendonly", "yes", "--appendfsync", "always", "--loglevel", "warning", "--logfile", "log"}, settings...)
	s.start(t)
	t.Cleanup(func() {
		_ = s.cmd.Process.Kill()
		_ = s.cmd.Wait()
		_ = os.RemoveAll(dir)
	})
	return s
}

func (s *server) start(t testing.TB) {
	t.Helper()
	s.cmd = exec.Command(s.program, s.args...)
	if err := s.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	s.ready(t)
}

// ready waits until the server answers.
func (s *server) ready(t testing.TB) {
	t.Helper()
	c := client.NewClient(&client.Options{Network: "unix", Addr: s.socket})
	defer func() { _ = c.Close() }()
	answers := func() bool {
		err := c.Ping(context.Background()).Err()
		return err == nil || strings.HasPrefix(err.Error(), "NOAUTH")
	}
	for deadline := time.Now().Add(20 * time.Second); !answers(); {
		if time.Now().After(deadline) {
			t.Fatal("redis-server does not answer")
		}
	}
}

// open gives an empty store in the next of the server's databases.
func (s *server) open(t testing.TB) store.Store {
	t.Helper()
	db := int(s.used.Add(1)) % databases
	c := client.NewClient(&client.Options{Network: "unix", Addr: s.socket, DB: db})
	defer func() { _ = c.Close() }()
	if err := c.FlushDB(context.Background()).Err(); err != nil {
		t.Fatal(err)
	}
	return s.handle(t, db)
}

// numbered is a handle that knows its database.
type numbered struct {
	*redis.Store
	db int
}

func (s *server) handle(t testing.TB, db int) store.Store {
	t.Helper()
	h, err := redis.Open(context.Background(), fmt.Sprintf("redis+unix://%s?db=%d", s.socket, db))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = h.Close() })
	return numbered{h, db}
}

func TestRedis(t *testing.T) {
	t.Parallel()
	s := startServer(t)
	storetest.Run(t, storetest.Backend{
		Open:  s.open,
		Again: func(t testing.TB, old store.Store) store.Store { return s.handle(t, old.(numbered).db) },
		Rows:  func(t testing.TB, st store.Store) storetest.Rows { return redis.RowsOf(t, st.(numbered).Store) },
	})
}

func BenchmarkRedis(b *testing.B) {
	s := startServer(b)
	storetest.Bench(b, s.open)
}

// BenchmarkPass takes minutes: most of it is enrolling a million.
func BenchmarkPass(b *testing.B) {
	// its turn comes once in a while, and is not what is measured
	s := startServer(b, "--auto-aof-rewrite-percentage", "0")
	storetest.BenchPass(b, s.open, 10_000, 1_000_000)
}
