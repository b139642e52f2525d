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
	form    form
	secret  []byte
	looks   bool // it only reads
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

// errLook is what a store says that is only read.
var errLook = errors.New("the store was opened to be read only")

// way is how a store is opened.
type way int

const (
	bringing way = iota // what has an older form is brought over
	beside              // and here not: a program of the older version may serve from it
	looking             // nothing is written
)

// Open connects to the servers that an address names (see Parse), and refuses
// those that would lose what was committed. What has an older form is brought over.
func Open(ctx context.Context, address string) (*Store, error) { return open(ctx, address, bringing) }

// OpenBeside is Open for who works beside a running program: what has an older
// form is refused.
func OpenBeside(ctx context.Context, address string) (*Store, error) {
	return open(ctx, address, beside)
}

// Look is Open for who only reads: nothing is written, and what has an older form
// is read as it is. ErrNotFound where nothing was ever stored.
func Look(ctx context.Context, address string) (*Store, error) { return open(ctx, address, looking) }

func open(ctx context.Context, address string, how way) (*Store, error) {
	o, err := Parse(address)
	if err != nil {
		return nil, err
	}
	s := &Store{replicas: o.replicas, wanted: o, form: newest, looks: how == looking}
	if s.scripts, err = loadScripts(); err != nil {
		return nil, err
	}
	redis.SetLogger(silent{})
	s.c = redis.NewUniversalClient(o.client)
	s.batches.c = s.c
	if err := s.open(ctx, o, how); err != nil {
		return nil, errors.Join(fmt.Errorf("opening the store at %s: %w", o.where, err), s.c.Close())
	}
	return s, nil
}

func (s *Store) open(ctx context.Context, o options, how way) error {
	if err := s.trust(ctx, o); err != nil {
		return err
	}
	meta, fresh := allPrefix+"meta", make([]byte, 32)
	_, _ = rand.Read(fresh) // never fails
	var version, from, secret *redis.StringCmd
	look := func() error {
		return s.read(ctx, "reading the form", func(p redis.Pipeliner) {
			version, from, secret = p.HGet(ctx, meta, "form"), p.HGet(ctx, meta, fromField), p.HGet(ctx, meta, "secret")
		})
	}
	if how != looking {
		if err := s.read(ctx, "marking the form", func(p redis.Pipeliner) { p.HSetNX(ctx, meta, "form", int(newest)) }); err != nil {
			return err
		}
	}
	if err := look(); err != nil {
		return err
	}
	if version.Val() == "" {
		return fmt.Errorf("nothing is stored there yet: %w", store.ErrNotFound)
	}
	n, err := strconv.Atoi(version.Val())
	if err != nil {
		return fmt.Errorf("%w: its form is not a number", store.ErrCorrupt)
	}
	if form(n) > newest {
		return fmt.Errorf("%w: its form is %d, this program knows %d; use the newer program", store.ErrNewer, n, newest)
	}
	half := from.Val() != "" // it was brought over, or is just now, and not to the end
	if half {
		n, _ = strconv.Atoi(from.Val()) // 0, the oldest, where it is no number
	}
	switch {
	case form(n) == newest:
	case how == bringing:
		if err := s.bring(ctx, form(n)); err != nil {
			return err
		}
	case how == looking && !half:
		s.form = form(n)
	default:
		return errOlder
	}
	if how != looking {
		if err := s.read(ctx, "making the secret", func(p redis.Pipeliner) {
			p.HSetNX(ctx, meta, "secret", store.Wrap(store.Place(store.RowSecret), fresh))
		}); err != nil {
			return err
		}
	}
	if err := look(); err != nil {
		return err
	}
	raw, _ := secret.Bytes()
	if s.secret, err = s.form.body(raw, store.Place(store.RowSecret)); err != nil {
		return fmt.Errorf("the store's secret: %w", err)
	}
	return nil
}

// Older reports which form the store has and which the program writes, where
// these differ: the next start brings it over.
func (s *Store) Older() (has, writes int, older bool) {
	return int(s.form), int(newest), s.form < newest
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
