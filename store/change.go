package store

import (
	"fmt"
	"time"
)

// Shards is the number of shards, for ever: a patient's id begins with its
// shard in two decimal digits, and everything that belongs to an aggregate
// lives in its shard, so that a commit is one script on one slot.
const Shards = 64

// Kind tells the three kinds of aggregate apart.
type Kind byte

// The kinds.
const (
	Patient  Kind = 'P'
	Chat     Kind = 'C'
	Practice Kind = 'X'
)

// Ref names an aggregate. ID begins with two decimal digits, its shard (00 to 63).
type Ref struct {
	Kind Kind
	ID   string
}

// Shard returns the shard that the ref's id begins with; 0 for an id that does not begin with one.
func (r Ref) Shard() int { return ShardOf(r.ID) }

// String gives the kind's letter and the id; ParseRef reads it back.
func (r Ref) String() string { return string(rune(r.Kind)) + r.ID }

// IsZero reports whether the ref names nothing.
func (r Ref) IsZero() bool { return r == Ref{} }

// ParseRef reads what Ref.String wrote.
func ParseRef(s string) (Ref, error) {
	if len(s) < 3 || (s[0] != byte(Patient) && s[0] != byte(Chat) && s[0] != byte(Practice)) {
		return Ref{}, fmt.Errorf("reading a ref: %w", ErrNotFound)
	}
	return Ref{Kind(s[0]), s[1:]}, nil
}

// ShardOf returns the shard that an id or index key begins with; 0 where it begins with none.
func ShardOf(id string) int {
	if len(id) < 2 || id[0] < '0' || id[0] > '9' || id[1] < '0' || id[1] > '9' {
		return 0
	}
	n := int(id[0]-'0')*10 + int(id[1]-'0')
	if n >= Shards {
		return 0
	}
	return n
}

// Aggregate is an aggregate as stored: the zero value where there is none.
type Aggregate struct {
	Rev  int64  // counts commits that changed the body, from 1
	Body []byte // opaque; its first byte is the codec's
}

// Change is what one commit writes. A zero Change still marks its event as seen.
type Change struct {
	Body     []byte   // the new body; nil leaves it
	Summary  *Summary // patients; nil leaves it
	Own      []string // index entries to take, e.g. a code's or a label's keyed hash; see Store for the keys
	Disown   []string // index entries to give up, before Own; what others own is left
	Diary    []Row
	Journal  []Record
	Set      []Timer  // a timer of the same name is replaced
	Clear    []string // names of timers, before Set
	Out      []Item   // an id that is there already is left as it is
	Withdraw []string // item keys, before Out: not leased, cancelled; leased, left to its sender, but never sent again
	Hand     *Handoff // what of Out may be leased in the same commit; nil for nothing
}

// Handoff asks Update to lease to its caller, in the same commit, what the
// change orders and may go out at once: an answer then needs no look at the
// outbox. An item is handed over where nothing waits in its line (what its
// aggregate has ordered for its queue), it is the one of its line that Lease
// would give first, its time has come and is not past, and its lane is Most or
// lower. Lower lanes come first; what is left over waits for Lease.
type Handoff struct {
	N     int           // at most so many
	Most  Lane          // lanes above are left alone
	Hold  time.Duration // of the leases, from Update's at
	Items []Item        // given by the store, once the commit is durable
}

// Summary is the small view of a patient that serves queue, digest and search.
// It holds no name and no answer.
type Summary struct {
	Ref      Ref       // given by the store
	Label    string    // keyed hash of the practice's label
	State    string    // the state's name
	Class    byte      // class of the worst open escalation: 'E', 'S', 'N', 'R'; 0 for none
	Acked    bool      // that escalation has been acknowledged
	Deadline time.Time // the next deadline of an open escalation; zero for none
	Answered int32     // the last answered night, days since 1970-01-01; 0 for none
	Review   time.Time // the next milestone or review; zero for none
	Chat     int64     // the bound chat; 0 for none
	Step     int32     // the confirmed setting, whole steps
}

// Query selects summaries. Zero fields select everything.
type Query struct {
	Label  string // exact keyed hash
	State  string
	Open   bool  // with an open escalation only
	Silent int32 // last answered before this night
	After  Ref   // continue behind this one (with Limit); the order is then by ref alone
	Limit  int
}

// Row is one revision of what is known of one night, for the diary.
type Row struct {
	Night  int32  // days since 1970-01-01
	Rev    int    // given by the store, from 1 per night
	Source string // patient, staff, transcribed, undo, bot
	At     time.Time
	Body   []byte
}

// Record is one line of an aggregate's journal. Seq and Hash are given by the
// store: the hash is SHA-256 over the previous hash and the record's canonical form.
type Record struct {
	Seq      int64
	At       time.Time
	Event    string
	Actor    string // patient, bot, or a staff id
	Role     string
	Practice int64  // revision of the practice that the decision saw
	Plan     int32  // revision of the plan
	Rules    int32  // version of the rules
	What     string // key of what happened
	Body     []byte // its values, and the text shown
	Hash     [32]byte
}

// Timer is a waiting event of an aggregate. Wall, Zone and Basis say where the
// instant came from, so that new zone data can plan it again.
type Timer struct {
	Ref   Ref // given by the store
	Name  string
	At    time.Time
	Wall  string // local date and clock, 2006-01-02T15:04; empty for a plain instant
	Zone  string // IANA name
	Basis string // version of the zone data
	Body  []byte

	Damaged bool // given by Claim: its row cannot be read, and there is no body
}

// Lane orders what waits to go out; a lower lane passes every higher one.
type Lane int8

// The lanes. Events for other aggregates come first: an escalation reaches the
// desk as one, so no backlog of messages may hold it up, and they cost no allowance.
const (
	LaneEvent    Lane = iota // events for other aggregates: nothing a person sees, no flood limit
	LaneUrgent               // class E and S
	LaneReply                // the answer to something a person just did
	LaneStaff                // everything else for staff
	LanePrompt               // check-ins
	LaneReminder             // reminders
	LaneReport               // digests, documents
	LaneStranger             // to whoever is no patient and no staff: however many they are, nobody else waits for them

	LaneAll = LaneStranger // as the most of Lease and Ready: leave none alone
)

// Backlog is what waits in each lane: how much, and since when the oldest does
// (zero where nothing waits).
type Backlog [LaneAll + 1]struct {
	Items  int
	Oldest time.Time
}

// Add counts n more items of a lane, the oldest of them ordered then.
func (b *Backlog) Add(l Lane, n int, oldest time.Time) {
	if n <= 0 || l < 0 || l > LaneAll {
		return
	}
	if b[l].Items == 0 || oldest.Before(b[l].Oldest) {
		b[l].Oldest = oldest
	}
	b[l].Items += n
}

// Item is one thing in the outbox.
type Item struct {
	ID     string // unique, of its aggregate's shard, derived from event and position, so that a second run gives the same
	Ref    Ref    // the aggregate that ordered it; given by the store
	Queue  string // what keeps order: a chat's number, or a ref for LaneEvent
	Lane   Lane
	Key    string // what Withdraw names; may be shared by several items
	Body   []byte
	Lang   string
	Plan   int32 // revision of the plan it was made under; 0 for none
	Advice int32 // number of the advice it carries; 0 for none

	NotBefore time.Time
	NotAfter  time.Time // zero for no end
	Once      bool      // in doubt it is never sent again (documents)

	// Given by the store.
	State   Outcome   // Pending until settled
	Attempt int       // how often it has been leased
	Written bool      // the request of an earlier attempt may have gone out
	Message int64     // the platform's message id, once sent
	Seq     int64     // rises with every item an aggregate orders
	Ordered time.Time // when it was committed
	Damaged bool      // its row cannot be read, and there is no body
}

// Outcome is what became of an item: a closed set.
type Outcome int8

// The outcomes.
const (
	Pending   Outcome = iota // waits, or waits again
	Sent                     // the platform took it
	Rejected                 // the platform refused it for good
	Blocked                  // the chat cannot be reached
	Expired                  // too late to matter; ours, not the person's silence
	Cancelled                // withdrawn, or overtaken by a newer plan
	Doubt                    // written, and no answer came; not to be sent again
)

// Settlement ends a lease.
type Settlement struct {
	Outcome Outcome
	Message int64     // with Sent
	Until   time.Time // with Pending: not before
	Written bool      // the request was written; with Pending this replaces what Wrote noted
	Attempt int       // the attempt that is settled; 0 for whichever runs
	Text    []byte    // the text shown, kept in the journal of the item's owner; nil for none
	At      time.Time
}

// Aside is an update that could not be handled.
type Aside struct {
	ID    string
	Class string
	Raw   []byte
	At    time.Time
}
