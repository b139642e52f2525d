// Package relapse watches scores that should stay where they are: an
// individuals CUSUM (Page 1954; charts for single patients, doi
// 10.1093/intqhc/mzm015) of the snoring a reporter hears, or of daytime
// sleepiness, after the position was proved. It reckons in whole thousandths,
// so that a rule may read it and every machine says the same.
package relapse

// The numbers of the chart. Lengths and scores are in thousandths of a point,
// the sum in thousandths of a standard deviation.
const (
	Most  = 16 // scores of the reference, the newest
	Least = 12 // with fewer there is no chart

	Thousandth = 1000
	LeastSD    = 1200 // a reference of equal scores would alarm at once: common practice, no source
	perRange   = 1128 // mean moving range over standard deviation, two normal values: d2 of two, 1.128
	allowance  = 500  // half a standard deviation
	Limit      = 5000 // beyond it the chart says that the scores have risen
)

// Chart is the reference, packed, and the sum since. The zero Chart knows
// nothing. It is a value and can be stored.
type Chart struct {
	Reference uint64 `cbor:"1,keyasint,omitempty"` // a nibble a score, the newest lowest; score and one, 0 for none
	Sum       int32  `cbor:"2,keyasint,omitempty"` // thousandths of a standard deviation
	Since     int32  `cbor:"3,keyasint,omitempty"` // scores added since the reference
}

// Refer adds a score of 0 to 10 to the reference; beyond Most the oldest goes.
// Anything else changes nothing.
func (c *Chart) Refer(score int) {
	if score >= 0 && score <= 10 {
		c.Reference = c.Reference<<4 | uint64(score+1)
	}
}

// scores lists the reference, the newest first.
func (c Chart) scores() (s [Most]int, n int) {
	for r := c.Reference; r != 0; r >>= 4 {
		s[n] = int(r&15) - 1
		n++
	}
	return s, n
}

// Known is how many scores the reference has, 0 to Most.
func (c Chart) Known() int {
	_, n := c.scores()
	return n
}

// Ready reports whether the reference is long enough for a chart.
func (c Chart) Ready() bool { return c.Known() >= Least }

// Mean is the mean of the reference, SD its standard deviation by the mean
// moving range and at least LeastSD; both in thousandths of a point, rounded
// half up. Of an empty reference they are 0 and LeastSD.
func (c Chart) Mean() int {
	s, n := c.scores()
	sum := 0
	for _, x := range s[:n] {
		sum += x
	}
	return over(sum*Thousandth, n)
}

// SD is described beside Mean.
func (c Chart) SD() int {
	s, n := c.scores()
	ranges := 0
	for i := 1; i < n; i++ {
		ranges += max(s[i]-s[i-1], s[i-1]-s[i])
	}
	return max(LeastSD, over(ranges*Thousandth*Thousandth, (n-1)*perRange))
}

// over divides, rounding half up; by nothing it gives 0.
func over(a, b int) int {
	if b <= 0 {
		return 0
	}
	return (2*a + b) / (2 * b)
}

// Add takes a new score and reports whether the sum is past the limit. Without
// a reference it takes nothing.
func (c *Chart) Add(score int) (risen bool) {
	if !c.Ready() || score < 0 || score > 10 {
		return false
	}
	off := Thousandth * (score*Thousandth - c.Mean()) / c.SD()
	c.Sum = int32(max(0, int(c.Sum)+off-allowance))
	c.Since++
	return c.Risen()
}

// Risen reports whether the scores have risen: the sum is past the limit.
func (c Chart) Risen() bool { return c.Sum > Limit }

// The least wear of a week in steady use, and how many of the last four weeks
// may fall short of it before a person looks: common practice, no source.
const (
	LeastNights = 5
	ShortWeeks  = 2
	Weeks       = 4
)

// Slipping reports whether two of the last four weeks had fewer than five
// worn nights. A week of which nothing is known is not short.
func Slipping(worn, known [Weeks]int) bool {
	short := 0
	for i := range worn {
		if unknown := 7 - known[i]; worn[i]+unknown < LeastNights {
			short++
		}
	}
	return short >= ShortWeeks
}
