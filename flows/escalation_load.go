package flows

import (
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// What the desk costs: the cards that went to each person, by day and reason.

// Carded counts the cards of one reason that one person was sent on one day, the
// same card again included; not the answer to the person's own tap.
type Carded struct {
	Day    civil.Date `cbor:"1,keyasint,omitempty"` // at the practice
	Who    string     `cbor:"2,keyasint,omitempty"` // staff id
	Reason string     `cbor:"3,keyasint,omitempty"` // of the escalation that gives the card its number
	Urgent bool       `cbor:"4,keyasint,omitempty"` // of class E or S
	N      int16      `cbor:"5,keyasint,omitempty"`
}

// cardedDays is for how many days they are counted, today included: a week before
// it, so that a Monday can tell of all the last. cardedMost is how many counts of
// one patient are kept; of more the oldest go.
const (
	cardedDays = 8
	cardedMost = 40
)

// counted counts a card that goes to a person.
func (t *turn) counted(s practice.Staff, esc *Escalation, head string) {
	if head == "order.ack.done" {
		return
	}
	one := Carded{Day: t.e.Office.Date, Who: s.ID, Reason: esc.Reason, Urgent: esc.Class.Worse(redflag.ClassN), N: 1}
	kept := make([]Carded, 0, len(t.p.Carded)+1)
	for _, c := range t.p.Carded {
		switch {
		case c.Day <= one.Day-cardedDays:
		case c.Day == one.Day && c.Who == one.Who && c.Reason == one.Reason && c.Urgent == one.Urgent:
			one.N = min(c.N+1, 9999)
		default:
			kept = append(kept, c)
		}
	}
	kept = append(kept, one)
	t.p.Carded = kept[max(0, len(kept)-cardedMost):]
}
