package danger

import (
	"encoding/binary"
	"errors"
	"math"

	"duskdawn/flows/reading"
)

// Outputs is how many outputs the net has: a danger each in the order of their numbers, then Seeming for what looks
// like a danger and is none now, and Nothing for all the rest.
const (
	Seeming = int(reading.NumDangers) + iota
	Nothing
	Outputs
)

// Form is a net as it is written down.
type Form struct {
	Hash  [32]byte // of what it was trained on
	Scale float32  // a weight of 1 is this
	Bias  [Outputs]float32
	Bars  Bars
	Rows  []Row // in the order of their inputs
}

// Row is what one input says.
type Row struct {
	Input   uint32
	Weights [Outputs]int8
}

// Inputs lists the numbers of what the net hears in a folded text of any length, each once, in ascending order.
func Inputs(text []byte) ([]uint32, error) {
	cues, err := readCues()
	if err != nil {
		return nil, err
	}
	ws := words(text, nil)
	ins := cues.inputs(text, ws, cues.cues(text, ws), nil)
	ids := make([]uint32, len(ins))
	for i, in := range ins {
		ids[i] = in.id
	}
	return ids, nil
}

// The written form: a magic word; the hash; scale, biases and bars as float32; then for each row the gap to the input
// before it, how many weights are not 0, and each of them as output and number. Gaps are varints, all else is
// little-endian.
const magic = "DDN1"

var errForm = errors.New("the weights of the net are damaged")

// Bytes writes the form down.
func (f *Form) Bytes() ([]byte, error) {
	out := append([]byte(magic), f.Hash[:]...)
	for _, v := range []any{f.Scale, f.Bias, f.Bars} {
		var err error
		if out, err = binary.Append(out, binary.LittleEndian, v); err != nil {
			return nil, err
		}
	}
	last := uint32(0)
	for i := range f.Rows {
		r := &f.Rows[i]
		out = binary.AppendUvarint(out, uint64(r.Input-last))
		last = r.Input
		at := len(out)
		out = append(out, 0)
		for o, n := range r.Weights {
			if n != 0 {
				out = append(out, byte(o), byte(n))
				out[at]++
			}
		}
	}
	return out, nil
}

// Open reads a written form, and gives the hash of what it was trained on.
func Open(buf []byte) (*Net, [32]byte, error) {
	var hash [32]byte
	if len(buf) < len(magic)+len(hash) || string(buf[:len(magic)]) != magic {
		return nil, hash, errForm
	}
	buf = buf[len(magic):]
	buf = buf[copy(hash[:], buf):]
	cues, err := readCues()
	if err != nil {
		return nil, hash, err
	}
	n := &Net{cues: cues, start: make([]uint32, dims), count: make([]uint8, dims)}
	for i := range n.start {
		n.start[i] = unknown
	}
	for _, v := range []any{&n.scale, &n.bias, &n.bars} {
		used, err := binary.Decode(buf, binary.LittleEndian, v)
		if err != nil {
			return nil, hash, errForm
		}
		buf = buf[used:]
	}
	n.weights = make([]weight, 0, len(buf)/2)
	for id := uint64(0); len(buf) > 0; {
		gap, k := binary.Uvarint(buf)
		if k <= 0 || len(buf) == k {
			return nil, hash, errForm
		}
		id += gap
		many := int(buf[k])
		buf = buf[k+1:]
		if gap >= dims || id >= dims || many > Outputs || len(buf) < 2*many {
			return nil, hash, errForm
		}
		n.start[id], n.count[id] = uint32(len(n.weights)), uint8(many)
		for i := range many {
			w := weight{buf[2*i], int8(buf[2*i+1])}
			if int(w.output) >= Outputs {
				return nil, hash, errForm
			}
			n.weights = append(n.weights, w)
		}
		buf = buf[2*many:]
	}
	return n, hash, nil
}

// unknown stands where the net does not know an input.
const unknown = math.MaxUint32
