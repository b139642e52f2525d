package danger

import (
	"bytes"

	"duskdawn/flows/reading"
)

// Another danger is named beside the greatest where it has this part of its share; one of class E, where it is not
// sure, has to have less.
const (
	near       = 0.25
	nearUrgent = 0.1
	leastShare = 0.05 // share below which none is named, however little the others have
)

// Judge says which dangers a text says, surely or perhaps: what stands above the bars, of each class the likeliest and
// those that the grammar names too. An emergency that is not twice as likely as what is of the same day is sure only
// where the grammar names one, too.
func (n *Net) Judge(h *Hearing, grammar reading.Dangers) (sure, perhaps reading.Dangers) {
	switch urgent := h.Class('E') + h.Class('S'); {
	case urgent > n.bar(BarSure) || h.Class('E') > n.bar(BarSureE):
		sure = h.named(near, grammar) | grammar&h.named(nearUrgent, grammar)
		perhaps = h.named(nearUrgent, grammar).Of('E')
		least := float32(2) / 3 * urgent
		if grammar.Of('E') != 0 {
			least = urgent / 2
		}
		if h.Class('E') < least && h.Class('E') <= n.bar(BarSureE) {
			sure, perhaps = sure&^sure.Of('E'), perhaps|sure.Of('E')
		}
	case h.Any() > n.bar(BarUnsure):
		perhaps = h.named(near, grammar) | h.named(nearUrgent, grammar).Of('E')
	}
	return sure, perhaps &^ sure
}

// named are the dangers with at least a part of the greatest share: of each class the one with the most, and those of
// the grammar.
func (h *Hearing) named(part float32, grammar reading.Dangers) (all reading.Dangers) {
	most := float32(0)
	for _, s := range h.Share {
		most = max(most, s)
	}
	var best [3]reading.Danger
	var share [3]float32
	for d, s := range h.Share {
		d := reading.Danger(d)
		if s < max(part*most, leastShare) {
			continue
		}
		if i := bytes.IndexByte([]byte("ESN"), d.Class()); s > share[i] {
			best[i], share[i] = d, s
		}
		all |= grammar & reading.SetOf(d)
	}
	for i := range best {
		if share[i] > 0 {
			all |= reading.SetOf(best[i])
		}
	}
	return all
}
