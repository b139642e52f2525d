package flows

// Course is what pacing remembers of one patient: the last nights, where the
// appliance stands, and what the table needs. The rules are functions of it.
type Course struct {
	State  State     `cbor:"1,keyasint,omitempty"`
	N      uint8     `cbor:"2,keyasint,omitempty"` // entries in Nights
	Nights [28]Entry `cbor:"-"`                    // oldest first, one per calendar night up to the newest; stored as a list of N

	Left    Steps  `cbor:"4,keyasint,omitempty"` // last confirmed setting, the left or only side
	Right   Steps  `cbor:"5,keyasint,omitempty"`
	SetOn   Date   `cbor:"6,keyasint,omitempty"` // the night it was confirmed for
	Low     Steps  `cbor:"7,keyasint,omitempty"` // the lowest and the highest setting the appliance may stand at
	High    Steps  `cbor:"8,keyasint,omitempty"`
	InDoubt bool   `cbor:"9,keyasint,omitempty"` // the count is in doubt until confirmed
	Advised Steps  `cbor:"10,keyasint,omitempty"`
	Advice  Advice `cbor:"11,keyasint,omitempty"` // the one in force
	Advices int32  `cbor:"12,keyasint,omitempty"` // given so far

	Flags []Flag `cbor:"13,keyasint,omitempty"` // open ones
}

// Open tells whether a flag of class E, S or N is open.
func (c *Course) Open() bool {
	for _, f := range c.Flags {
		if f.Class.Worse(ClassR) {
			return true
		}
	}
	return false
}
