package redis

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"strconv"
	"sync"
	"sync/atomic"

	"duskdawn/store"

	"github.com/redis/go-redis/v9"
)

// form is the version of the stored form that this program writes.
const form = 1

// Prefixes of what belongs to no shard.
const (
	allPrefix   = "duskdawn:{all}:"
	floodPrefix = "duskdawn:{flood}:"
)

// prefix is what every key of a shard begins with, its hash tag included.
func prefix(shard int) string { return fmt.Sprintf("duskdawn:{%02d}:", shard) }

// Store is one open connection to the servers.
type Store struct {
	c       redis.UniversalClient
	scripts scripts
	secret  []byte
	// replicas is how many must have a commit before it counts.
	replicas int
	wanted   options // what the address asked for
	closed   atomic.Bool
	// turns lets the updates of one aggregate queue up here instead of
	// overtaking each other at the server.
	turns    [512]sync.Mutex
	lastSeen lastSeen
	flood    sync.Mutex // the same for the limiter
	batches  batches
}

var _ store.Store = (*Store)(nil)

// Open connects to the servers that an address names (see Parse), and refuses
// those that would lose what was committed.
func Open(ctx context.Context, address string) (*Store, error) {
	o, err := Parse(address)
	if err != nil {
		return nil, err
	}
	s := &Store{replicas: o.replicas, wanted: o}
	if s.scripts, err = loadScripts(); err != nil {
		return nil, err
	}
	redis.SetLogger(silent{})
	s.c = redis.NewUniversalClient(o.client)
	s.batches.c = s.c
	if err := s.open(ctx, o); err != nil {
		return nil, errors.Join(fmt.Errorf("opening the store at %s: %w", o.where, err), s.c.Close())
	}
	return s, nil
}

func (s *Store) open(ctx context.Context, o options) error {
	if err := s.trust(ctx, o); err != nil {
		return err
	}
	meta, fresh := allPrefix+"meta", make([]byte, 32)
	_, _ = rand.Read(fresh) // never fails
	var version, secret *redis.StringCmd
	if err := s.read(ctx, "reading the form", func(p redis.Pipeliner) {
		p.HSetNX(ctx, meta, "form", form)
		p.HSetNX(ctx, meta, "secret", fresh)
		version, secret = p.HGet(ctx, meta, "form"), p.HGet(ctx, meta, "secret")
	}); err != nil {
		return err
	}
	n, err := strconv.Atoi(version.Val())
	if err != nil {
		return fmt.Errorf("%w: its form is not a number", store.ErrCorrupt)
	}
	if n > form {
		return fmt.Errorf("%w: its form is %d, this program knows %d; use the newer program", store.ErrNewer, n, form)
	}
	s.secret, err = secret.Bytes()
	return err
}

// Close gives the connections up.
func (s *Store) Close() error {
	if s.closed.Swap(true) {
		return nil
	}
	return s.c.Close()
}

// Secret returns the store's secret.
func (s *Store) Secret(ctx context.Context) ([]byte, error) {
	if s.closed.Load() {
		return nil, store.ErrClosed
	}
	return bytes.Clone(s.secret), ctx.Err()
}

// silent keeps the library's words, which can hold a command and so an answer,
// out of the log: that it spoke is noted.
type silent struct{}

func (silent) Printf(context.Context, string, ...any) {
	slog.Default().With("source", "go-redis").Warn("not in the inventory")
}
