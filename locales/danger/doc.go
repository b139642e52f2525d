// Package danger hears dangers in a text with a linear net.
//
// What the net hears (input.go) are words, neighbours, pairs further apart, runs of letters, words behind a negation,
// and hedges: a question, a condition, somebody else, a film or an animal, long past, a negation (cue.*.toml), by
// themselves and with every word beside them. Each input has a weight for each danger, and for each way of being
// none: what looks like a danger and is none now, an answer about each matter, and all the rest. The shares of all of them make 1.
//
// The weights (net.bin) are taught by package school on the labelled sentences of locales/testdata/sentences/work. What a text is
// taken for is decided in package locales, with the grammar.
package danger

import _ "embed"

//go:embed net.bin
var bytesOfNet []byte

// Load reads the weights that are built in, and the hash of what they were taught on.
func Load() (*Net, [32]byte, error) { return Open(bytesOfNet) }
