// Package store says what is kept and what one commit means.
//
// There are three kinds of aggregate: a Patient, a Chat and the Practice. Each
// is an opaque body with a revision; no SQL and no script looks inside it. The
// one write of aggregate state is Update: it takes an event id, runs a pure
// function on the stored body and commits everything the function returned, as
// a whole or not at all:
//
//	seen event + body + summary + index + diary + journal + timers + outbox
//
// After the commit two loops of the scheduler go on from what is stored: due
// timers become events, and the outbox is delivered. Nothing is sent before the
// commit that ordered it.
//
// Whatever is stored lies in one envelope (envelope.go): its checksum is verified
// by every read, and by Damaged, which names the rows that do not fit.
//
// Back ends: store/memory (the reference model), store/sqlite (the embedded
// default), store/redis. All pass the one suite in store/storetest.
//
// A patient's id and code begin with the shard, two decimal digits, 64 shards for
// ever, so that a commit is one script on one slot.
package store
