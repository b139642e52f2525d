package redis_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
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

var ann = store.Ref{Kind: store.Patient, ID: "07ann"}

// proxy stands before a server and, while it is on, swallows every nth answer
// and breaks the connection: what was asked for has been done, and nobody hears of it.
type proxy struct {
	path      string
	every     atomic.Int64
	next      atomic.Int64 // how many answers from now one alone is swallowed
	answers   atomic.Int64
	swallowed atomic.Int64
}

func startProxy(t *testing.T, s *server) *proxy {
	t.Helper()
	p := &proxy{path: filepath.Join(filepath.Dir(s.socket), "p")}
	l, err := net.Listen("unix", p.path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = l.Close() })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go p.carry(c, s.socket)
		}
	}()
	return p
}

func (p *proxy) carry(c net.Conn, to string) {
	up, err := net.Dial("unix", to)
	if err != nil {
		_ = c.Close()
		return
	}
	defer func() { _, _ = c.Close(), up.Close() }()
	go func() {
		_, _ = io.Copy(up, c)
		_ = up.Close()
	}()
	buf := make([]byte, 64<<10)
	for {
		n, err := up.Read(buf)
		if err != nil {
			return
		}
		every := p.every.Load()
		if every > 0 && p.answers.Add(1)%every == 0 || p.next.Load() > 0 && p.next.Add(-1) == 0 {
			p.swallowed.Add(1)
			return
		}
		if _, err := c.Write(buf[:n]); err != nil {
			return
		}
	}
}

// TestSwallowed loses answers after the server has done what was asked: no
// commit, claim, lease or settlement is lost, and none is done twice.
func TestSwallowed(t *testing.T) {
	t.Parallel()
	s := startServer(t)
	p := startProxy(t, s)
	h, err := redis.Open(t.Context(), "redis+unix://"+p.path)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = h.Close() }()
	ctx, now := t.Context(), time.Now()
	p.every.Store(9)
	const workers, each = 4, 40
	var worker atomic.Int64
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			w := worker.Add(1)
			for i := range each {
				name := fmt.Sprintf("%d-%d", w, i)
				if err := h.Update(ctx, ann, name, now, func(a store.Aggregate) (store.Change, error) {
					return store.Change{
						Body:    append(a.Body, 'x'),
						Journal: []store.Record{{What: "x"}},
						Set:     []store.Timer{{Name: name, At: now}},
						Out:     []store.Item{{ID: "07" + name, Queue: name}},
					}, nil
				}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	a, err := h.Get(ctx, ann)
	if err != nil || len(a.Body) != workers*each || a.Rev != workers*each {
		t.Fatalf("%d counted at revision %d, want %d: %v", len(a.Body), a.Rev, workers*each, err)
	}
	claimed, sent := map[string]int{}, map[string]int{}
	for len(claimed) < workers*each {
		timers, err := h.Claim(ctx, now, 7, time.Hour)
		if err != nil || len(timers) == 0 {
			t.Fatalf("%d timers claimed, then none: %v", len(claimed), err)
		}
		for _, m := range timers {
			claimed[m.Name]++
		}
	}
	for len(sent) < workers*each {
		items, _, err := h.Lease(ctx, now, 7, store.LaneAll, time.Hour)
		if err != nil || len(items) == 0 {
			t.Fatalf("%d items leased, then none: %v", len(sent), err)
		}
		for _, it := range items {
			sent[it.ID]++
			if err := h.Settle(ctx, it.ID, store.Settlement{Outcome: store.Sent, Text: []byte("shown"), At: now}); err != nil {
				t.Fatal(err)
			}
		}
	}
	p.every.Store(0)
	var journal []store.Record
	for r, err := range h.Journal(ctx, ann) {
		if err != nil {
			t.Fatal(err)
		}
		journal = append(journal, r)
	}
	if err := store.Verify(journal); err != nil || len(journal) != 2*workers*each {
		t.Fatalf("%d records, want %d: %v", len(journal), 2*workers*each, err)
	}
	t.Logf("%d answers swallowed", p.swallowed.Load())
	if p.swallowed.Load() < 20 {
		t.Fatal("too few answers were swallowed to prove anything")
	}
}

// TestKilled kills the server under load and starts it again: all that was
// confirmed is there.
func TestKilled(t *testing.T) {
	t.Parallel()
	s := startServer(t)
	h, err := redis.Open(t.Context(), "redis+unix://"+s.socket)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = h.Close() }()
	l := startLoad(h, 4)
	for range 3 {
		l.more(t, 200)
		s.restart(t, syscall.SIGKILL)
	}
	l.more(t, 50)
	l.finish()
	l.prove(t, h)
}

func TestRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name     string
		settings []string
		query    string
		says     string // empty: accepted
	}{
		{"keeps nothing", []string{"--appendonly", "no"}, "", "appendonly"},
		{"keeps nothing, by name", []string{"--appendonly", "no"}, "?keep=nothing", ""},
		{"every second", []string{"--appendfsync", "everysec"}, "", "fsync=everysec"},
		{"every second, by name", []string{"--appendfsync", "everysec"}, "?fsync=everysec", ""},
		{"never", []string{"--appendfsync", "no"}, "?fsync=everysec", "appendfsync"},
		{"evicts", []string{"--maxmemory-policy", "allkeys-lru"}, "?keep=nothing", "maxmemory-policy"},
		{"evicts what expires", []string{"--maxmemory-policy", "volatile-ttl"}, "", "maxmemory-policy"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := startServer(t, c.settings...)
			h, err := redis.Open(t.Context(), "redis+unix://"+s.socket+c.query)
			if err == nil {
				_ = h.Close()
			}
			if c.says == "" && err != nil || c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)) {
				t.Fatalf("error %v, want one that says %q", err, c.says)
			}
		})
	}
}

func TestNewerForm(t *testing.T) {
	t.Parallel()
	s := startServer(t)
	c := client.NewClient(&client.Options{Network: "unix", Addr: s.socket})
	defer func() { _ = c.Close() }()
	if err := c.HSet(t.Context(), "duskdawn:{all}:meta", "form", 99).Err(); err != nil {
		t.Fatal(err)
	}
	if _, err := redis.Open(t.Context(), "redis+unix://"+s.socket); !errors.Is(err, store.ErrNewer) {
		t.Fatalf("error %v, want %v", err, store.ErrNewer)
	}
}

// TestPassword proves that no error tells the password.
func TestPassword(t *testing.T) {
	t.Parallel()
	const secret = "s3cret-word"
	s := startServer(t, "--requirepass", secret)
	dead := filepath.Join(filepath.Dir(s.socket), "nobody")
	for _, address := range []string{
		"redis+unix://:wrong" + secret + "@" + s.socket,
		"redis+unix://:" + secret + "@" + dead,
		"redis://user:" + secret + "@127.0.0.1:1",
		"redis://user:" + secret + "%zz@127.0.0.1",
		"redis://user:" + secret + "@127.0.0.1/x",
		"redis://user:" + secret + "@/0",
		"http://user:" + secret + "@127.0.0.1",
		"redis://user:" + secret + "@127.0.0.1?" + secret + "=1",
		"user:" + secret + "@127.0.0.1",
		"redis+sentinel://h/0?sentinel-password=" + secret,
	} {
		ctx, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
		h, err := redis.Open(ctx, address)
		cancel()
		if err == nil {
			_ = h.Close()
			t.Errorf("%q was accepted", strings.ReplaceAll(address, secret, "..."))
			continue
		}
		if strings.Contains(fmt.Sprintf("%v %+v %#v", err, err, err), secret) {
			t.Errorf("an error tells the password: %s", strings.ReplaceAll(err.Error(), secret, "<SECRET>"))
		}
	}
	h, err := redis.Open(t.Context(), "redis+unix://:"+secret+"@"+s.socket)
	if err != nil {
		t.Fatal(err)
	}
	if err := h.Close(); err != nil {
		t.Fatal(err)
	}
}

// restart ends the server's process and starts another on the same files.
func (s *server) restart(t *testing.T, how os.Signal) {
	t.Helper()
	if err := s.cmd.Process.Signal(how); err != nil {
		t.Fatal(err)
	}
	_ = s.cmd.Wait()
	s.start(t)
}

// A server fails before its replica has a commit that left no record in a
// journal, and another process gives its revision again: the next commit here
// builds on that one.
func TestALostRevisionThatIsGivenAgainIsRead(t *testing.T) {
	s := startServer(t)
	h := s.handle(t, 0)
	add := func(event string, want string, journal ...store.Record) {
		t.Helper()
		if err := h.Update(t.Context(), ann, event, time.Now(), func(a store.Aggregate) (store.Change, error) {
			if string(a.Body) != want {
				t.Errorf("%s finds %q, want %q", event, a.Body, want)
			}
			return store.Change{Body: append(a.Body, event...), Journal: journal}, nil
		}); err != nil {
			t.Fatal(err)
		}
	}
	add("a", "", store.Record{What: "said"})
	add("b", "a")
	c := client.NewClient(&client.Options{Network: "unix", Addr: s.socket})
	defer func() { _ = c.Close() }()
	key := fmt.Sprintf("duskdawn:{%02d}:agg:%s", ann.Shard(), ann)
	place := store.BodyPlace(ann.String(), 2)
	if row, err := c.HGet(t.Context(), key, "body").Bytes(); err != nil || string(row) != string(store.Wrap(place, []byte("ab"))) {
		t.Fatalf("%q, %v", row, err)
	}
	if err := c.HSet(t.Context(), key, "body", store.Wrap(place, []byte("ac"))).Err(); err != nil { // b is lost, and another committed c
		t.Fatal(err)
	}
	add("d", "ac")
}
