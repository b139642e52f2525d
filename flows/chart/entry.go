package chart

import (
	"duskdawn/flows/civil"
)

// Entry is what is known of one night: every field's answer, the advice that
// was in force, and how the evening's setting was confirmed.
type Entry struct {
	Night civil.Date        `cbor:"1,keyasint,omitempty"`
	V     [NumFields]Answer `cbor:"2,keyasint,omitempty"`

	Action Action `cbor:"3,keyasint,omitempty"` // of the advice in force; NoAction for none
	To     Steps  `cbor:"4,keyasint,omitempty"` // the setting it named
	Rule   Rule   `cbor:"5,keyasint,omitempty"`
	Asked  uint16 `cbor:"6,keyasint,omitempty"` // bit 0: evening prompt went out; bit 1: morning; bit 2: ours, not the patient's silence (evening); bit 3: same, morning; from bit 5 on what the advice was given under
	Late   uint32 `cbor:"7,keyasint,omitempty"` // a bit per Field that came or changed after the advice of that night's next evening
	Low    Steps  `cbor:"8,keyasint,omitempty"` // the lowest and the highest setting it may have stood at that night
	High   Steps  `cbor:"9,keyasint,omitempty"`
}

// At returns a field's answer.
func (e *Entry) At(f Field) Answer { return e.V[f] }

// Under is what a night's advice was worked out under, besides the answers.
type Under uint16

// What an advice can be given under. Part of the stored form, in Entry.Asked.
const (
	UnderUnheard  Under = 1 << (5 + iota) // the evening's questions were not answered
	UnderHeld                             // a person held every step
	UnderDoubt                            // the clock was in doubt, or a foreign program spoke with our token
	UnderRestored                         // the store was restored and the setting not confirmed since
	UnderHalted                           // the owner had halted the rules
	UnderUnread                           // words of the patient waited for a person
)

// SetAside is the bit of Entry.Asked of an unusual night that no report is taken of.
// Part of the stored form.
const SetAside uint16 = 1 << 11

// Bits of Entry.Asked of a morning that an evening has judged: it counts as what it was
// judged to be, though its answer is taken back. Part of the stored form.
const (
	WasSore uint16 = 1 << (12 + iota) // it asked for a way back
	WasAway                           // the bite was away over 60 minutes
)

// Under tells what the night's advice was given under.
func (e *Entry) Under() Under {
	return Under(e.Asked) & (UnderUnheard | UnderHeld | UnderDoubt | UnderRestored | UnderHalted | UnderUnread)
}
