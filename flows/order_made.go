package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// A button of a card names the state that it was made for, so that yesterday's
// does nothing to today's patient. Patient.Moves counts those states.

// Deed is who did something that buttons name, and when.
type Deed struct {
	N  int32      `cbor:"1,keyasint,omitempty"` // the escalation that was closed, or the count of Moves that followed
	By string     `cbor:"2,keyasint,omitempty"` // staff id
	At civil.Wall `cbor:"3,keyasint,omitempty"` // at the practice
	Op OrderOp    `cbor:"4,keyasint,omitempty"`

	Reason string `cbor:"5,keyasint,omitempty"` // of the escalation that was closed; of a hold, what its person wrote
}

// MadeFor is what a button or a form made now names; never 0.
func (p *Patient) MadeFor() int32 { return p.Moves + 1 }

// stance is what people decide about. Where an event changes it, the buttons
// made before it are of another state.
type stance struct {
	state chart.State
	rev   int32
	gen   int32
	sure  int32
	held  bool
	let   int32
	ready int32  // the number of the advice that waits for a person
	flags uint32 // a checksum of those that are open
}

func (p *Patient) stance() stance {
	c := &p.Course
	s := stance{state: c.State, rev: p.Plan.Rev, gen: p.Gen, sure: p.Sure, held: p.Held, let: p.Let}
	if c.Advice.Ready {
		s.ready = c.Advice.Number
	}
	for i := range c.Flags {
		f := &c.Flags[i]
		for _, b := range []byte(f.ID) {
			s.flags = s.flags*31 + uint32(b)
		}
		s.flags = s.flags*31 + uint32(f.Esc) + 1
	}
	return s
}

// moved counts a change of what people decide about, and who made it.
func (t *turn) moved(before stance) {
	if t.p.stance() == before {
		return
	}
	t.p.Moves++
	if t.p.Course.State != before.state {
		t.p.Turned = t.e.Office.Date
	}
	if o, ok := t.e.Body.(Order); ok && o.Actor.ID != "" {
		t.p.Moved = Deed{N: t.p.Moves, By: o.Actor.ID, At: t.e.Office, Op: o.Op}
		t.freshen(o)
	}
}

// freshen puts the buttons of now under the answer to whoever has changed the state: those
// above are of the one before, by that person's own act.
func (t *turn) freshen(o Order) {
	for i := len(t.out.sends) - 1; i >= 0; i-- {
		s := &t.out.sends[i]
		if s.Chat == o.Chat && o.Chat != 0 && s.Lane == LaneReply && s.Msg.View == message.NoView && s.Msg.Media == "" && len(s.Msg.Inline) == 0 {
			s.Msg.View, s.Msg.MediaOf, s.Msg.Subject = message.ViewCard, "more", t.p.ID
			return
		}
	}
}

// stale answers an order of a button that was made for another state: who has
// changed it since, and the card as it stands. It reports whether it did.
func (t *turn) stale(o Order, who practice.Staff) bool {
	if o.Made == 0 || o.Made == t.p.MadeFor() {
		return false
	}
	t.log("order.refused", message.ArgS("op", o.Op.String()), message.ArgS("by", o.Actor.ID), message.ArgS("why", "stale"))
	label := message.ArgS("label", t.p.Label)
	line := message.Say("order.stale", label)
	if d := t.p.Moved; d.N >= o.Made {
		line = message.Say("order.stale.by", append(t.deed(d), label, message.ArgK("what", "desk.b."+d.Op.String()))...)
	}
	t.answerTo(o.Chat, who, line)
	t.orderCard(o, who)
	return true
}

// deed names who did something, and when.
func (t *turn) deed(d Deed) []message.Arg {
	name := d.By
	if s, ok := t.pr.ByID(d.By); ok {
		name = s.Label
	}
	return []message.Arg{message.ArgS("who", name), message.ArgD("day", d.At.Date), message.ArgC("time", d.At.Clock)}
}

// closedMost is how many closed escalations are remembered by who closed them.
const closedMost = 16

// remember keeps who closed an escalation.
func (p *Patient) remember(n int32, reason, by string, at civil.Wall) {
	closed := append(p.Closed[:len(p.Closed):len(p.Closed)], Deed{N: n, By: by, At: at, Reason: reason})
	p.Closed = closed[max(0, len(closed)-closedMost):]
}

// closedBy finds who closed the escalation of a number.
func (p *Patient) closedBy(n int32) (Deed, bool) {
	for _, d := range p.Closed {
		if d.N == n && n != 0 {
			return d, true
		}
	}
	return Deed{}, false
}

// gone answers an order about an escalation that is closed: by whom, where that
// is remembered.
func (t *turn) gone(o Order, who practice.Staff) {
	if d, ok := t.p.closedBy(o.Esc); ok {
		if _, known := t.pr.ByID(d.By); known {
			t.ordered(o, who, "order.esc.closed", append(t.deed(d), message.ArgN("n", int(t.p.Headline(o.Esc))))...)
			return
		}
	}
	t.ordered(o, who, "order.esc.gone")
}
