package danger

import "duskdawn/flows/reading"

// near is how much of the greatest share another danger must have to be named with it.
const near = 0.25

// Judge says which dangers a text says, surely or perhaps, from what the net heard and what the grammar found said and
// denied. Sure is what the net hears above its bar, or what the grammar hears and the net agrees with. Perhaps is all
// else that either of them hears.
func (n *Net) Judge(h *Hearing, said, denied reading.Dangers) (sure, perhaps reading.Dangers) {
	urgent := h.Class('E') + h.Class('S')
	grammar := said.Of('E') | said.Of('S')
	switch {
	case urgent > n.bars.Sure:
		sure = h.named()
	case grammar != 0 && urgent > n.bars.Agree:
		sure = h.named() | grammar
	case h.Any() > n.bars.Unsure:
		perhaps = h.named()
	}
	return sure, perhaps &^ sure
}

// named are the dangers that the text says most.
func (h *Hearing) named() (all reading.Dangers) {
	most := float32(0)
	for _, s := range h.Share {
		most = max(most, s)
	}
	for d, s := range h.Share {
		if s >= near*most {
			all |= reading.SetOf(reading.Danger(d))
		}
	}
	return all
}
