package linear

import (
	"iter"
	"math"
)

// Net is the weights of the inputs. It never changes and may be used by any number of goroutines.
type Net struct {
	Bars Bars

	start   []uint32 // where an input's weights begin; unknown where the net does not know the input
	count   []uint8  // how many they are
	weights []code
	bias    [Width]float32
	sizes   [2 * levels]int32
}

// unknown stands where the net does not know an input.
const unknown = math.MaxUint32

// Sums are what inputs add up to: whole numbers have no order in which they must be summed.
type Sums struct {
	sums  [Width]int32
	known int
}

// Add adds the weights of one input, if the net knows it.
func (n *Net) Add(s *Sums, id uint32) {
	at := n.start[id]
	if at == unknown {
		return
	}
	for _, c := range n.weights[at : at+uint32(n.count[id])] {
		s.sums[c>>6] += n.sizes[c&(2*levels-1)]
	}
	s.known++
}

// Outputs are the sums with the biases: what was added counts by the root of how many inputs it was of.
func (n *Net) Outputs(s *Sums) (out [Width]float32) {
	part := Part(s.known)
	for i := range out {
		out[i] = float32(float32(s.sums[i])*part) + n.bias[i]
	}
	return out
}

// Part is what a weight of one unit adds to an output, of so many known inputs.
func Part(known int) float32 { return 1 / (Unit * float32(math.Sqrt(float64(known+1)))) }

// Weights gives the outputs to which an input adds, and how many units; false where the net does not know it.
func (n *Net) Weights(id uint32) (all iter.Seq2[int, int32], ok bool) {
	at := n.start[id]
	if at == unknown {
		return nil, false
	}
	return func(yield func(int, int32) bool) {
		for _, c := range n.weights[at : at+uint32(n.count[id])] {
			if !yield(int(c>>6), n.sizes[c&(2*levels-1)]) {
				return
			}
		}
	}, true
}
