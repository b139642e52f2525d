package linear

// Dims is how many inputs a net tells apart; what is heard is hashed to them.
const Dims = 1 << 18

// The hash is FNV-1a (draft-eastlake-fnv), its upper bits folded in.
const (
	Basis = 2_166_136_261
	Prime = 16_777_619
)

// Seed begins the hash of something of a kind. The kinds of all that is heard are apart: those of package danger from 0, of
// package answer from 96.
func Seed[K ~uint8](kind K) uint32 { return (Basis ^ uint32(kind)) * Prime }

// Mix goes on with a hash.
func Mix(h uint32, b []byte) uint32 {
	for _, c := range b {
		h = (h ^ uint32(c)) * Prime
	}
	return h
}

// Settle ends a hash: the number of the input.
func Settle(h uint32) uint32 { return (h ^ h>>15 ^ h>>24) % Dims }
