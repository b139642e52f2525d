package redistest

import (
	"context"
	"net"
	"os"
	"os/exec"
	"testing"
	"time"

	"duskdawn/store"
	"duskdawn/store/redis"
)

// Server is a redis-server of a test's own that keeps everything.
type Server struct {
	Address string
	program string
	args    []string
	cmd     *exec.Cmd
}

// New starts one; without the program the test is skipped, or fails.
func New(t testing.TB) *Server {
	t.Helper()
	path, err := exec.LookPath("redis-server")
	if err != nil {
		if os.Getenv("DUSKDAWN_NO_SKIP") != "" {
			t.Fatal("redis-server is not on PATH")
		}
		t.Skip("redis-server is not on PATH: nothing is tried on Redis")
	}
	at := FreeAddress(t)
	_, port, _ := net.SplitHostPort(at)
	r := &Server{Address: "redis://" + at, program: path,
		args: []string{"--port", port, "--bind", "127.0.0.1", "--dir", t.TempDir(), "--appendonly", "yes", "--appendfsync", "always", "--save", "", "--logfile", "log"}}
	r.Start(t)
	t.Cleanup(r.Kill)
	return r
}

// Start starts it, on what an earlier process left, and waits until it answers.
func (r *Server) Start(t testing.TB) {
	t.Helper()
	r.cmd = exec.Command(r.program, r.args...)
	if err := r.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		st, err := redis.Open(context.Background(), r.Address)
		if err == nil {
			_ = st.Close()
			return
		}
		if time.Now().After(end) {
			t.Fatal("the server does not answer: ", err)
		}
	}
}

// Kill is kill -9.
func (r *Server) Kill() {
	_ = r.cmd.Process.Kill()
	_ = r.cmd.Wait()
}

// FreeAddress is an address of this machine where nobody listens.
func FreeAddress(t testing.TB) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = l.Close() }()
	return l.Addr().String()
}

// Store opens a store on a server of its own.
func Store(t *testing.T) store.Store {
	t.Helper()
	st, err := redis.Open(t.Context(), Address(t))
	if err != nil {
		t.Fatal(err)
	}
	return st
}

// Address starts a server that keeps everything, on a free port, and gives
// its address once it answers.
func Address(t testing.TB) string {
	t.Helper()
	return New(t).Address
}
