package estimate

import (
	"math"

	"duskdawn/flows/chart"

	"gonum.org/v1/gonum/stat/distuv"
)

// NoMoves: fewer than three steps whose mornings are known.
const NoMoves Withheld = "estimate.no.moves"

// What counts, and the prior until the practice has enough of its own.
const (
	leastMoves   = 3
	soreMornings = 3
	soreFrom     = chart.MildPain + 1
	priorSore    = 1.2 // Beta(1.2, 10.8): one step in ten, worth twelve; an assumption
	priorEasy    = 10.8
	leastEnded   = 20 // ended courses of the practice that make a prior, and a percentile
	weightLow    = 2.0
	weightTop    = 40.0
)

// Sore is how often a step is followed within three mornings by pain of 5 or
// more.
type Sore struct {
	No    Withheld
	Moves int // steps whose mornings are known
	Hurt  int // ... of which so many hurt
	// The chance that the next step does, with its 80 %, in tenths of a per cent.
	Next, Low, High int
	Courses         int // ended courses of the practice that the prior is of; 0 where it is an assumption
}

// moves counts the confirmed steps forward whose three mornings are known, or
// one of which hurt: what is not known is not fine.
func (r *Record) moves() (moves, hurt int) {
	last, known := chart.Steps(0), true // fitting day
	for i := range r.Nights {
		e := &r.Nights[i]
		if e.Low != e.High || !e.V[chart.SettingLeft].Known() {
			continue
		}
		forward := known && e.Low > last && (i > 0 || e.Night == r.Began)
		last, known = e.Low, true
		if !forward {
			continue
		}
		told, sore := 0, false
		for k := i; k < min(i+soreMornings, len(r.Nights)); k++ {
			if p := r.Nights[k].V[chart.Pain]; p.Known() {
				told++
				sore = sore || p.AtLeast(soreFrom)
			}
		}
		switch {
		case sore:
			moves, hurt = moves+1, hurt+1
		case told == soreMornings:
			moves++
		}
	}
	return moves, hurt
}

// Soreness is a Beta-binomial of the steps.
func (r *Record) Soreness() Sore {
	moves, hurt := r.moves()
	if moves < leastMoves {
		return Sore{No: NoMoves, Moves: moves, Hurt: hurt}
	}
	a, b, courses := sorePrior(r.Ended)
	p := distuv.Beta{Alpha: a + float64(hurt), Beta: b + float64(moves-hurt)}
	return Sore{Moves: moves, Hurt: hurt, Next: percent(p.Mean()), Low: percent(p.Quantile(.1)), High: percent(p.Quantile(.9)),
		Courses: courses}
}

// sorePrior is a Beta of the practice's ended courses by moments (Kleinman 1973,
// from memory): the mean share, and as much weight as the courses agree. Its
// weight stays within bounds, which is common practice.
func sorePrior(ended []Ended) (a, b float64, courses int) {
	var n, k, squares, counts float64
	for _, e := range ended {
		if e.Moves > 0 {
			courses++
			n, k, squares = n+float64(e.Moves), k+float64(e.Hurt), squares+float64(e.Moves)*float64(e.Moves)
		}
	}
	if courses < leastEnded {
		return priorSore, priorEasy, 0
	}
	counts = float64(courses)
	p := (k + priorSore) / (n + priorSore + priorEasy) // never 0 or 1
	between := 0.0
	for _, e := range ended {
		if e.Moves > 0 {
			d := float64(e.Hurt)/float64(e.Moves) - p
			between += float64(e.Moves) * d * d
		}
	}
	// E between = p (1-p) ((1-rho) (counts-1) + rho (n - squares/n))
	rest := n - squares/n - (counts - 1)
	weight := weightTop
	if rho := (between/(p*(1-p)) - (counts - 1)) / max(rest, 1e-9); rho > 0 && rest > 0 {
		weight = min(max(1/rho-1, weightLow), weightTop)
	}
	weight = math.Round(10*weight) / 10
	return p * weight, (1 - p) * weight, courses
}
