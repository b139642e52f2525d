package flows

import (
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// Escalation is something a person must look at: raised, acknowledged by a
// named person, resolved with an outcome. Same patient, same reason, same day
// is one that grows; an E or S is never merged away.
type Escalation struct {
	N        int32         `cbor:"1,keyasint,omitempty"` // counts a patient's escalations
	Class    redflag.Class `cbor:"2,keyasint,omitempty"`
	Reason   string        `cbor:"3,keyasint,omitempty"` // a flag's id, a rule's id, or "silence", "call", "message", ...
	Raised   civil.Wall    `cbor:"4,keyasint,omitempty"` // at the practice
	RaisedAt int64         `cbor:"5,keyasint,omitempty"` // Unix seconds
	Deadline int64         `cbor:"6,keyasint,omitempty"` // Unix seconds; 0 for none
	Rings    int16         `cbor:"7,keyasint,omitempty"` // how often staff were told
	AckBy    string        `cbor:"8,keyasint,omitempty"` // staff id
	AckAt    int64         `cbor:"9,keyasint,omitempty"`
	Times    int16         `cbor:"10,keyasint,omitempty"`
	Quote    string        `cbor:"11,keyasint,omitempty"` // what was said, 200 runes at most, the newest words last and whole
	Told     string        `cbor:"12,keyasint,omitempty"` // key of what the bot already told the patient
	Notes    int16         `cbor:"13,keyasint,omitempty"`
	Count    int16         `cbor:"14,keyasint,omitempty"` // merged occurrences
	Epoch    int32         `cbor:"15,keyasint,omitempty"` // the restore epoch in which it last rang anew: one of a copy does not ring before the release
}

// Deadline is how many minutes the practice gives itself to look at an urgent
// class: its own setting, else the usual.
func Deadline(pr *practice.Practice, class redflag.Class) int {
	switch {
	case class == redflag.ClassE && pr.MinutesE > 0:
		return int(pr.MinutesE)
	case class == redflag.ClassE:
		return practice.UsualE
	case pr.MinutesS > 0:
		return int(pr.MinutesS)
	}
	return practice.UsualS
}
