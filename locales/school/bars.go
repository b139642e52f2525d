package school

import (
	"slices"

	"duskdawn/locales/danger"
	"duskdawn/locales/linear"
)

// What the bars mean: how many in ten thousand sentences that are harmless, or only seem dangerous, stand above them, by
// writers that the net was not taught on. At least a sixth of these sentences were written to be as near to a danger as
// can be (ten.tsv, eleven.tsv): of the others fewer stand above them.
const (
	sureInTenThousand  = 42
	heardInTenThousand = 680
)

// bars sets the bars from what was heard of unseen writers.
func bars(heard []Unseen) (b linear.Bars) {
	b[danger.BarSure] = bar(heard, sureInTenThousand, func(h *danger.Hearing) float32 { return h.Class('E') + h.Class('S') })
	b[danger.BarSureE] = bar(heard, sureInTenThousand, func(h *danger.Hearing) float32 { return h.Class('E') })
	b[danger.BarUnsure] = bar(heard, heardInTenThousand, (*danger.Hearing).Any)
	return b
}

// bar is the share that so many in ten thousand of the harmless stand above.
func bar(heard []Unseen, inTenThousand int, share func(*danger.Hearing) float32) float32 {
	var shares []float32
	for i := range heard {
		if c := heard[i].Sentence.Class; c == 'Q' || c == 'H' {
			shares = append(shares, share(&heard[i].Hearing))
		}
	}
	if len(shares) == 0 {
		return 1
	}
	slices.Sort(shares)
	return shares[max(len(shares)-1-len(shares)*inTenThousand/10_000, 0)]
}
