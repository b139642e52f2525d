package store

import (
	"context"
	"errors"
	"iter"
	"time"
)

// Sentinels. Every back end returns exactly these; storetest proves it.
var (
	// ErrSeen says that the event was committed before; nothing was changed.
	ErrSeen = errors.New("store: event seen before")
	// ErrNotFound says that no such aggregate, index entry or item exists.
	ErrNotFound = errors.New("store: not found")
	// ErrTaken says that an index entry belongs to another aggregate; nothing was changed.
	ErrTaken = errors.New("store: index entry taken")
	// ErrTooLarge says that a body passes its limit; nothing was changed.
	ErrTooLarge = errors.New("store: body too large")
	// ErrKey says that a ref, an event or a key breaks the rules of keys; nothing was changed.
	ErrKey = errors.New("store: unusable key")
	// ErrBroken says that a journal's chain does not hold.
	ErrBroken = errors.New("store: the journal was altered")
	// ErrCorrupt says that the stored form cannot be read.
	ErrCorrupt = errors.New("store: damaged")
	// ErrNewer says that the stored form was written by a newer program.
	ErrNewer = errors.New("store: written by a newer version")
	// ErrInUse says that another program holds the store.
	ErrInUse = errors.New("store: in use by another program")
	// ErrClosed says that the store was closed.
	ErrClosed = errors.New("store: closed")
)

// Limits of the stored form.
const (
	// MaxPatientBody is the most bytes a patient's body may take. Most take one or
	// two thousand; the busiest that a test could make, 60 setting labels in a
	// long script, 28 full nights and 16 open escalations with their words, takes
	// 14.6 thousand, and nothing that is urgent may be refused for its length.
	MaxPatientBody = 20 << 10
	// MaxBody is the most bytes the body of any other aggregate, a diary row or an outbox item may take.
	MaxBody = 256 << 10
	// MaxKey is the most bytes a ref, an event, a name, a queue or a key may take.
	MaxKey = 255
	// SeenFor is how long an event id is remembered; the platform redelivers for a day.
	SeenFor = 14 * 24 * time.Hour
)

// Store is everything that is kept. All methods are safe for concurrent use;
// times are the caller's clock, so that a rehearsal can move it. Instants are
// kept to the microsecond and come back in UTC.
//
// Keys: a ref's id begins with its shard in two digits, 00 to 63. An index
// entry and an item's id must lie in the shard of their aggregate (ShardOf),
// so that a commit is one script on one slot. No key is longer than MaxKey or
// holds a zero byte; an event, a timer's name and an item's id and queue are
// not empty. What breaks this is refused with ErrKey.
//
// Bodies lie in envelopes (Wrap). Whatever reads one that is not as it was
// stored returns ErrCorrupt, but for Claim and Lease, which hand it on as
// Damaged: nobody else is to wait for it.
type Store interface {
	Aggregates
	Timers
	Outbox
	// Secret returns 32 random bytes, made when the store was, that key the hashes in index columns.
	Secret(ctx context.Context) ([]byte, error)
	// Lead takes or renews the one lease named what for holder who, by the
	// store's own clock; false where another holder's lease still runs.
	// A ttl of 0 gives the lease up, and is true where who held it.
	Lead(ctx context.Context, what, who string, ttl time.Duration) (bool, error)
	// Damaged yields the name (RowName) of every row that is not as it was stored.
	// It reads all that is kept, and goes on behind each that it finds.
	Damaged(ctx context.Context) iter.Seq2[string, error]
	// Purge forgets seen events and settled outbox items from before then.
	Purge(ctx context.Context, before time.Time) error
	Close() error
}

// Aggregates is the state of patients, chats and the practice, with what follows from it.
type Aggregates interface {
	// Update runs fn on the stored aggregate and commits its Change as a whole,
	// or not at all; it returns once the commit is durable. An unknown ref gives
	// fn the zero Aggregate. An event that this aggregate has seen gives ErrSeen
	// and fn's result is not kept; another aggregate may still see the same
	// event. fn must be pure: it may run more than once, and not at all. An
	// error of fn is returned as it is, and nothing is changed. at is kept with
	// the seen event and as the items' Ordered.
	Update(ctx context.Context, ref Ref, event string, at time.Time, fn func(Aggregate) (Change, error)) error
	// Get returns the aggregate as it stands; ErrNotFound where no body was ever stored.
	Get(ctx context.Context, ref Ref) (Aggregate, error)
	// Lookup returns the aggregate that owns an index entry; ErrNotFound where nobody does.
	Lookup(ctx context.Context, key string) (Ref, error)
	// List yields the summaries that match, most urgent deadline first (none last), then by ref.
	List(ctx context.Context, q Query) iter.Seq2[Summary, error]
	// Refs yields every aggregate that has a body or a journal, by ref.
	Refs(ctx context.Context) iter.Seq2[Ref, error]
	// Diary yields every row revision of a patient in the order they were committed.
	Diary(ctx context.Context, ref Ref) iter.Seq2[Row, error]
	// Journal yields the records of an aggregate in order of their sequence.
	Journal(ctx context.Context, ref Ref) iter.Seq2[Record, error]
}

// Timers is the due table.
type Timers interface {
	// Claim returns at most n timers due at now and hides each from other
	// claims until now+hold; earliest first, a timer claimed before counting
	// from the end of its hold, then by ref and name. A timer goes away when
	// an Update of its aggregate clears it; one that replaces it ends its hold.
	// One whose row cannot be read is claimed all the same, as Damaged.
	Claim(ctx context.Context, now time.Time, n int, hold time.Duration) ([]Timer, error)
	// Next returns the earliest instant at which Claim could return something
	// (a claimed timer counts from the end of its hold); the zero time for never.
	Next(ctx context.Context) (time.Time, error)
	// Pending yields the timers of one aggregate, by name.
	Pending(ctx context.Context, ref Ref) iter.Seq2[Timer, error]
}

// Outbox is what waits to leave an aggregate: messages to chats and events for other aggregates.
type Outbox interface {
	// Lease returns at most n items that may go out at now, by lane and then in
	// the order they were committed, each held until now+hold. Of what one
	// aggregate has ordered for one queue, only one item is ever out at a time:
	// of the lanes whose oldest waiting item may go, the lowest lane's. So order
	// within an aggregate, queue and lane is kept, and an item that waits for its NotBefore
	// holds back its own lane alone. (Between aggregates order is kept where
	// nothing waits, and not promised.) A lease that runs out makes its item
	// wait again, Written telling whether its request may have gone out.
	//
	// An item whose NotAfter has passed is never in out: it becomes Expired and
	// is listed in expired, whatever its turn, the longest overdue first, n at
	// most in one call. It is held
	// like a lease, so that its owner can be told first and a crash between the
	// two lists it again: Settle ends that, and leaves it Expired. Meanwhile its queue goes on.
	// An item whose row cannot be read becomes Expired as well, once it is its turn,
	// and is listed in expired as Damaged. Items of lanes above most are left alone.
	Lease(ctx context.Context, now time.Time, n int, most Lane, hold time.Duration) (out, expired []Item, err error)
	// LeaseBehind leases as Lease does, but only in the lanes behind replies up
	// to most: for what has waited long enough while those went first. What is
	// too late is left to Lease.
	LeaseBehind(ctx context.Context, now time.Time, n int, most Lane, hold time.Duration) ([]Item, error)
	// Ready returns the earliest instant at which Lease with the same most
	// could return something; the zero time for never. It is never too late.
	// It may be too early, where a lease runs out or lanes are left alone, but
	// a Lease that finds nothing moves it on.
	Ready(ctx context.Context, most Lane) (time.Time, error)
	// Wrote notes that the request of a leased item is about to be written, so
	// that a crash after it leaves the item in doubt and not merely pending.
	// What is not leased to be sent, or no longer, is ErrNotFound.
	Wrote(ctx context.Context, id string) error
	// Settle ends a lease with an outcome. A lease that ran out can be settled
	// until its item is leased again. Settling what is not leased, or another
	// attempt than the one named, is ErrNotFound.
	Settle(ctx context.Context, id string, s Settlement) error
	// Reserve asks the flood limiter for one message to queue at now: 0 means
	// it was granted and counted; otherwise how long to wait before asking
	// again. The buckets (Flood) are shared by every process on the store and
	// outlive it.
	Reserve(ctx context.Context, now time.Time, queue string, group bool, lane Lane) (time.Duration, error)
	// Room tells, without counting anything, how many messages of a lane the
	// limit of all would grant at now, and how long it is until one more: what is
	// leased beyond that only waits.
	Room(ctx context.Context, now time.Time, lane Lane) (n int, wait time.Duration, err error)
	// Granted returns when the newest message was granted, by the clock of whoever
	// asked; the zero time where none is known.
	Granted(ctx context.Context) (time.Time, error)
	// HoldOff keeps a queue from being reserved until then, or where queue is
	// empty every lane behind replies, while those and red flags are granted one
	// a second; the latest instant asked for stands, and it survives a restart. A
	// red flag is granted UrgentHold after the last message all the same, and
	// what lies further ahead than HoldMost is forgotten.
	HoldOff(ctx context.Context, queue string, until time.Time) error
	// Waiting tells, lane by lane, how many items wait or are leased, and since
	// when the oldest of them does. What stands behind another item of its line
	// may be left out. It costs by what waits, not by what is kept or enrolled.
	Waiting(ctx context.Context) (Backlog, error)
	// Doubtful yields the items settled as Doubt, oldest first, for check and for staff.
	Doubtful(ctx context.Context) iter.Seq2[Item, error]
	// SetAside keeps an update that cannot be handled, whole, with its class;
	// a second time under the same id changes nothing. Asides yields them, oldest first.
	SetAside(ctx context.Context, id, class string, raw []byte, at time.Time) error
	Asides(ctx context.Context) iter.Seq2[Aside, error]
}
