package desk

import (
	"strconv"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// The handover at a shift's end: what the reader has taken, with a button to hand each
// or all of it to a colleague who is on duty.

// handWord is the word of the list; handAll stands for all that one holds.
const (
	handWord = "handover"
	handAll  = "all"
)

// handButtons are the buttons under a page of it.
func handButtons(reader practice.Staff, page []paged) (rows [][]message.Button) {
	for _, x := range page {
		if x.of == nil {
			continue
		}
		for _, q := range items([]flows.Patient{*x.of}) {
			if q.x.AckBy == reader.ID {
				rows = append(rows, []message.Button{{Label: message.Say("desk.b.hand.one", message.ArgS("label", x.of.Label),
					message.ArgN("n", int(x.of.Headline(q.x.N)))), Op: opHand, Arg: strconv.Itoa(int(q.x.N)), Patient: x.of.ID}})
			}
		}
	}
	return append(rows, []message.Button{{Label: message.Say("desk.b.hand.all"), Op: opHand, Arg: handAll}})
}

// handTap takes either: first what, which is answered with who is on duty; then to whom.
func (t *turn) handTap(p flows.Tap) {
	what, to, chosen := strings.Cut(p.Arg, ".")
	n, err := strconv.ParseInt(what, 10, 32)
	if (what != handAll) != (err == nil && n > 0 && p.Patient != "") {
		t.sayKey("desk.button")
		return
	}
	if !t.may(practice.Assistant, opHand) {
		return
	}
	if !chosen {
		t.askHand(p, what)
		return
	}
	heir, known := t.pr.ByID(to)
	if !known || !heir.Reachable() || heir.OffDuty || heir.ID == t.who.ID {
		t.sayKey("order.hand.away")
		t.askHand(p, what)
		return
	}
	o := flows.Order{Actor: t.actor(), Op: flows.OrderHand, Chat: t.c.ID, For: heir.ID}
	if what == handAll {
		t.tell(flows.Target{Open: true}, o)
		t.say(message.Say("desk.hand.all", message.ArgS("who", heir.Label)))
		return
	}
	o.Esc = int32(n)
	t.tell(flows.Target{Patient: p.Patient}, o)
}

// askHand asks to whom.
func (t *turn) askHand(p flows.Tap, what string) {
	m := message.Message{Lines: []message.Line{message.Say("desk.hand.who")}}
	for i := range t.pr.Staff {
		if s := &t.pr.Staff[i]; s.ID != t.who.ID && s.Reachable() && !s.OffDuty {
			m.Inline = append(m.Inline, []message.Button{{Label: message.Say("desk.b.hand.to", message.ArgS("who", s.Label), message.ArgK("role", roleKey(s.Role))),
				Op: opHand, Arg: what + "." + s.ID, Patient: p.Patient}})
		}
	}
	if len(m.Inline) == 0 {
		m.Lines = []message.Line{message.Say("desk.hand.nobody")}
	}
	t.send(m)
}
