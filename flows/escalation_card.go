package flows

import (
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// Cards: an escalation as people see it, and see again when it changes.

// KeyCard begins the key of a card that was sent to a person or the group.
const KeyCard = "esc."

// Shown is a card of an escalation that reached a chat.
type Shown struct {
	N       int32 `cbor:"1,keyasint,omitempty"` // the escalation
	Chat    int64 `cbor:"2,keyasint,omitempty"`
	Message int64 `cbor:"3,keyasint,omitempty"` // the platform's number of the message
}

// shownMost is how many cards of one patient are remembered: the newest.
const shownMost = 24

// card sends one escalation to one person, as it stands when the message goes.
func (t *turn) card(s practice.Staff, esc *Escalation, head message.Line) {
	t.counted(s, esc, head.Key)
	head.Args = append(head.Args, message.ArgK("class", "desk.class."+string(rune(t.p.UrgentIn(esc)|0x20))), message.ArgS("label", t.p.Label))
	t.send(Send{Chat: s.Chat, Lang: s.Lang, Lane: laneOf(esc.Class), Key: escKey(esc.N), Msg: message.Message{
		Lines: []message.Line{head}, View: message.ViewEscalation, Subject: t.p.ID, MediaOf: strconv.Itoa(int(esc.N))}})
}

// cardShown remembers a card that reached a chat: one a chat and escalation, the
// newest. What was taken or closed while it was on its way is shown so at once.
func (t *turn) cardShown(d Delivered) {
	number, ok := strings.CutPrefix(d.Key, KeyCard)
	n, err := strconv.ParseInt(number, 10, 32)
	if !ok || err != nil || d.Chat == 0 || d.Message == 0 {
		return
	}
	c := Shown{N: int32(n), Chat: d.Chat, Message: d.Message}
	if esc := t.escalation(c.N); esc == nil {
		t.showAgain(c)
		return
	}
	shown := make([]Shown, 0, len(t.p.Shown)+1)
	for _, x := range t.p.Shown {
		if x.N != c.N || x.Chat != c.Chat {
			shown = append(shown, x)
		}
	}
	shown = append(shown, c)
	t.p.Shown = shown[max(0, len(shown)-shownMost):]
}

// showAgain changes a card that was sent into what it is now, behind all that is new.
func (t *turn) showAgain(c Shown) {
	lang := t.pr.GroupLang
	if s, ok := t.pr.ByChat(c.Chat); ok {
		lang = s.Lang
	}
	t.post(Send{Chat: c.Chat, Lang: lang, Lane: LaneReport, Msg: message.Message{View: message.ViewEscalation, Subject: t.p.ID,
		MediaOf: strconv.Itoa(int(c.N)), Edit: c.Message}})
}

// reshow shows on every card of an escalation that it was taken or closed.
func (t *turn) reshow(n int32) {
	for _, c := range t.p.Shown {
		if c.N == n {
			t.showAgain(c)
		}
	}
}

// hasShown reports whether a card of that escalation is in a chat.
func (p *Patient) hasShown(n int32, chat int64) bool {
	return slices.ContainsFunc(p.Shown, func(c Shown) bool { return c.N == n && c.Chat == chat })
}

// forgetShown forgets the cards of an escalation that is closed.
func (p *Patient) forgetShown(n int32) {
	var kept []Shown
	for _, c := range p.Shown {
		if c.N != n {
			kept = append(kept, c)
		}
	}
	p.Shown = kept
}

// acknowledge writes down who has taken it, stops the ringing and shows the others.
func (t *turn) acknowledge(esc *Escalation, who practice.Staff) {
	esc.AckBy, esc.AckAt, esc.Quiet, esc.HadBy = who.ID, t.now(), false, ""
	t.read(esc.N)
	t.withdraw(escKey(esc.N))
	t.withdraw(callKey(esc.N))
	t.reshow(esc.N)
	if esc.Class.Worse(redflag.ClassN) {
		t.taken(esc, who)
	}
	t.hold(esc)
}

// taken tells the others of something urgent that a person has taken, without a
// sound. Of the rest their cards say it.
func (t *turn) taken(esc *Escalation, who practice.Staff) {
	m := message.Message{Silent: true, Lines: []message.Line{message.Say("esc.taken", message.ArgN("n", int(t.p.Headline(esc.N))),
		message.ArgS("label", t.p.Label), message.ArgS("who", who.Label))}}
	for i := range t.pr.Staff {
		if s := t.pr.Staff[i]; s.ID != who.ID && s.Reachable() && (!s.OffDuty || esc.Rings > 1) {
			t.send(Send{Chat: s.Chat, Lang: s.Lang, Lane: LaneStaff, Msg: m})
		}
	}
	if t.pr.Group != 0 {
		t.send(Send{Chat: t.pr.Group, Lang: t.pr.GroupLang, Lane: LaneStaff, Msg: m})
	}
}
