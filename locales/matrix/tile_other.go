//go:build !amd64

package matrix

// tiles is whether the machine adds up tiles.
const tiles = false

func tileOne(out, a *float32, step int, b *float32, wide, many int) { panic("no tiles") }

func tileTwo(out0, out1, a0, a1 *float32, step int, b *float32, wide, many int) { panic("no tiles") }

func tilePart(out, a *float32, step int, b *float32, wide, many int, mask *[8]int32) {
	panic("no tiles")
}
