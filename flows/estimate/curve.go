package estimate

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// What is held likely before a patient's own nights are looked at: a curve, the
// share of the fitting-day snoring that is left at an advance, out of three
// kinds; the level on fitting day; how much nights scatter.
//
// "None" is a quarter: about one third without benefit (PMC3899326), 35 % not
// halved at 6 mm. "Gradual" halves the snoring every H mm, ln H normal, fitted to
// the 25, 48 and 65 % of patients whose desaturations halved at 2, 4 and 6 mm
// (n = 37, doi 10.1378/chest.117.4.1065). "Late" does nothing, then falls at
// once: an assumption, no source, for the courses that the other two would call
// hopeless. Level and scatter are assumptions too: no published night-to-night
// SD of a partner's 0-10 score was found.
const (
	noneWeight, gradualWeight, lateWeight = .25, .60, .15

	halfMu, halfSD   = 1.06, 0.74 // of ln H, H in mm
	levelMu, levelSD = 7.0, 2.0   // points, cut to 2 to 10
	levelLow         = 2.0
	levelWidth       = 0.2

	halves, turns, drops = 48, 16, 4
	numCurves            = 1 + halves + turns*drops
	numLevels            = 41
	numNoises            = 5
)

// plateauShare is the share of the greatest protrusion past which nothing is
// gained, in thousandths: groups level off near 70 %, doi 10.5664/jcsm.8556.
const plateauShare = 700

// curve is one of the shapes.
type curve struct {
	weight float64
	log    float64 // of the weight
	half   float64 // mm that halve the snoring; 0 where it is not gradual
	turn   float64 // the share of the way to the cap at which a late one falls
	drop   float64 // ... and by how much; 0 for none
}

// left is the share of the fitting-day snoring left at x mm, nothing gained past
// the cap.
func (c *curve) left(x, cap float64) float64 {
	x = min(max(x, 0), cap)
	switch {
	case c.half > 0:
		return math.Exp2(-x / c.half)
	case x > 0 && x >= c.turn*cap:
		return 1 - c.drop
	}
	return 1
}

// noise is a scatter of single nights.
type noise struct {
	log   float64 // of its weight
	logSD float64
	half  float64 // 1 / (2 variance)
}

var (
	curves  = newCurves()
	levelAt = newLevelAt()
	levels  = newLevels() // the log weight of each
	noises  = newNoises()
	unasked = prior() // what is likely before any night
)

// newCurves gives strata of equal weight to the gradual ones, and an even grid to
// the late.
func newCurves() (out [numCurves]curve) {
	out[0] = curve{weight: noneWeight}
	for i := range halves {
		z := distuv.UnitNormal.Quantile((float64(i) + .5) / halves)
		out[1+i] = curve{weight: gradualWeight / halves, half: math.Exp(halfMu + halfSD*z)}
	}
	for i := range turns {
		for k, drop := range [drops]float64{.3, .5, .7, .9} {
			out[1+halves+drops*i+k] = curve{weight: lateWeight / (turns * drops), turn: (float64(i) + .5) / turns, drop: drop}
		}
	}
	for i := range out {
		out[i].log = math.Log(out[i].weight)
	}
	return out
}

// newLevelAt gives the snoring on fitting day, in points.
func newLevelAt() (out [numLevels]float64) {
	for i := range out {
		out[i] = levelLow + levelWidth*float64(i)
	}
	return out
}

func newLevels() (out [numLevels]float64) {
	n := distuv.Normal{Mu: levelMu, Sigma: levelSD}
	sum := 0.0
	for i := range out {
		out[i] = n.Prob(levelAt[i])
		sum += out[i]
	}
	for i := range out {
		out[i] = math.Log(out[i] / sum)
	}
	return out
}

// newNoises adds what rounding to whole points adds: a twelfth.
func newNoises() (out [numNoises]noise) {
	sds, weights := [numNoises]float64{.7, 1, 1.3, 1.7, 2.2}, [numNoises]float64{.15, .30, .30, .15, .10}
	for i, s := range sds {
		v := s*s + 1.0/12
		out[i] = noise{math.Log(weights[i]), math.Log(v) / 2, 1 / (2 * v)}
	}
	return out
}
