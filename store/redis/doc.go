// Package redis keeps the store in Redis 7 or later, alone, behind Sentinel or
// as a Cluster, for several bot processes at once.
//
// Everything that belongs to an aggregate lies in its shard, under one hash
// tag: body, seen events, index, diary, journal, timers and outbox. A commit
// reads the body, runs the caller's function here and writes what it returned
// with one script, if the body is still the one that was read; otherwise the
// function runs again. No script looks into a body.
//
// Behind Sentinel or in a Cluster a commit counts once a replica of its master
// has it, unless the address says otherwise: then a master that dies loses
// none. A master and all its replicas that die together can.
//
// The client never sends anything twice on its own. Where an answer was lost,
// the same script is run again: each carries a token by which it knows its own
// work. The server's settings are read at the start, and one that would lose
// what was committed is refused.
//
// What this process saw last of an aggregate is a guess that the script checks
// (lastseen.go); what several callers ask for at once goes in one round trip, so
// that the server syncs once for it (batch.go).
//
// # Several processes
//
// What belongs to one process is its connection and its memory; all else is in the
// store. One is elected to poll by Lead (bot/program/lead.go). Leases and claims
// of a process that died run out, at 45 and 30 seconds, and whoever looks next has
// them; all processes go by the server's clock, since two that differ would each
// send what the other is just sending. Event ids make a second run of anything a
// no-op, and the library is told never to send again, by MaxRetries and, in a
// Cluster, MaxRedirects.
//
// Where replicas must confirm, a commit is a script, a small write and WAIT on one
// connection: without the write there would be nothing to wait for where the
// script found its work done. A lease waits for them too, unless it is urgent:
// what only a dead master knew to be leased would be sent again.
//
// A practice's label is unique by a look before the commit, not by an index:
// labels live in every shard, and a commit is one script on one slot.
package redis
