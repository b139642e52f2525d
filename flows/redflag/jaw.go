package redflag

import (
	"slices"
	"strings"
)

// ofTheJaw are the flags, by the first word of their ids, after whose release a
// jaw that was on its way rests: pain, jaw, bite, tooth, swelling, and what may
// have hurt one of them. Any other leaves the way as it was: signs of too little
// treatment must not slow it.
var ofTheJaw = [...]string{"pain", "sore", "jaw", "bite", "tooth", "swelling", "numb", "accident"}

// OfTheJaw reports whether a rest follows the release of the row's flag.
func (r *Row) OfTheJaw() bool {
	first, _, _ := strings.Cut(r.ID, ".")
	return slices.Contains(ofTheJaw[:], first)
}
