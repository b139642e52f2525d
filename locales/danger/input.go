package danger

import (
	"bytes"
	"cmp"
	"slices"

	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
	"duskdawn/locales/linear"
)

// kind is a way in which words make an input.
type kind uint8

const (
	kindWord   kind                          = iota // a word
	kindPair                                        // a word and the next
	kindSkip                                        // a word and the next but one
	kindSkip2                                       // a word and the third from it
	kindGram                                        // letters within a word
	kindNot                                         // a word behind a negation
	kindFirst                                       // the first word
	kindLast                                        // the last word
	kindLength                                      // how many words
	kindCue                                         // a cue stands in the text: one kind a cue, from here on
	kindCued   = kindCue + reading.NumHedges        // a word, in a text with a cue: one kind a cue, from here on
)

// input is one thing that the net hears, and where it stands in the folded text.
type input struct {
	id   uint32
	kind kind
	a, b fold.Span // the words it is made of; b is empty for most
}

// reach is how many words a negation reaches over.
const reach = 4

// maxWords is how many words are heard at once. A longer text is heard in pieces of pieceWords, each begun pieceStep words behind
// the last, so that no filler around what is said dilutes it.
const (
	maxWords   = 64
	pieceWords = 12
	pieceStep  = 4
)

// cues finds the cues in a piece of a text.
func (c cueWords) cues(b []byte, ws []fold.Span) (found reading.Hedges) {
	for i, w := range ws {
		has := c[string(w.Of(b))]
		if i > 0 {
			has &^= reading.HedgeQuestion // such a word asks where it begins a text
		}
		found |= has
	}
	if len(ws) > 0 && bytes.IndexByte(b[ws[0].From:], '?') >= 0 {
		found |= reading.HedgeQuestion
	}
	return found
}

// inputs lists what the net hears in a piece of a text, each once, in the order of their numbers.
func (c cueWords) inputs(b []byte, ws []fold.Span, cues reading.Hedges, dst []input) []input {
	add := func(h uint32, k kind, x, y fold.Span) { dst = append(dst, input{linear.Settle(h), k, x, y}) }
	if len(ws) == 0 {
		return dst
	}
	first, last := ws[0], ws[len(ws)-1]
	add(linear.Mix(linear.Seed(kindFirst), first.Of(b)), kindFirst, first, fold.Span{})
	add(linear.Mix(linear.Seed(kindLast), last.Of(b)), kindLast, last, fold.Span{})
	add(linear.Mix(linear.Seed(kindLength), []byte{length(len(ws))}), kindLength, fold.Span{}, fold.Span{})
	for i := range kind(reading.NumHedges) {
		if cues&(1<<i) != 0 {
			add(linear.Seed(kindCue+i), kindCue+i, fold.Span{}, fold.Span{})
		}
	}
	not := 0
	for i, w := range ws {
		word := w.Of(b)
		add(linear.Mix(linear.Seed(kindWord), word), kindWord, w, fold.Span{})
		for j := range kind(reading.NumHedges) {
			if cues&(1<<j) != 0 {
				add(linear.Mix(linear.Seed(kindCued+j), word), kindCued+j, w, fold.Span{})
			}
		}
		if not > 0 {
			add(linear.Mix(linear.Seed(kindNot), word), kindNot, w, fold.Span{})
			not--
		}
		if c[string(word)]&reading.HedgeNot != 0 {
			not = reach
		}
		for far := 1; far <= 3 && i+far < len(ws); far++ {
			k, next := kindPair+kind(far-1), ws[i+far]
			add(linear.Mix(linear.Mix(linear.Seed(k), word)^' ', next.Of(b)), k, w, next)
		}
		dst = grams(b, w, dst)
	}
	slices.SortFunc(dst, func(x, y input) int { return cmp.Compare(x.id, y.id) })
	return slices.CompactFunc(dst, func(x, y input) bool { return x.id == y.id })
}

// grams adds every run of three to five letters of a word that is marked at both ends.
func grams(b []byte, w fold.Span, dst []input) []input {
	const least, most = 3, 5
	at := func(i int) byte { // the word with a mark before and behind it
		switch {
		case i == 0:
			return '^'
		case i == int(w.To-w.From)+1:
			return '$'
		}
		return b[int(w.From)+i-1]
	}
	for i, n := 0, int(w.To-w.From)+2; i+least <= n; i++ {
		h := linear.Seed(kindGram)
		for j := i; j < min(i+most, n); j++ {
			h = (h ^ uint32(at(j))) * linear.Prime
			if j-i+1 >= least {
				from, to := uint16(max(i-1, 0)), uint16(min(j, n-2))
				dst = append(dst, input{linear.Settle(h), kindGram, fold.Span{From: w.From + from, To: w.From + to}, fold.Span{}})
			}
		}
	}
	return dst
}

// length sorts texts by how many words they have.
func length(n int) byte {
	switch {
	case n <= 3:
		return 0
	case n <= 6:
		return 1
	case n <= 12:
		return 2
	case n <= 24:
		return 3
	}
	return 4
}

// Inputs lists the numbers of what the net hears in a folded text of any length, each once, in ascending order.
func Inputs(text []byte) ([]uint32, error) {
	cues, err := readCues()
	if err != nil {
		return nil, err
	}
	ws := fold.Words(text, nil)
	ins := cues.inputs(text, ws, cues.cues(text, ws), nil)
	ids := make([]uint32, len(ins))
	for i, in := range ins {
		ids[i] = in.id
	}
	return ids, nil
}
