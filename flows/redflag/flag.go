package redflag

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// Class is how soon a person must look at something.
type Class byte

// The classes.
const (
	NoClass Class = 0
	ClassE  Class = 'E' // emergency now
	ClassS  Class = 'S' // the same day
	ClassN  Class = 'N' // the next working day
	ClassR  Class = 'R' // routine, next visit
)

// Worse reports whether c is more urgent than d.
func (c Class) Worse(d Class) bool { return c.rank() > d.rank() }

func (c Class) rank() int {
	switch c {
	case ClassE:
		return 4
	case ClassS:
		return 3
	case ClassN:
		return 2
	case ClassR:
		return 1
	}
	return 0
}

// Wear is what an open flag does to wearing the appliance.
type Wear uint8

// The effects on wear, the most cautious last.
const (
	WearKeep    Wear = iota // keep wearing it, same setting, no step
	WearBack                // worn, set back to the flag's resume setting
	WearTonight             // leave it out tonight
	WearOut                 // leave it out until released
)

// Flag is a red flag that was raised for a patient, open until released.
type Flag struct {
	ID     string      `cbor:"1,keyasint,omitempty"` // the row of the flag table, never an ordinal
	Class  Class       `cbor:"2,keyasint,omitempty"`
	Wear   Wear        `cbor:"3,keyasint,omitempty"`
	Night  civil.Date  `cbor:"4,keyasint,omitempty"` // the night on whose evening, or on whose morning after, it was raised
	At     civil.Wall  `cbor:"5,keyasint,omitempty"`
	Resume chart.Steps `cbor:"6,keyasint,omitempty"`  // the setting it may resume at
	Esc    int32       `cbor:"7,keyasint,omitempty"`  // the escalation it feeds
	Quote  string      `cbor:"8,keyasint,omitempty"`  // what was said, cut at 60 runes
	Times  int16       `cbor:"9,keyasint,omitempty"`  // how often it was raised while open
	From   civil.Date  `cbor:"10,keyasint,omitempty"` // the first evening on which P02 counts it
}
