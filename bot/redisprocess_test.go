package main

import (
	"context"
	"net"
	"os"
	"os/exec"
	"testing"
	"time"

	"duskdawn/store/redis"
)

// redisProcess is a redis-server of a test's own that keeps everything.
type redisProcess struct {
	address string
	program string
	args    []string
	cmd     *exec.Cmd
}

// newRedis starts one; without the program the test is skipped, or fails.
func newRedis(t testing.TB) *redisProcess {
	t.Helper()
	path, err := exec.LookPath("redis-server")
	if err != nil {
		if os.Getenv("DUSKDAWN_NO_SKIP") != "" {
			t.Fatal("redis-server is not on PATH")
		}
		t.Skip("redis-server is not on PATH: nothing is tried on Redis")
	}
	at := freeAddress(t)
	_, port, _ := net.SplitHostPort(at)
	r := &redisProcess{address: "redis://" + at, program: path,
		args: []string{"--port", port, "--bind", "127.0.0.1", "--dir", t.TempDir(), "--appendonly", "yes", "--appendfsync", "always", "--save", "", "--logfile", "log"}}
	r.start(t)
	t.Cleanup(r.kill)
	return r
}

// start starts it, on what an earlier process left, and waits until it answers.
func (r *redisProcess) start(t testing.TB) {
	t.Helper()
	r.cmd = exec.Command(r.program, r.args...)
	if err := r.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		st, err := redis.Open(context.Background(), r.address)
		if err == nil {
			_ = st.Close()
			return
		}
		if time.Now().After(end) {
			t.Fatal("the server does not answer: ", err)
		}
	}
}

// kill is kill -9.
func (r *redisProcess) kill() {
	_ = r.cmd.Process.Kill()
	_ = r.cmd.Wait()
}

func freeAddress(t testing.TB) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = l.Close() }()
	return l.Addr().String()
}
