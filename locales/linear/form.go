package linear

import (
	"bufio"
	"bytes"
	"compress/flate"
	"encoding/binary"
	"errors"
	"io"
	"math"
)

// Width is how many outputs a net may have.
const Width = 64

// Bars are shares against which whoever hears with a net measures what it says.
type Bars [3]float32

// Form is a net as it is written down.
type Form struct {
	Hash  [32]byte // of what it was trained on
	Bias  [Width]float32
	Bars  Bars
	Scale Scale
	Rows  []Row // in the order of their inputs
}

// Row is what one input says.
type Row struct {
	Input   uint32
	Weights [Width]float32 // those below the least of the scale are not written down
}

// Scale is how weights are written: as one of 16 sizes, the least and on, each by a factor more than the one before, and a
// sign. An output and its weight fit in 12 bits.
type Scale struct{ Least, Growth float32 }

// The scales of the net that hears words, and of the one that judges answers: rounding weights so costs nothing that could be
// measured.
var (
	OfWords  = Scale{0.66, 1.22}
	OfAnswer = Scale{0.1, 1.4}
)

const levels = 16

// sizes are the weights of the levels, in 1,024ths: whole numbers have no order in which they must be summed.
func (s Scale) sizes() (all [2 * levels]int32) {
	size := float64(s.Least)
	for i := range levels {
		all[i] = int32(math.RoundToEven(size * Unit))
		all[levels+i] = -all[i]
		size = float64(size * float64(s.Growth))
	}
	return all
}

// Unit is what a weight of 1 is.
const Unit = 1024

// code is an output and a weight: six bits each.
type code uint16

// encode finds the level that is nearest to a weight; false where it is too small to be written.
func (s Scale) encode(sizes *[2 * levels]int32, output int, w float32) (code, bool) {
	size := int32(math.RoundToEven(float64(max(w, -w)) * Unit))
	if max(w, -w) < s.Least {
		return 0, false
	}
	best := 0
	for i := range levels {
		if abs(sizes[i]-size) < abs(sizes[best]-size) {
			best = i
		}
	}
	if w < 0 {
		best += levels
	}
	return code(output<<6 | best), true
}

func abs[T int32 | float32](x T) T { return max(x, -x) }

// The written form: a magic word, and the rest deflated (RFC 1951): the hash; biases, bars and scale as float32; how many rows
// and how many weights there are; for each row the gap to the input before it in as many bytes as it takes, seven bits each; how many
// weights each has, a byte; then for each weight how far its output is behind that of the one before it in its row, and its level, a
// byte each: apart, and as gaps, they are written shorter. All is little-endian.
const magic = "DDN6"

// ErrForm says that what was read is no written form.
var ErrForm = errors.New("the weights of the net are damaged")

// head stands before the rows.
type head struct {
	Hash          [32]byte
	Bias          [Width]float32
	Bars          Bars
	Scale         Scale
	Rows, Weights uint32
}

// Bytes writes the form down.
func (f *Form) Bytes() ([]byte, error) {
	var gaps, counts, outputs, sizes []byte
	levels := f.Scale.sizes()
	last := uint32(0)
	for i := range f.Rows {
		r := &f.Rows[i]
		gaps = binary.AppendUvarint(gaps, uint64(r.Input-last))
		last = r.Input
		many, before := byte(0), 0
		for o, w := range r.Weights {
			if c, ok := f.Scale.encode(&levels, o, w); ok {
				outputs, sizes, many = append(outputs, byte(o-before)), append(sizes, byte(c&0x3F)), many+1
				before = o
			}
		}
		counts = append(counts, many)
	}
	out := bytes.NewBufferString(magic)
	deflated, err := flate.NewWriter(out, flate.BestCompression)
	if err != nil {
		return nil, err
	}
	err = binary.Write(deflated, binary.LittleEndian, head{f.Hash, f.Bias, f.Bars, f.Scale, uint32(len(counts)), uint32(len(sizes))})
	for _, part := range [][]byte{gaps, counts, outputs, sizes} {
		if err == nil {
			_, err = deflated.Write(part)
		}
	}
	err = errors.Join(err, deflated.Close())
	return out.Bytes(), err
}

// Open reads a written form, and gives the hash of what it was trained on.
func Open(buf []byte) (*Net, [32]byte, error) {
	rest, ok := bytes.CutPrefix(buf, []byte(magic))
	if !ok {
		return nil, [32]byte{}, ErrForm
	}
	inflated := bufio.NewReader(flate.NewReader(bytes.NewReader(rest)))
	var h head
	if binary.Read(inflated, binary.LittleEndian, &h) != nil || h.Rows > Dims || int(h.Weights) > int(h.Rows)*Width {
		return nil, h.Hash, ErrForm
	}
	n := &Net{Bars: h.Bars, start: make([]uint32, Dims), count: make([]uint8, Dims), bias: h.Bias, sizes: h.Scale.sizes()}
	for i := range n.start {
		n.start[i] = unknown
	}
	inputs := make([]uint64, h.Rows)
	id := uint64(0)
	for i := range inputs {
		gap, err := binary.ReadUvarint(inflated)
		if id += gap; err != nil || gap >= Dims || id >= Dims {
			return nil, h.Hash, ErrForm
		}
		inputs[i] = id
	}
	all := make([]byte, h.Rows+2*h.Weights+1)
	if k, err := io.ReadFull(inflated, all); err != io.ErrUnexpectedEOF || k != len(all)-1 {
		return nil, h.Hash, ErrForm
	}
	counts, outputs, sizes := all[:h.Rows], all[h.Rows:h.Rows+h.Weights], all[h.Rows+h.Weights:len(all)-1]
	at := uint32(0)
	n.weights = make([]code, h.Weights)
	for i, many := range counts {
		if int(many) > Width || h.Weights-at < uint32(many) {
			return nil, h.Hash, ErrForm
		}
		n.start[inputs[i]], n.count[inputs[i]] = at, many
		output := 0
		for range many {
			if output += int(outputs[at]); output >= Width || sizes[at] >= 2*levels {
				return nil, h.Hash, ErrForm
			}
			n.weights[at] = code(output)<<6 | code(sizes[at])
			at++
		}
	}
	if at != h.Weights {
		return nil, h.Hash, ErrForm
	}
	return n, h.Hash, nil
}
