// Package school teaches the nets of packages danger and answer on labelled sentences. It works the same way each time, to the last
// bit: fixed order and seeds, float32 with every step rounded, sums in a fixed order. The tagger's sums are gonum's, which may round
// otherwise on another kind of machine.
//
// go generate ./locales/... takes minutes; a tagger that was taught is kept (keep.go), so that only what changed is taught anew.
// Whoever changes the sentences, the grammar, the nets or this package runs it; a test says so.
package school

//go:generate go run ./teach
