package flows

import (
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// Noted is what a person of the practice wrote down about a patient, with an order or
// by itself, or ordered for a time to come. The journal has all of it; a card shows the newest.
type Noted struct {
	At     civil.Wall `cbor:"1,keyasint,omitempty"` // at the practice
	By     string     `cbor:"2,keyasint,omitempty"` // staff id
	Op     OrderOp    `cbor:"3,keyasint,omitempty"` // a note, a contact, an outcome, a release, a visit, an end; a grant, a setting or a test that was ordered
	N      int32      `cbor:"4,keyasint,omitempty"` // the item it is about; 0 for none
	Reason string     `cbor:"5,keyasint,omitempty"` // of that item; with a release the flag
	Text   string     `cbor:"6,keyasint,omitempty"`
}

// notedMost is how many are remembered, the newest.
const notedMost = 10

// noted remembers what somebody wrote down or ordered.
func (t *turn) noted(o Order, who practice.Staff, esc *Escalation) {
	one := Noted{At: t.e.Office, By: who.ID, Op: o.Op, Text: reading.Clip(o.Text, quoteMost)}
	if esc != nil {
		one.N, one.Reason = esc.N, esc.Reason
	}
	all := append(t.p.Noted[:len(t.p.Noted):len(t.p.Noted)], one)
	t.p.Noted = all[max(0, len(all)-notedMost):]
}

// NotedFor is the newest of an order, where it is remembered.
func (p *Patient) NotedFor(op OrderOp) (Noted, bool) {
	for i := len(p.Noted) - 1; i >= 0; i-- {
		if p.Noted[i].Op == op {
			return p.Noted[i], true
		}
	}
	return Noted{}, false
}
