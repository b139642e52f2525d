// Package sqlite keeps the store in one SQLite file beside the program.
//
// All writes go through one goroutine, which groups the updates that wait into
// one transaction with a savepoint each, so that many commits share one sync
// and a failing one does not hurt its neighbours. An update returns only after
// its transaction was synced. Reads go to a pool of their own. Several programs
// may write the same file; serve alone takes its lock, since only one may send.
//
// # Why it is fast enough
//
// A group of updates is committed without savepoints, and again with them where
// one of the group fails after it has written. What the last commits wrote is
// remembered by the writer, as long as the engine's own count says that nobody
// else has committed (lastwrites.go); whoever holds the file's lock also reads
// what was committed last from memory, while the writer looks every few
// milliseconds whether somebody else commits (readcache.go).
//
// The flow runs beside the one who writes: Update runs its function on what the
// aggregate probably is, in the caller's goroutine, and the writer takes the
// result where it was that (update.go). Settlements wait half a millisecond for
// the next updates while these come fast (writer.go).
//
// What every commit adds stands at the end of a table (schema/002.sql): ids and
// event names grow with time, and a journal's records get their places a thousand
// at once. A commit costs by the pages it writes, and the commits of one moment
// share these.
//
// A kill proves no sync, so a test watches the writes and syncs under the engine
// by store/disk.
package sqlite
