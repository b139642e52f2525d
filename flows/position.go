package flows

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
