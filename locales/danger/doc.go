// Package danger hears dangers in a text with a linear net.
//
// What the net hears (input.go) are words, neighbours, pairs further apart, runs of letters, words behind a negation,
// and hedges: a question, a condition, somebody else, a film or an animal, long past, a negation (cue.*.toml), by
// themselves and with every word beside them. Each input has a weight for each danger, and for each way of being
// none: what looks like a danger and is none now, an answer about each matter, and all the rest. The shares of all of them make 1.
//
// A second, smaller net (way.go) hears what each question is answered with, and a third (figure.go) which question each
// number answers: to doubt what the grammar alone reads, and to read on where the grammar stops. A fourth (verdict.go) judges every
// answer that any of them proposes.
//
// The weights (net.bin, ways.bin, figures.bin, verdicts.bin) are taught by package school on the labelled sentences of locales/testdata/sentences/work, the
// same bytes on every machine: go generate ./locales/... . Whoever changes the sentences, the cue words, the grammar, input.go
// or school runs it; a test of school says so. What a text is taken for is decided in package locales, with the grammar.
package danger

import _ "embed"

//go:generate go run ./school/teach

//go:embed net.bin
var bytesOfNet []byte

// Load reads the weights that are built in, and the hash of what they were taught on.
func Load() (*Net, [32]byte, error) {
	n, hash, err := Open(bytesOfNet)
	if err == nil {
		n, err = loadBeside(n, hash)
	}
	return n, hash, err
}
