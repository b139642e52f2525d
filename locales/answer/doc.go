// Package answer hears what a text answers.
//
// A tagger, the mean of three small convolutional nets (tagger.go, ear.go), hears in which way each question is answered (way.go), and which question each
// number answers (figure.go): to doubt what the grammar alone reads, and to read on where the grammar stops. A linear net
// (verdict.go) judges every answer that the grammar or the tagger proposes.
//
// The weights (tagger.bin, verdicts.bin) are taught by package school on the labelled sentences of locales/testdata/sentences/work.
package answer

import (
	_ "embed"
	"errors"

	"duskdawn/locales/linear"
)

var (
	//go:embed tagger.bin
	bytesOfTagger []byte
	//go:embed verdicts.bin
	bytesOfVerdicts []byte
)

// Net hears answers. It never changes and may be used by any number of goroutines.
type Net struct {
	tagger   *Tagger
	verdicts *linear.Net
	numbers  numberWords
}

// New makes a net of a tagger and a net that judges.
func New(tagger *Tagger, verdicts *linear.Net) (*Net, error) {
	numbers, err := readNumbers()
	return &Net{tagger, verdicts, numbers}, err
}

// Load reads the weights that are built in, and the hash of what they were taught on.
func Load() (*Net, [32]byte, error) {
	tagger, hash, err := OpenTagger(bytesOfTagger)
	if err != nil {
		return nil, hash, err
	}
	verdicts, other, err := linear.Open(bytesOfVerdicts)
	switch {
	case err != nil:
		return nil, hash, err
	case other != hash:
		return nil, hash, errors.New("the tagger and the net of verdicts were not taught together")
	}
	n, err := New(tagger, verdicts)
	return n, hash, err
}
