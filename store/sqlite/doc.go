// Package sqlite keeps the store in one SQLite file beside the program.
//
// All writes go through one goroutine, which groups the updates that wait into
// one transaction with a savepoint each, so that many commits share one sync
// and a failing one does not hurt its neighbours. An update returns only after
// its transaction was synced. Reads go to a pool of their own. Several programs
// may write the same file; serve alone takes its lock, since only one may send.
package sqlite
