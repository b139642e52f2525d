// Package danger hears dangers in a text with a linear net, and what the text answers with a small convolutional one.
//
// What the net hears (input.go) are words, neighbours, pairs further apart, runs of letters, words behind a negation,
// and hedges: a question, a condition, somebody else, a film or an animal, long past, a negation (cue.*.toml), by
// themselves and with every word beside them. Each input has a weight for each danger, and for each way of being
// none: what looks like a danger and is none now, an answer about each matter, and all the rest. The shares of all of them make 1.
//
// The tagger (tagger.go) hears in which way each question is answered (way.go), and which question each number answers
// (figure.go): to doubt what the grammar alone reads, and to read on where the grammar stops. A third net (verdict.go) judges
// every answer that the grammar or the tagger proposes.
//
// The weights (net.bin, tagger.bin, verdicts.bin) are taught by package school on the labelled sentences of
// locales/testdata/sentences/work, the same bytes on every machine of one kind: go generate ./locales/... . It takes minutes; a tagger that
// was taught is kept, so that only what changed is taught anew. Whoever changes the sentences, the cue words, the grammar, this
// package or school runs it; a test of school says so. What a text is taken for is decided in package locales, with the grammar.
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
