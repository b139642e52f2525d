package estimate

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// pool is the scores at one setting, by what is sufficient of them.
type pool struct {
	x       float64 // mm forward of fitting day
	n       float64
	mean    float64
	squares float64 // within the setting
}

// add takes one score more (Welford).
func (p *pool) add(score float64) {
	p.n++
	d := score - p.mean
	p.mean += d / p.n
	p.squares += d * (score - p.mean)
}

// cloud is how likely each curve and level is, together 1.
type cloud [numCurves][numLevels]float64

// prior is the cloud before any night.
func prior() *cloud {
	var c cloud
	for k := range curves {
		for i := range levels {
			c[k][i] = curves[k].weight * math.Exp(levels[i])
		}
	}
	return &c
}

// faint is how far below the likeliest, in natural logs, a point of the grid is
// left out.
const faint = 20

// points is the grid with the scatter of nights: the log of how likely each is.
type points [numCurves][numNoises][numLevels]float64

// weigh gives every point its weight by the nights, as a log, nothing gained past
// the cap; most is the greatest.
func (logs *points) weigh(cap float64, pools []pool) (most float64) {
	most = math.Inf(-1)
	total, base := 0.0, 0.0
	for _, p := range pools {
		total += p.n
		base += p.squares + p.n*p.mean*p.mean
	}
	for k := range curves {
		cross, square := 0.0, 0.0 // base - 2 A cross + A^2 square are the squares about A f
		for _, p := range pools {
			f := curves[k].left(p.x, cap)
			cross += p.n * p.mean * f
			square += p.n * f * f
		}
		for s := range noises {
			noise := &noises[s]
			flat := curves[k].log + noise.log - total*noise.logSD - base*noise.half
			once, twice := 2*cross*noise.half, square*noise.half
			row := &logs[k][s]
			for i := range row {
				a := levelAt[i]
				l := flat + levels[i] + a*(once-a*twice)
				row[i] = l
				if l > most { // max minds what no sum here can be, and is slow
					most = l
				}
			}
		}
	}
	return most
}

// posterior weighs the prior by the nights; evidence is the log of how likely
// these are, but for what depends on their number alone.
func posterior(cap float64, pools []pool) (c *cloud, evidence float64) {
	var logs points
	most := logs.weigh(cap, pools)
	c = new(cloud)
	sum := 0.0
	for k := range logs {
		for s := range logs[k] {
			for i, l := range &logs[k][s] {
				if l > most-faint {
					w := math.Exp(l - most)
					c[k][i] += w
					sum += w
				}
			}
		}
	}
	for k := range c {
		for i := range c[k] {
			c[k][i] /= sum
		}
	}
	return c, most + math.Log(sum)
}

// odd is how improbable the newest nights are under what all of them say: the
// chance of a mean as far off or further, to either side.
func odd(cap float64, pools, newest []pool) float64 {
	var logs points
	most := logs.weigh(cap, pools)
	n, mean := weighed(newest, func(p pool) float64 { return p.mean })
	sum, below := 0.0, 0.0
	for k := range logs {
		_, f := weighed(newest, func(p pool) float64 { return curves[k].left(p.x, cap) })
		for s := range logs[k] {
			spread := distuv.Normal{Sigma: 1 / math.Sqrt(2*noises[s].half*n)}
			for i, l := range &logs[k][s] {
				if l > most-faint {
					w := math.Exp(l - most)
					sum += w
					below += w * spread.CDF(mean-levelAt[i]*f)
				}
			}
		}
	}
	below /= sum
	return 2 * min(below, 1-below)
}

// weighed is how many scores pools hold, and the mean of a figure over them.
func weighed(pools []pool, of func(pool) float64) (n, mean float64) {
	for _, p := range pools {
		n += p.n
		mean += p.n * of(p)
	}
	return n, mean / max(n, 1)
}

// Span is a middle value with what holds four fifths of the likelihood, in
// tenths of a point.
type Span struct{ Middle, Low, High int }

// The histogram of a span: bins of a hundredth of a point, 0 to 10.
const (
	binWidth = .01
	numBins  = 1001
)

// interval gives the middle and the 80 % of level times a share that depends on
// the curve, in points. Its ends lie outwards, by a bin at most.
func (c *cloud) interval(share func(*curve) float64) (middle, low, high float64) {
	var bins [numBins]float64
	for k := range curves {
		g := share(&curves[k])
		for i, w := range &c[k] {
			if w > 0 {
				bins[min(max(int(levelAt[i]*g/binWidth+1e-6), 0), numBins-1)] += w
			}
		}
	}
	at := func(p float64) float64 {
		sum := 0.0
		for i, w := range bins {
			if sum += w; sum >= p {
				return float64(i) * binWidth
			}
		}
		return (numBins - 1) * binWidth
	}
	return at(.5), at(.1), at(.9) + binWidth
}

// span is the interval as it is shown.
func (c *cloud) span(share func(*curve) float64) Span {
	middle, low, high := c.interval(share)
	return Span{tenths(middle), tenths(low), tenths(high)}
}

// moments are mean and standard deviation of level times a share.
func (c *cloud) moments(share func(*curve) float64) (mean, sd float64) {
	square := 0.0
	for k := range curves {
		g := share(&curves[k])
		for i, w := range &c[k] {
			v := levelAt[i] * g
			mean += w * v
			square += w * v * v
		}
	}
	return mean, math.Sqrt(max(square-mean*mean, 0))
}

// reaches is the chance that the mean at x mm is at or under a target. A level
// stands for all between its neighbours.
func (c *cloud) reaches(x, cap, target float64) (chance float64) {
	for k := range curves {
		f := curves[k].left(x, cap)
		for i, w := range &c[k] {
			chance += w * min(max((target/f-levelAt[i])/levelWidth+.5, 0), 1)
		}
	}
	return min(chance, 1)
}

// none is the chance that advancement does nothing.
func (c *cloud) none() (chance float64) {
	for _, w := range &c[0] {
		chance += w
	}
	return chance
}

// apart is how far two clouds are apart in a figure, level times a share, taken
// in half points: the total variation, 0 to 1.
func (c *cloud) apart(d *cloud, share func(*curve) float64) (sum float64) {
	var bins [21]float64
	for k := range curves {
		g := share(&curves[k])
		for i := range c[k] {
			bins[min(max(whole(2*levelAt[i]*g), 0), len(bins)-1)] += c[k][i] - d[k][i]
		}
	}
	for _, b := range bins {
		sum += math.Abs(b) / 2
	}
	return sum
}
