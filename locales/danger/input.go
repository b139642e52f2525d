package danger

import (
	"bytes"
	"cmp"
	"slices"

	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
)

// Dims is how many inputs the net tells apart; what is said is hashed to them.
const Dims = 1 << 18

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
	a, b span // the words it is made of; b is empty for most
}

// span is a piece of a folded text.
type span struct{ from, to uint16 }

// reach is how many words a negation reaches over.
const reach = 4

// maxWords is how many words are heard at once. A longer text is heard in pieces of pieceWords, each begun pieceStep words behind
// the last, so that no filler around what is said dilutes it.
const (
	maxWords   = 64
	pieceWords = 12
	pieceStep  = 4
)

// words cuts a folded text into words of letters and digits. It reads what a span can name, 65,535 bytes.
func words(b []byte, dst []span) []span {
	b = b[:min(len(b), 1<<16-1)]
	for i := 0; i < len(b); {
		if !fold.IsLetter(b[i]) && !fold.IsDigit(b[i]) {
			i++
			continue
		}
		j := i + 1
		for j < len(b) && (fold.IsLetter(b[j]) || fold.IsDigit(b[j])) {
			j++
		}
		dst = append(dst, span{uint16(i), uint16(j)})
		i = j
	}
	return dst
}

// cues finds the cues in a piece of a text.
func (c cueWords) cues(b []byte, ws []span) (found reading.Hedges) {
	for i, w := range ws {
		has := c[string(b[w.from:w.to])]
		if i > 0 {
			has &^= reading.HedgeQuestion // such a word asks where it begins a text
		}
		found |= has
	}
	if len(ws) > 0 && bytes.IndexByte(b[ws[0].from:], '?') >= 0 {
		found |= reading.HedgeQuestion
	}
	return found
}

// inputs lists what the net hears in a piece of a text, each once, in the order of their numbers.
func (c cueWords) inputs(b []byte, ws []span, cues reading.Hedges, dst []input) []input {
	add := func(h uint32, k kind, x, y span) { dst = append(dst, input{settle(h), k, x, y}) }
	if len(ws) == 0 {
		return dst
	}
	first, last := ws[0], ws[len(ws)-1]
	add(mix(seed(kindFirst), b[first.from:first.to]), kindFirst, first, span{})
	add(mix(seed(kindLast), b[last.from:last.to]), kindLast, last, span{})
	add(mix(seed(kindLength), []byte{length(len(ws))}), kindLength, span{}, span{})
	for i := range kind(reading.NumHedges) {
		if cues&(1<<i) != 0 {
			add(seed(kindCue+i), kindCue+i, span{}, span{})
		}
	}
	not := 0
	for i, w := range ws {
		word := b[w.from:w.to]
		add(mix(seed(kindWord), word), kindWord, w, span{})
		for j := range kind(reading.NumHedges) {
			if cues&(1<<j) != 0 {
				add(mix(seed(kindCued+j), word), kindCued+j, w, span{})
			}
		}
		if not > 0 {
			add(mix(seed(kindNot), word), kindNot, w, span{})
			not--
		}
		if c[string(word)]&reading.HedgeNot != 0 {
			not = reach
		}
		for far := 1; far <= 3 && i+far < len(ws); far++ {
			k, next := kindPair+kind(far-1), ws[i+far]
			add(mix(mix(seed(k), word)^' ', b[next.from:next.to]), k, w, next)
		}
		dst = grams(b, w, dst)
	}
	slices.SortFunc(dst, func(x, y input) int { return cmp.Compare(x.id, y.id) })
	return slices.CompactFunc(dst, func(x, y input) bool { return x.id == y.id })
}

// grams adds every run of three to five letters of a word that is marked at both ends.
func grams(b []byte, w span, dst []input) []input {
	const least, most = 3, 5
	at := func(i int) byte { // the word with a mark before and behind it
		switch {
		case i == 0:
			return '^'
		case i == int(w.to-w.from)+1:
			return '$'
		}
		return b[int(w.from)+i-1]
	}
	for i, n := 0, int(w.to-w.from)+2; i+least <= n; i++ {
		h := seed(kindGram)
		for j := i; j < min(i+most, n); j++ {
			h = (h ^ uint32(at(j))) * prime
			if j-i+1 >= least {
				from, to := uint16(max(i-1, 0)), uint16(min(j, n-2))
				dst = append(dst, input{settle(h), kindGram, span{w.from + from, w.from + to}, span{}})
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

// The hash is FNV-1a (draft-eastlake-fnv), its upper bits folded in.
const (
	basis = 2_166_136_261
	prime = 16_777_619
)

func seed(k kind) uint32 {
	h := uint32(basis)
	return (h ^ uint32(k)) * prime
}

func mix(h uint32, b []byte) uint32 {
	for _, c := range b {
		h = (h ^ uint32(c)) * prime
	}
	return h
}

func settle(h uint32) uint32 { return (h ^ h>>15 ^ h>>24) % Dims }
