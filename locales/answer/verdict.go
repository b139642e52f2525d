package answer

import (
	"duskdawn/locales/fold"
	"duskdawn/locales/linear"
)

// A linear net (verdicts.bin) judges what a text may answer: how likely an answer that some reader proposes is what a careful
// nurse would write down. What it hears of an answer is said by whoever asks (package locales): who proposed it, how likely the
// tagger takes it to be, what stands around it.

// cueVerdict is the kind of what is heard of an answer.
const cueVerdict uint8 = 112

// The outputs of the net of verdicts.
const (
	Refused = iota
	Written
	NumVerdicts
)

// Cue numbers one thing that the net of verdicts hears: of a kind, and with some values.
func Cue(kind byte, values ...byte) uint32 {
	return linear.Settle(linear.Mix((linear.Seed(cueVerdict)^uint32(kind))*linear.Prime, values))
}

// Verdict is how likely an answer is to be written down, of which these are the numbers of what is heard, each once.
func (n *Net) Verdict(cues []uint32) float32 {
	var sums linear.Sums
	for _, id := range cues {
		n.verdicts.Add(&sums, id)
	}
	out := n.verdicts.Outputs(&sums)
	linear.Softmax(out[:NumVerdicts])
	return out[Written]
}

// mostBetween is how many words between two figures are heard, at most.
const mostBetween = 8

// Between gives what stands between two figures of a folded text and just behind the later one, as numbers of words: none
// where they are far apart.
func Between(text []byte, one, two *Figure) (between []uint32) {
	if one.from > two.from {
		one, two = two, one
	}
	if two.from-one.to > mostBetween {
		return nil
	}
	ws := fold.Words(text, nil)
	for i := one.to; i < min(two.to+1, len(ws)); i++ {
		if i < two.from || i >= two.to {
			between = append(between, linear.Mix(linear.Basis, ws[i].Of(text)))
		}
	}
	return between
}

// WordsIn gives the words of a stretch of a folded text, at most so many, as numbers of words.
func WordsIn(text []byte, from, to, most int) (words []uint32) {
	part := text[max(from, 0):min(to, len(text))]
	for i, w := range fold.Words(part, nil) {
		if i < most {
			words = append(words, linear.Mix(linear.Basis, w.Of(part)))
		}
	}
	return words
}

// Before reports whether a figure stands before another.
func (g *Figure) Before(other *Figure) bool { return g.from < other.from }
