package matrix

import "golang.org/x/sys/cpu"

// tiles is whether the machine adds up tiles.
var tiles = cpu.X86.HasAVX

// tileOne adds to the tile of numbers at out the rows at b, wide bytes apart, each times its number at a, which are step bytes apart; many
// of them, at least one.
//
//go:noescape
func tileOne(out, a *float32, step int, b *float32, wide, many int)

// tileTwo does so for two rows of a at once.
//
//go:noescape
func tileTwo(out0, out1, a0, a1 *float32, step int, b *float32, wide, many int)

// tilePart does so for those of eight numbers whose mask is -1; the others are neither read nor written.
//
//go:noescape
func tilePart(out, a *float32, step int, b *float32, wide, many int, mask *[8]int32)
