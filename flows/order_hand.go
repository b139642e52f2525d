package flows

import (
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// What somebody has taken goes to somebody else: by a handover at a shift's end, or
// because whoever had it has left the practice.

// heldItems lists the leading escalation of each item that a person has taken, by their
// numbers; n names one of them, 0 all.
func (p *Patient) heldItems(staff string, n int32) (out []int32) {
	for i := range p.Escalations {
		if x := &p.Escalations[i]; x.AckBy == staff && staff != "" && p.Lead(x) && (n == 0 || x.N == n) {
			out = append(out, x.N)
		}
	}
	return out
}

// orderHand hands what the actor has taken to a colleague on duty, who is sent the
// card. Of all of it, who has nothing with this patient hears nothing.
func (t *turn) orderHand(o Order, who practice.Staff) {
	items := t.p.heldItems(who.ID, o.Esc)
	to, known := t.pr.ByID(o.For)
	switch {
	case len(items) == 0 && o.Esc == 0:
		return
	case len(items) == 0:
		t.ordered(o, who, "order.hand.none")
		return
	case !known || !to.Reachable() || to.OffDuty || to.ID == who.ID:
		t.ordered(o, who, "order.hand.away")
		return
	}
	for _, n := range items {
		esc := t.escalation(n)
		for _, i := range t.p.Item(esc) {
			x := &t.p.Escalations[i]
			x.AckBy, x.AckAt, x.Quiet = to.ID, t.now(), false
		}
		t.log("escalation.handed", message.ArgN("n", int(n)), message.ArgS("by", who.ID), message.ArgS("to", to.ID))
		t.withdraw(escKey(n))
		t.reshow(n)
		number := message.ArgN("n", int(t.p.Headline(n)))
		t.card(to, esc, message.Say("esc.handed", number, message.ArgS("who", who.Label)))
		t.showMedia(to, esc, false)
		t.mediaOut(esc)
		t.ordered(o, who, "order.hand.done", number, message.ArgS("who", to.Label))
		t.hold(esc)
	}
}

// dropped makes an item nobody's again whose holder has left, is off duty or cannot be
// reached; it counts as rung so many times.
func (t *turn) dropped(esc *Escalation, rings int16) {
	t.log("escalation.dropped", message.ArgN("n", int(esc.N)), message.ArgS("by", esc.AckBy))
	for _, i := range t.p.Item(esc) {
		x := &t.p.Escalations[i]
		x.HadBy, x.AckBy, x.AckAt, x.Rings = x.AckBy, "", 0, rings
	}
	esc.Calls, esc.CallAt = 0, 0
}

// staffLeft makes what somebody had taken who has left the practice nobody's again, at
// once: it rings for the others with its number, and what does not ring at this hour
// is told in a line without a sound.
func (t *turn) staffLeft(staff string) {
	by, _ := t.pr.ByID(staff)
	for _, n := range t.p.heldItems(staff, 0) {
		esc := t.escalation(n)
		t.dropped(esc, 0)
		t.reshow(n)
		if esc.Class.Worse(redflag.ClassN) {
			esc.Rings = 1 // everyone
			t.ringUrgent(esc)
			continue
		}
		if t.firstRing(esc); esc.Rings > 0 {
			continue
		}
		for i := range t.pr.Staff {
			if s := t.pr.Staff[i]; s.Reachable() && !s.OffDuty {
				t.send(Send{Chat: s.Chat, Lang: s.Lang, Lane: LaneStaff, Msg: message.Message{Silent: true, Lines: []message.Line{
					message.Say("esc.left.quiet", message.ArgN("n", int(t.p.Headline(n))), message.ArgS("label", t.p.Label), message.ArgS("who", by.Label))}}})
			}
		}
	}
}
