package danger

import (
	"cmp"
	"slices"

	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
	"duskdawn/locales/linear"
)

// Reason is one thing in a text that speaks for a danger, or against it.
type Reason struct {
	Said   string  // the piece of the text; empty for its length and its hedges
	How    string  // "word", "words", "letters", "behind a not", a hedge
	Weight float32 // what it adds to the danger's sum; below 0 it speaks against
}

// Why lists what carries a danger in a folded text, the weightiest first, at most so many. Of a long text it looks at
// the piece that says it most.
func (n *Net) Why(text []byte, d reading.Danger, most int) []Reason {
	var best []Reason
	top := float32(-1)
	ws := fold.Words(text, nil)
	for from, to := range pieces(len(ws)) {
		ins, _ := n.piece(text, ws, from, to, nil)
		out := n.sum(ins)
		linear.Softmax(out[:])
		if out[d] > top {
			top, best = out[d], n.reasons(text, ins, d)
		}
	}
	return best[:min(most, len(best))]
}

// reasons gives each input its part in the sum of a danger. Letters of one word, and a word beside its own hedges, say
// the same thing in several ways: they are one reason.
func (n *Net) reasons(text []byte, ins []input, d reading.Danger) []Reason {
	known := 0
	sums := map[string]*Reason{}
	var order []string
	for _, in := range ins {
		weights, ok := n.weights.Weights(in.id)
		if !ok {
			continue
		}
		known++
		for output, units := range weights {
			if output != int(d) {
				continue
			}
			said, how := in.say(text)
			key := how + "\x00" + said
			if sums[key] == nil {
				sums[key] = &Reason{Said: said, How: how}
				order = append(order, key)
			}
			sums[key].Weight += float32(units)
		}
	}
	part := linear.Part(known)
	out := make([]Reason, 0, len(order))
	for _, key := range order {
		r := *sums[key]
		r.Weight *= part
		out = append(out, r)
	}
	slices.SortStableFunc(out, func(a, b Reason) int { return cmp.Compare(max(b.Weight, -b.Weight), max(a.Weight, -a.Weight)) })
	return out
}

// say puts an input into words.
func (in *input) say(text []byte) (said, how string) {
	one, both := string(in.a.Of(text)), ""
	if in.b.To > 0 {
		both = one + " … " + string(in.b.Of(text))
	}
	switch k := in.kind; {
	case k == kindPair:
		return one + " " + string(in.b.Of(text)), "words"
	case k == kindSkip, k == kindSkip2:
		return both, "words"
	case k == kindGram:
		return one, "letters"
	case k == kindNot:
		return one, "behind a not"
	case k == kindFirst, k == kindLast:
		return one, "at an end"
	case k == kindLength:
		return "", "length"
	case k >= kindCued:
		return one, "beside a hedge: " + (reading.Hedges(1) << (k - kindCued)).List()[0]
	case k >= kindCue:
		return "", "hedge: " + (reading.Hedges(1) << (k - kindCue)).List()[0]
	}
	return one, "word"
}
