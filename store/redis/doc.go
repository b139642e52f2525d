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
package redis
