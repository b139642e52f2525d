package memory

import (
	"bytes"
	"context"
	"crypto/rand"
	"slices"
	"sync"
	"time"

	"duskdawn/store"
)

// Store keeps everything in memory.
type Store struct {
	mu     sync.Mutex
	closed bool
	secret []byte

	aggregates map[store.Ref]*aggregate
	owners     map[string]store.Ref
	timers     map[timerKey]*timer
	due        agenda
	box        outbox
	buckets    map[string]*[]byte // the flood limiter's rows
	leads      map[string]lead
	asides     []store.Aside
}

// aggregate is one aggregate with all that is kept of it, each body in its envelope.
type aggregate struct {
	store.Aggregate
	summary *store.Summary
	seen    map[string]time.Time
	diary   []store.Row
	journal []store.Record
	timers  map[string]*timer
}

var _ store.Store = (*Store)(nil)

// New returns an empty store.
func New() *Store {
	secret := make([]byte, 32)
	_, _ = rand.Read(secret) // never fails
	return &Store{
		secret:     store.Wrap(store.Place(store.RowSecret), secret),
		aggregates: map[store.Ref]*aggregate{},
		owners:     map[string]store.Ref{},
		timers:     map[timerKey]*timer{},
		due:        agenda{minutes: map[int64]*minute{}},
		box:        outbox{items: map[string]*item{}, lines: map[store.Ref]map[string]*line{}, held: map[*item]struct{}{}},
		buckets:    map[string]*[]byte{},
		leads:      map[string]lead{},
	}
}

// enter takes the lock of an open store.
func (s *Store) enter(ctx context.Context) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	s.mu.Lock()
	if s.closed {
		s.mu.Unlock()
		return store.ErrClosed
	}
	return nil
}

// Update runs fn and commits what it returns, under the lock.
func (s *Store) Update(ctx context.Context, ref store.Ref, event string, at time.Time,
	fn func(store.Aggregate) (store.Change, error)) error {
	if _, err := store.Prepare(ref, event, at, store.Change{}); err != nil {
		return err
	}
	if err := s.enter(ctx); err != nil {
		return err
	}
	defer s.mu.Unlock()
	var old store.Aggregate
	a := s.aggregates[ref]
	if a != nil {
		if _, ok := a.seen[event]; ok {
			return store.ErrSeen
		}
		var err error
		if old, err = a.read(ref); err != nil {
			return err
		}
	}
	c, err := fn(old)
	if err != nil {
		return err
	}
	if c, err = store.Prepare(ref, event, at, c); err != nil {
		return err
	}
	for _, key := range c.Own {
		if owner, ok := s.owners[key]; ok && owner != ref {
			return store.ErrTaken
		}
	}
	if a == nil {
		a = &aggregate{seen: map[string]time.Time{}, timers: map[string]*timer{}}
		s.aggregates[ref] = a
	}
	a.seen[event] = at
	s.commit(ref, a, c, store.Micros(at))
	return nil
}

// commit writes a change that nothing speaks against any more.
func (s *Store) commit(ref store.Ref, a *aggregate, c store.Change, at int64) {
	if c.Body != nil {
		a.Rev++
		a.Body = store.Wrap(store.BodyPlace(ref.String(), a.Rev), c.Body)
	}
	if c.Summary != nil {
		a.summary = c.Summary
	}
	for _, key := range c.Disown {
		if s.owners[key] == ref {
			delete(s.owners, key)
		}
	}
	for _, key := range c.Own {
		s.owners[key] = ref
	}
	for _, row := range c.Diary {
		for _, r := range a.diary {
			if r.Night == row.Night {
				row.Rev = r.Rev
			}
		}
		row.Rev++
		row.Body = store.Wrap(row.Place(ref.String()), row.Body)
		a.diary = append(a.diary, row)
	}
	a.note(ref, c.Journal)
	for _, name := range c.Clear {
		s.clearTimer(timerKey{ref, name})
	}
	for _, t := range c.Set {
		s.setTimer(t)
	}
	for _, key := range c.Withdraw {
		s.box.withdraw(ref, key, at)
	}
	hand := s.box.free(c, ref, store.FromMicros(at))
	for _, it := range c.Out {
		s.box.add(it)
	}
	for _, id := range hand {
		c.Hand.Items = append(c.Hand.Items, s.box.hand(id, at, c.Hand.Hold))
	}
}

// read gives an aggregate's body out of its envelope.
func (a *aggregate) read(ref store.Ref) (store.Aggregate, error) {
	if a.Rev == 0 {
		return store.Aggregate{}, nil
	}
	body, err := store.Unwrap(store.BodyPlace(ref.String(), a.Rev), a.Body)
	return store.Aggregate{Rev: a.Rev, Body: bytes.Clone(body)}, err
}

// note appends records to the journal.
func (a *aggregate) note(ref store.Ref, rs []store.Record) {
	var hash [32]byte
	if n := len(a.journal); n > 0 {
		hash = a.journal[n-1].Hash
	}
	store.Seal(int64(len(a.journal)), hash, rs)
	for _, r := range rs {
		r.Body = store.Wrap(r.Place(ref.String()), r.Body)
		a.journal = append(a.journal, r)
	}
}

// Get returns the aggregate.
func (s *Store) Get(ctx context.Context, ref store.Ref) (store.Aggregate, error) {
	if err := s.enter(ctx); err != nil {
		return store.Aggregate{}, err
	}
	defer s.mu.Unlock()
	a := s.aggregates[ref]
	if a == nil || a.Rev == 0 {
		return store.Aggregate{}, store.ErrNotFound
	}
	return a.read(ref)
}

// Lookup returns the owner of an index entry.
func (s *Store) Lookup(ctx context.Context, key string) (store.Ref, error) {
	if err := s.enter(ctx); err != nil {
		return store.Ref{}, err
	}
	defer s.mu.Unlock()
	if ref, ok := s.owners[key]; ok {
		return ref, nil
	}
	return store.Ref{}, store.ErrNotFound
}

// Secret returns the store's secret.
func (s *Store) Secret(ctx context.Context) ([]byte, error) {
	if err := s.enter(ctx); err != nil {
		return nil, err
	}
	defer s.mu.Unlock()
	secret, err := store.Unwrap(store.Place(store.RowSecret), s.secret)
	return bytes.Clone(secret), err
}

// lead is a lease by the machine's clock.
type lead struct {
	who   string
	until time.Time
}

// Lead takes, renews or gives up a lease.
func (s *Store) Lead(ctx context.Context, what, who string, ttl time.Duration) (bool, error) {
	if err := s.enter(ctx); err != nil {
		return false, err
	}
	defer s.mu.Unlock()
	now := time.Now()
	if l, ok := s.leads[what]; ok && l.who != who && l.until.After(now) {
		return false, nil
	}
	if ttl <= 0 {
		held := s.leads[what].who == who && s.leads[what].until.After(now)
		delete(s.leads, what)
		return held, nil
	}
	s.leads[what] = lead{who, now.Add(ttl)}
	return true, nil
}

// Purge forgets what is older than before.
func (s *Store) Purge(ctx context.Context, before time.Time) error {
	if err := s.enter(ctx); err != nil {
		return err
	}
	defer s.mu.Unlock()
	for _, a := range s.aggregates {
		for event, at := range a.seen {
			if store.Micros(at) < store.Micros(before) {
				delete(a.seen, event)
			}
		}
	}
	s.box.purge(store.Micros(before))
	for queue := range s.buckets {
		if s.bucket(queue).Idle(before) {
			delete(s.buckets, queue)
		}
	}
	return nil
}

// SetAside keeps an update that cannot be handled.
func (s *Store) SetAside(ctx context.Context, id, class string, raw []byte, at time.Time) error {
	if err := s.enter(ctx); err != nil {
		return err
	}
	defer s.mu.Unlock()
	if !slices.ContainsFunc(s.asides, func(a store.Aside) bool { return a.ID == id }) {
		a := store.Aside{ID: id, Class: class, At: store.FromMicros(store.Micros(at))}
		a.Raw = store.Wrap(a.Place(), raw)
		s.asides = append(s.asides, a)
	}
	return nil
}

// Close forgets everything.
func (s *Store) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.closed = true
	return nil
}
