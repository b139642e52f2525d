package danger

import (
	"encoding/binary"
	"errors"
	"math"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// Outputs is how many outputs the net has: a danger each in the order of their numbers, then Seeming for what looks
// like a danger and is none now, Nothing for what is neither that nor an answer, and an output for each matter that an
// answer may be about. An output is written with six bits.
const (
	Seeming = int(reading.NumDangers) + iota
	Nothing
	firstMatter
	Outputs = firstMatter + int(NumMatters)
)

// Matter is what an answer is about: questions that are answered in one breath are one matter.
type Matter uint8

// The matters.
const (
	MatterWorn Matter = iota
	MatterReason
	MatterSnoring
	MatterPain
	MatterGone
	MatterGuide
	MatterBite
	MatterSleepiness
	MatterDriving
	MatterPauses
	MatterHeadache
	MatterSetting
	NumMatters
)

// Output is the net's output for answers about a matter.
func (m Matter) Output() int { return firstMatter + int(m) }

var matters = [chart.NumFields]Matter{
	chart.NoField: NumMatters, chart.Worn: MatterWorn, chart.WornMinutes: MatterWorn, chart.NotWorn: MatterReason,
	chart.Snoring: MatterSnoring, chart.Reporter: MatterSnoring, chart.Pain: MatterPain, chart.Woken: MatterPain,
	chart.Where: MatterPain, chart.Gone: MatterGone, chart.Guide: MatterGuide, chart.GuideMinutes: MatterGuide,
	chart.Bite: MatterBite, chart.BiteMinutes: MatterBite, chart.Nose: NumMatters, chart.Sleepiness: MatterSleepiness,
	chart.Driving: MatterDriving, chart.Pauses: MatterPauses, chart.Headache: MatterHeadache,
	chart.SettingLeft: MatterSetting, chart.SettingRight: MatterSetting, chart.Wrong: NumMatters,
}

// MatterOf is the matter of a question; NumMatters for those of which no sentence speaks.
func MatterOf(f chart.Field) Matter {
	if f < chart.NumFields {
		return matters[f]
	}
	return NumMatters
}

// Form is a net as it is written down.
type Form struct {
	Hash [32]byte // of what it was trained on
	Bias [Outputs]float32
	Bars Bars
	Rows []Row // in the order of their inputs
}

// Row is what one input says.
type Row struct {
	Input   uint32
	Weights [Outputs]float32 // those below LeastWeight are not written down
}

// A weight is written as one of 32 sizes, each 11 % more than the one before, and a sign: rounding them so costs
// nothing that could be measured, and an output and its weight fit in 12 bits.
const (
	LeastWeight = 0.24
	growth      = 1.11
	levels      = 32
)

// sizes are the weights of the levels, in 1,024ths: whole numbers have no order in which they must be summed.
var sizes = func() (all [2 * levels]int32) {
	size := float64(LeastWeight)
	for i := range levels {
		all[i] = int32(math.RoundToEven(size * unit))
		all[levels+i] = -all[i]
		size = float64(size * growth)
	}
	return all
}()

// unit is what a weight of 1 is.
const unit = 1024

// code is an output and a weight: six bits each.
type code uint16

// encode finds the level that is nearest to a weight; false where it is too small to be written.
func encode(output int, w float32) (code, bool) {
	size := int32(math.RoundToEven(float64(max(w, -w)) * unit))
	if max(w, -w) < LeastWeight {
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

// The written form: a magic word; the hash; biases and bars as float32; then for each row the gap to the input before
// it, how many weights it has, and these, two in three bytes and the odd one in two. Gaps are varints, all else is
// little-endian.
const magic = "DDN3"

var errForm = errors.New("the weights of the net are damaged")

// Bytes writes the form down.
func (f *Form) Bytes() ([]byte, error) {
	out := append([]byte(magic), f.Hash[:]...)
	for _, v := range []any{f.Bias, f.Bars} {
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
		var codes []code
		for o, w := range r.Weights {
			if c, ok := encode(o, w); ok {
				codes = append(codes, c)
			}
		}
		out = append(out, byte(len(codes)))
		for i, c := range codes {
			if i%2 == 0 {
				out = append(out, byte(c), byte(c>>8))
			} else {
				out[len(out)-1] |= byte(c << 4)
				out = append(out, byte(c>>4))
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
	n := &Net{cues: cues, start: make([]uint32, Dims), count: make([]uint8, Dims)}
	for i := range n.start {
		n.start[i] = unknown
	}
	for _, v := range []any{&n.bias, &n.bars} {
		used, err := binary.Decode(buf, binary.LittleEndian, v)
		if err != nil {
			return nil, hash, errForm
		}
		buf = buf[used:]
	}
	n.weights = make([]code, 0, len(buf)*2/3)
	for id := uint64(0); len(buf) > 0; {
		gap, k := binary.Uvarint(buf)
		if k <= 0 || len(buf) == k {
			return nil, hash, errForm
		}
		id += gap
		many := int(buf[k])
		buf = buf[k+1:]
		size := (3*many + 1) / 2
		if gap >= Dims || id >= Dims || many > Outputs || len(buf) < size {
			return nil, hash, errForm
		}
		n.start[id], n.count[id] = uint32(len(n.weights)), uint8(many)
		for i := range many {
			at := i / 2 * 3
			c := code(buf[at]) | code(buf[at+1]&0xF)<<8
			if i%2 == 1 {
				c = code(buf[at+1]>>4) | code(buf[at+2])<<4
			}
			if int(c>>6) >= Outputs {
				return nil, hash, errForm
			}
			n.weights = append(n.weights, c)
		}
		buf = buf[size:]
	}
	return n, hash, nil
}

// unknown stands where the net does not know an input.
const unknown = math.MaxUint32
