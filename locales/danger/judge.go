package danger

import "duskdawn/flows/reading"

// Another danger is named beside the greatest where it has this part of its share; one of class E, where it is not
// sure, has to have less.
const (
	near       = 0.25
	nearUrgent = 0.1
)

// Judge says which dangers a text says, surely or perhaps: what stands above the bars. What the grammar hears beside
// the net was tried and adds nothing: of texts in which the net hears too little, those with a phrase of the flag
// table are harmless nine times in ten, hedged or not, and of those in which it hears enough no more are dangerous
// than without. It names the dangers with it.
func (n *Net) Judge(h *Hearing, grammar reading.Dangers) (sure, perhaps reading.Dangers) {
	switch urgent := h.Class('E') + h.Class('S'); {
	case urgent > n.bars.Sure || h.Class('E') > n.bars.SureE:
		sure = h.named(near) | grammar&h.named(nearUrgent)
		perhaps = h.named(nearUrgent).Of('E')
	case h.Any() > n.bars.Unsure:
		perhaps = h.named(near) | h.named(nearUrgent).Of('E')
	}
	return sure, perhaps &^ sure
}

// named are the dangers with at least a part of the greatest share.
func (h *Hearing) named(part float32) (all reading.Dangers) {
	most := float32(0)
	for _, s := range h.Share {
		most = max(most, s)
	}
	for d, s := range h.Share {
		if s >= part*most {
			all |= reading.SetOf(reading.Danger(d))
		}
	}
	return all
}
