package chart

// Steps is a setting or a move in whole steps, the smallest move of the
// patient's appliance, counted from fitting day. Positive is forward.
type Steps int16

// Micrometres is a length. Positions are kept in whole steps and integer
// micrometres; never a float in a comparison.
type Micrometres int32

// Zero says what 0 % of the protrusive range means. The same per cent differs
// by about a millimetre between the two, so it is always kept and shown.
type Zero uint8

// The two conventions (percent of maximum protrusion).
const (
	ZeroUnset    Zero = iota
	ZeroHabitual      // counted from the habitual bite
	ZeroRetruded      // counted from the most retruded position, bite-gauge style
)

// PlaceOf gives the jaw position at a share of the protrusive range, in
// micrometres from the habitual bite; tenths is tenths of a per cent.
//
//	habitual bite = 0 %:  position = share x max
//	most retruded = 0 %:  position = retruded + share x max, max counted from there
//
// Both are evidence of the same word meaning two things: at max 8 mm and
// retruded -2 mm, 50 % is +4.0 mm in the one and +3.0 mm in the other.
func PlaceOf(b *Baseline, tenths int) Micrometres {
	um := int64(b.Max) * int64(tenths) / 1000
	if b.Zero == ZeroRetruded {
		um += int64(b.Retruded)
	}
	return Micrometres(um)
}

// ShareOf gives a jaw position in tenths of a per cent of the protrusive
// range, rounded half up; 0 where there is no range.
func ShareOf(b *Baseline, um Micrometres) int {
	if b.Max <= 0 {
		return 0
	}
	n := int64(um)
	if b.Zero == ZeroRetruded {
		n -= int64(b.Retruded)
	}
	twice := 2000*n + int64(b.Max)
	q := twice / (2 * int64(b.Max))
	if twice < 0 && twice%(2*int64(b.Max)) != 0 {
		q--
	}
	return int(q)
}
