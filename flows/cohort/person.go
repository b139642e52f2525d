package cohort

import (
	"math"
	"math/rand/v2"
	"time"

	"duskdawn/flows/chart"
)

// person is a virtual patient's nature: what the flow never sees.
type person struct {
	most    float64 // greatest protrusion, mm
	need    float64 // fall of the collapse pressure that halves desaturations
	snoreAt float64 // ... that halves snoring
	snore   float64 // snoring before treatment, 0 to 10
	tender  float64 // how easily it grows sore
	base    int     // jaw pain before treatment
	sleepy  int
	wears   float64 // share of nights
	hours   float64
	answers float64 // share of check-ins
	presses bool    // answers button by button

	partner   int // nights of a week that the partner is there to hear
	headaches bool
	pauses    bool
	site      int // where it hurts
}

// newPerson draws one.
func newPerson(r *rand.Rand) person {
	var p person
	for p.most < rangeLow || p.most > rangeTop {
		p.most = rangeMean + rangeSD*r.NormFloat64()
	}
	z := r.NormFloat64()
	p.need = math.Exp(needMu + needSD*z)
	p.snoreAt = math.Exp(snoreMu + snoreSD*(snoreWith*z+math.Sqrt(1-snoreWith*snoreWith)*r.NormFloat64()))
	p.snore = snoreLow + (snoreTop-snoreLow)*r.Float64()
	p.tender = math.Exp(tenderMu + tenderSD*r.NormFloat64())
	if r.Float64() < achy {
		p.base = 2
	}
	p.sleepy = clampInt(int(math.Round(sleepyMean+2*r.NormFloat64())), 0, 10)
	p.wears = beta(r, wornMean, wornWeight)
	p.hours = min(max(hoursMean+hoursSD*r.NormFloat64(), 4.2), 9)
	p.answers = beta(r, answerMean, answerWeight)
	p.presses = r.Float64() < pressers
	switch x := r.Float64(); {
	case x < aloneOften/3:
		p.partner = 2
	case x < aloneOften:
		p.partner = 3
	case x < aloneSome:
		p.partner = 5
	default:
		p.partner = 7
	}
	p.headaches, p.pauses = r.Float64() < hadHeadache, r.Float64() < hadPauses
	p.site = [...]int{chart.SiteMuscle, chart.SiteMuscle, chart.SiteMuscle, chart.SiteMuscle, chart.SiteMuscle,
		chart.SiteJoint, chart.SiteJoint, chart.SiteJoint, chart.SiteTooth, chart.SiteTooth}[r.IntN(10)]
	return p
}

// fall is how far an advance brings the collapse pressure down. Past the
// plateau nothing is gained.
func (p *person) fall(mm float64) float64 {
	return fallOf(min(max(mm, 0)/p.most, plateau))
}

// fallOf is the same of a share, without the plateau: the pressure itself goes
// on falling.
func fallOf(share float64) float64 {
	if share <= 0.5 {
		return share / 0.5 * fallHalf
	}
	return fallHalf + (share-0.5)/0.5*(fallFull-fallHalf)
}

// desaturations is how many are left at an advance, as a share of those without.
func (p *person) desaturations(mm float64) float64 { return math.Exp2(-p.fall(mm) / p.need) }

// snores is how loud it is at an advance, 0 to 10.
func (p *person) snores(mm float64) float64 { return p.snore * math.Exp2(-p.fall(mm)/p.snoreAt) }

// hears reports whether the partner is there on a day of the week, Friday and
// Saturday first.
func (p *person) hears(weekday int) bool {
	return [...]int{time.Sunday: 4, time.Monday: 6, time.Tuesday: 7, time.Wednesday: 3, time.Thursday: 5, time.Friday: 1,
		time.Saturday: 2}[weekday] <= p.partner
}

// The ways in which virtual patients respond, for what is said of P17.
const (
	responds = iota // snoring would settle at the ceiling or before
	partly
	hardly // it falls by less than a third up to there
	numWays
)

// way is how snoring responds up to an advance.
func (p *person) way(mm float64, target int) int {
	switch n := p.snores(mm); {
	case n <= float64(target):
		return responds
	case n > p.snore*2/3:
		return hardly
	}
	return partly
}

// beta draws a share by its mean and weight, from two gamma variates.
func beta(r *rand.Rand, mean, weight float64) float64 {
	a := gamma(r, mean*weight)
	return a / (a + gamma(r, (1-mean)*weight))
}

// gamma draws by Marsaglia and Tsang, doi 10.1145/358407.358414.
func gamma(r *rand.Rand, shape float64) float64 {
	if shape < 1 {
		return gamma(r, shape+1) * math.Pow(1-r.Float64(), 1/shape)
	}
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := r.NormFloat64()
		v := 1 + c*x
		if v <= 0 {
			continue
		}
		v = v * v * v
		if math.Log(1-r.Float64()) < x*x/2+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}

func clampInt(n, low, top int) int { return min(max(n, low), top) }
