package redis_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"duskdawn/store"
	"duskdawn/store/redis"
)

// A commit is acknowledged only after the server has written and synced it: its
// system calls are watched, where that is possible. A kill cannot show that.
func TestEveryCommitIsSyncedBeforeItIsAcknowledged(t *testing.T) {
	s := startServer(t)
	lines, events := watchCommits(t, s, "")
	for _, event := range events {
		if err := syncedFirst(lines, event); lines != nil && err != nil {
			t.Error(err)
		}
	}
	if lines == nil {
		t.Log("strace is not here, or may not watch: what was acknowledged is in the append-only file, and that the server syncs rests on its setting, which Open reads")
	}
}

// The check sees a server that syncs later.
func TestAnUnsyncedCommitIsSeen(t *testing.T) {
	s := startServer(t, "--appendfsync", "everysec")
	lines, events := watchCommits(t, s, "?fsync=everysec")
	if lines == nil {
		t.Skip("strace is not here, or may not watch")
	}
	seen := 0
	for _, event := range events {
		if syncedFirst(lines, event) != nil {
			seen++
		}
	}
	if seen < len(events)/2 {
		t.Errorf("of %d commits without a sync %d are seen", len(events), seen)
	}
}

// watchCommits makes commits one after the other and gives the server's calls
// meanwhile, nil where they cannot be watched. Each is in the server's file
// when it is acknowledged, unless the settings allow it to be late.
func watchCommits(t *testing.T, s *server, settings string) (lines, events []string) {
	t.Helper()
	h, err := redis.Open(t.Context(), "redis+unix://"+s.socket+settings)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = h.Close() }()
	calls := watchCalls(t, s.cmd.Process.Pid)
	for i := range 40 {
		event := fmt.Sprintf("event-%02d.", i)
		events = append(events, event)
		if err := h.Update(context.Background(), store.Ref{Kind: store.Patient, ID: "07x"}, event, time.Now(),
			func(store.Aggregate) (store.Change, error) {
				return store.Change{Body: []byte(event)}, nil
			}); err != nil {
			t.Fatal(err)
		}
		if settings == "" && !inLog(t, filepath.Dir(s.socket), event) {
			t.Errorf("%s was acknowledged and is not in the append-only file", event)
		}
	}
	if calls != nil {
		lines = calls()
	}
	return lines, events
}

// inLog reports whether the append-only file holds an event.
func inLog(t *testing.T, dir, event string) bool {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "appendonlydir", "*.aof"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no append-only file: %v", err)
	}
	for _, f := range files {
		if raw, err := os.ReadFile(f); err == nil && bytes.Contains(raw, []byte(event)) {
			return true
		}
	}
	return false
}

// watchCalls watches a process's writes and syncs; the function it gives ends
// that and gives the lines. Nil where it cannot be done.
func watchCalls(t *testing.T, pid int) func() []string {
	t.Helper()
	path, err := exec.LookPath("strace")
	if err != nil {
		return nil
	}
	out := filepath.Join(t.TempDir(), "calls")
	c := exec.Command(path, "-f", "-s", "65536", "-e", "trace=write,writev,fdatasync,fsync", "-o", out, "-p",
		strconv.Itoa(pid))
	said, err := c.StderrPipe()
	if err != nil || c.Start() != nil {
		return nil
	}
	t.Cleanup(func() { _ = c.Process.Kill() })
	buf := make([]byte, 4096)
	if n, _ := said.Read(buf); !strings.Contains(string(buf[:n]), "attached") {
		_ = c.Process.Kill()
		_ = c.Wait()
		return nil
	}
	return func() []string {
		_ = c.Process.Signal(syscall.SIGINT)
		_ = c.Wait()
		raw, err := os.ReadFile(out)
		if err != nil {
			t.Fatal(err)
		}
		return strings.Split(string(raw), "\n")
	}
}

var call = regexp.MustCompile(`^\d+\s+(\w+)\((\d+)`)

// syncedFirst wants, after the write of an event to the file, a sync of that
// file before anything is written to anybody else.
func syncedFirst(lines []string, event string) error {
	file := ""
	for _, l := range lines {
		m := call.FindStringSubmatch(l)
		if m == nil {
			continue
		}
		switch name, fd := m[1], m[2]; {
		case file == "" && strings.HasPrefix(name, "write") && strings.Contains(l, event):
			file = fd
		case file == "":
		case strings.HasSuffix(name, "sync") && fd == file:
			return nil
		case fd != file:
			return fmt.Errorf("%s: the answer was written before the sync", event)
		}
	}
	return fmt.Errorf("%s: no sync followed its write", event)
}
