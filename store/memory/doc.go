// Package memory is the reference model of the store: everything in maps behind
// one lock, gone with the process. The other back ends are tested against it,
// and a rehearsal runs on it.
package memory
