package school

import (
	"math"
	"math/rand/v2"
)

// schedule counts the steps, and what is left of the first means of 0 in those of the slopes.
type schedule struct {
	done, all     int
	mean, squares float32
}

// Adam's part of the old in the means of slopes and of their squares.
const (
	oldMean   = 0.9
	oldSquare = 0.999
)

// next begins a step and gives its rate.
func (s *schedule) next() float32 {
	if s.done == 0 {
		s.mean, s.squares = 1, 1
	}
	s.done++
	s.mean, s.squares = s.mean*oldMean, s.squares*oldSquare
	return float32(tagRate * float32(s.all-s.done+1) / float32(s.all))
}

// moving are weights, and what moves them.
type moving struct{ weights, slope, mean, square []float32 }

func move(weights []float32) *moving {
	n := len(weights)
	return &moving{weights, make([]float32, n), make([]float32, n), make([]float32, n)}
}

// begin begins with weights up to half of size from 0.
func begin(weights []float32, size float64, random *rand.Rand) *moving {
	for i := range weights {
		weights[i] = float32((random.Float64() - 0.5) * size)
	}
	return move(weights)
}

func (m *moving) step(from, to int, rate, part float32, s *schedule) {
	rate /= 1 - s.mean
	for i := from; i < to; i++ {
		slope := m.slope[i] * part
		m.slope[i] = 0
		m.mean[i] = float32(oldMean*m.mean[i]) + float32((1-oldMean)*slope)
		m.square[i] = float32(oldSquare*m.square[i]) + float32((1-oldSquare)*float32(slope*slope))
		root := float32(math.Sqrt(float64(m.square[i] / (1 - s.squares))))
		m.weights[i] -= float32(rate*m.mean[i]) / (root + 1e-8)
	}
}
