package answer

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"errors"
	"io"
	"maps"
	"math"
	"slices"

	"duskdawn/locales/linear"
)

// The written form of a tagger: a magic word, and the rest deflated (RFC 1951): the hash of what it was taught on; how many
// inputs it knows, and the gap from each to the next as two bytes, 65,535 for "and on"; what stands for each, as whole numbers of
// steps, a byte each; then, of each ear, the weights and biases of each layer, of tokens and of the text: the size of a step as float32, and the steps. All is
// little-endian.
const taggerMagic = "DDT2"

// embedStep is the step of the numbers that stand for tokens: coarser ones are heard worse, finer ones take more room.
const embedStep = 1.0 / 10

// Bytes writes the tagger down.
func (t *Tagger) Bytes(hash [32]byte) ([]byte, error) {
	inputs := slices.Sorted(maps.Keys(t.Rows))
	raw := append([]byte(nil), hash[:]...)
	raw = binary.LittleEndian.AppendUint32(raw, uint32(len(inputs)))
	last := uint32(0)
	for _, id := range inputs {
		gap := id - last
		for ; gap >= math.MaxUint16; gap -= math.MaxUint16 {
			raw = binary.LittleEndian.AppendUint16(raw, math.MaxUint16)
		}
		raw = binary.LittleEndian.AppendUint16(raw, uint16(gap))
		last = id
	}
	for _, id := range inputs {
		row := t.Rows[id]
		raw = inSteps(raw, t.Embed[row*TagDims:(row+1)*TagDims], embedStep)
	}
	for _, weights := range t.weights() {
		step := stepOf(weights)
		raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(step))
		raw = inSteps(raw, weights, step)
	}
	out := bytes.NewBufferString(taggerMagic)
	deflated, err := flate.NewWriter(out, flate.BestCompression)
	if err != nil {
		return nil, err
	}
	_, err = deflated.Write(raw)
	err = errors.Join(err, deflated.Close())
	return out.Bytes(), err
}

// weights are all but those that stand for tokens.
func (t *Tagger) weights() (all [][]float32) {
	for i := range t.Ears {
		e := &t.Ears[i]
		for l := range e.Layers {
			all = append(all, e.Layers[l].Weights, e.Layers[l].Bias)
		}
		all = append(all, e.Token.Weights, e.Text.Weights, e.Text.Bias)
	}
	return all
}

// stepsInSize is how many steps there are in the root mean square of weights: finer ones take more room.
const stepsInSize = 4

// stepOf is the step in which weights are written.
func stepOf(weights []float32) float32 {
	var squares float64
	for _, w := range weights {
		squares += float64(float64(w) * float64(w))
	}
	return float32(math.Sqrt(squares/float64(max(len(weights), 1))) / stepsInSize)
}

// inSteps adds weights as whole numbers of steps.
func inSteps(dst []byte, weights []float32, step float32) []byte {
	for _, w := range weights {
		n := 0.0
		if step > 0 {
			n = math.RoundToEven(float64(w / step))
		}
		dst = append(dst, byte(int8(min(max(n, -math.MaxInt8), math.MaxInt8))))
	}
	return dst
}

// ofSteps reads weights that are written so.
func ofSteps(src []byte, weights []float32, step float32) {
	for i := range weights {
		weights[i] = float32(int8(src[i])) * step
	}
}

// OpenTagger reads a written tagger, and gives the hash of what it was taught on.
func OpenTagger(buf []byte) (t *Tagger, hash [32]byte, err error) {
	rest, ok := bytes.CutPrefix(buf, []byte(taggerMagic))
	if !ok {
		return nil, hash, linear.ErrForm
	}
	raw, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(rest)), 16<<20))
	if err != nil || len(raw) < len(hash)+4 {
		return nil, hash, linear.ErrForm
	}
	raw = raw[copy(hash[:], raw):]
	inputs := make([]uint32, binary.LittleEndian.Uint32(raw)%(linear.Dims+1))
	raw = raw[4:]
	id := uint32(0)
	for i := range inputs {
		for gap := uint16(math.MaxUint16); gap == math.MaxUint16; raw = raw[2:] {
			if len(raw) < 2 || id >= linear.Dims {
				return nil, hash, linear.ErrForm
			}
			gap = binary.LittleEndian.Uint16(raw)
			id += uint32(gap)
		}
		inputs[i] = id
	}
	t = NewTagger(inputs)
	if len(raw) < len(t.Embed) {
		return nil, hash, linear.ErrForm
	}
	ofSteps(raw, t.Embed, embedStep)
	raw = raw[len(t.Embed):]
	for _, weights := range t.weights() {
		if len(raw) < 4+len(weights) {
			return nil, hash, linear.ErrForm
		}
		ofSteps(raw[4:], weights, math.Float32frombits(binary.LittleEndian.Uint32(raw)))
		raw = raw[4+len(weights):]
	}
	return t, hash, nil
}
