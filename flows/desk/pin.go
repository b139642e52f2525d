package desk

import (
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// pinTries is how many wrong PINs a chat may give; then only the owner resets it. One
// in 200,000 guesses is right by then (SP 800-63B of NIST, doi 10.6028/NIST.SP.800-63b,
// 5.2.2 allows a hundred).
const pinTries = 5

// Proves reports whether the next text of this chat is a PIN, and what it is compared
// with: the person's own, or the one that was just chosen; empty where a new one is
// chosen.
func (c *Chat) Proves(pr *practice.Practice) (with string, asked bool) {
	who, _ := pr.ByChat(c.ID)
	if c.Form.Stage != Proving || c.Group() {
		return "", false
	}
	if who.PIN != "" {
		return who.PIN, true
	}
	return c.Form.Secret, true
}

// Takes reports whether a question is open that these digits may answer: where the
// label is asked, a PIN that was typed too early is none.
func (c *Chat) Takes(digits string) bool {
	f := &c.Form
	return f.Stage == Asking || f.Stage == Checking && f.Brief != nil && strings.NewReplacer(" ", "", "-", "").Replace(f.Brief.Enrolment.Label) == digits
}

// prove asks who signs for the PIN; the first time, to choose one.
func (t *turn) prove() {
	f := &t.c.Form
	if t.who.Locked || t.c.Pins >= pinTries {
		t.log("desk.refused.pin", message.ArgS("op", f.Op), message.ArgS("who", t.who.ID))
		t.say(message.Say("desk.pin.locked", message.ArgS("id", t.who.ID)))
		return
	}
	f.Stage, f.Secret, f.Nonce = Proving, "", t.nonce()
	t.askPIN()
}

func (t *turn) askPIN() {
	key := "desk.pin.ask"
	switch {
	case t.who.PIN != "":
	case t.c.Form.Secret != "":
		key = "desk.pin.again"
	default:
		key = "desk.pin.new"
	}
	t.send(message.Message{Lines: []message.Line{message.Say(key)},
		Inline: [][]message.Button{{t.tap("desk.b.back", "back"), t.tap("desk.b.cancel", "x")}}})
}

// pinSaid takes what was typed where a PIN is asked for.
func (t *turn) pinSaid(s flows.Said) {
	f := &t.c.Form
	switch {
	case s.PIN == flows.PINWeak && t.who.PIN == "":
		f.Secret = ""
		t.sayKey("desk.pin.weak")
	case t.who.PIN != "" && s.PIN == flows.PINRight:
		t.c.Pins = 0
		t.proved()
	case t.who.PIN != "" && s.PIN == flows.PINWrong:
		t.wrongPIN()
	case t.who.PIN != "" && s.PIN == flows.PINWeak: // no PIN is like that: it is no try
		t.sayKey("desk.pin.six")
	case t.who.PIN == "" && s.PIN == flows.PINNew && f.Secret == "":
		f.Secret = s.Secret
		t.askPIN()
	case t.who.PIN == "" && f.Secret != "" && s.PIN == flows.PINRight:
		t.tell(flows.Target{Practice: true}, flows.Manage{Op: flows.ManagePIN, Actor: t.actor(), Secret: f.Secret})
		f.Secret = ""
		t.c.Pins = 0
		t.proved()
	case t.who.PIN == "" && f.Secret != "" && s.PIN == flows.PINWrong:
		f.Secret = ""
		t.sayKey("desk.pin.differ")
		t.askPIN()
	default:
		t.askPIN()
	}
}

func (t *turn) wrongPIN() {
	t.c.Pins++
	t.log("desk.pin.wrong", message.ArgS("who", t.who.ID), message.ArgN("n", int(t.c.Pins)))
	if t.c.Pins < pinTries {
		t.say(message.Say("desk.pin.wrong", message.ArgN("count", pinTries-int(t.c.Pins))))
		return
	}
	t.drop()
	t.tell(flows.Target{Practice: true}, flows.Manage{Op: flows.ManagePINOut, Actor: t.actor()})
	t.say(message.Say("desk.pin.locked", message.ArgS("id", t.who.ID)))
}

// proved goes on with what the PIN was asked for.
func (t *turn) proved() {
	switch t.c.Form.Op {
	case opEnrol:
		t.signed()
	default:
		t.ordered()
	}
}

// pin keeps a PIN that a clinician has chosen, or that nobody may sign with any more.
func (o *office) pin(b flows.Manage) {
	for i := range o.pr.Staff {
		s := &o.pr.Staff[i]
		switch {
		case s.ID != b.Actor.ID || s.ID == "" || s.Removed:
		case b.Op == flows.ManagePINOut && !s.Locked:
			s.Locked = true
			o.announceBut(s.Chat, "desk.pin.out", message.ArgS("who", s.Label))
		case b.Op == flows.ManagePIN && s.PIN == "" && !s.Locked && b.Secret != "":
			s.PIN = b.Secret
			o.announceBut(s.Chat, "desk.pin.set", message.ArgS("who", s.Label))
		}
	}
}

// noPIN forgets a person's PIN: the owner's word, on the host.
func (o *office) noPIN(s *practice.Staff) {
	s.PIN, s.Locked = "", false
	o.log("desk.pin.reset", message.ArgS("who", s.ID))
	if s.Chat != 0 {
		o.tell(s.Chat, flows.StaffBound{Staff: s.ID, NoPIN: true})
	}
}
