package desk

import (
	"slices"

	"duskdawn/flows"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// Drafts: what one person filled in, or signed, and another looks at. Whatever
// becomes of it, who filled it in has it back, or hears of it.

// draft takes an assistant's form: it waits until the clinician opens it. One's own
// comes back where it was not signed.
func (t *turn) draft(b flows.Draft) {
	who, known := t.pr.ByChat(t.c.ID)
	most, back := maxDrafts, known && who.ID == b.Actor.ID
	if back {
		most += maxDrafts
	}
	if !known || who.Removed || !back && who.Role < practice.Clinician || len(t.c.Drafts) >= most {
		t.who = who
		t.giveBack(b)
		return
	}
	b.Nonce = t.nonce()
	t.c.Drafts = append(t.c.Drafts, b)
	t.offer(b)
}

func (t *turn) offer(b flows.Draft) {
	t.out = append(t.out, flows.Send{Lane: flows.LaneStaff, Lang: t.c.Lang, Msg: t.draftMessage(b)})
}

// draftMessage offers what waits.
func (t *turn) draftMessage(b flows.Draft) message.Message {
	key := "enrol.draft"
	who, _ := t.pr.ByChat(t.c.ID)
	switch {
	case b.Order != nil && b.Due != 0:
		key = "desk.look.due"
	case b.Order != nil:
		key = "desk.look.asked"
	case who.ID == b.Actor.ID:
		key = "enrol.returned"
	}
	label := message.ArgS("label", b.Filled.Enrolment.Label)
	line := message.Say(key, message.ArgS("who", b.Actor.Name), label)
	if key == "enrol.returned" {
		line = message.Say(key, label)
	}
	return message.Message{
		Lines:  []message.Line{line},
		Inline: [][]message.Button{{{Label: message.Say("desk.b.draft"), Op: opDraft, Nonce: b.Nonce}}},
	}
}

// openDraft opens the form that its button names. A button of an older program
// names none: what waits is offered anew.
func (t *turn) openDraft(nonce string) {
	i := slices.IndexFunc(t.c.Drafts, func(d flows.Draft) bool { return d.Nonce == nonce && nonce != "" })
	switch {
	case i < 0 && (nonce != "" || len(t.c.Drafts) == 0):
		t.sayKey("desk.draft.gone")
	case i < 0:
		for n := range t.c.Drafts {
			if t.c.Drafts[n].Nonce == "" {
				t.c.Drafts[n].Nonce = t.nonce()
			}
			t.send(t.draftMessage(t.c.Drafts[n]))
		}
	case t.c.Busy():
		t.busy(flows.Tap{Op: opDraft, Nonce: nonce})
	case t.c.Drafts[i].Order != nil:
		t.look(i)
	default:
		d := t.c.Drafts[i]
		t.c.Drafts = slices.Delete(t.c.Drafts, i, i+1)
		t.c.Form = Form{Op: opEnrol, Nonce: t.nonce(), Stage: Asking, New: flows.NewPatientID(t.e.Seed), Since: t.now(),
			Filled: d.Filled, From: d.Actor}
		t.question()
	}
}

// drop closes the open form; what came from somebody else goes back.
func (t *turn) drop() {
	f := t.c.Form
	t.c.Form = Form{}
	if f.From.ID == "" || f.From.ID == t.who.ID || f.Stage == Sent {
		return
	}
	d := flows.Draft{Filled: f.Filled, Actor: f.From}
	if f.Looked {
		d.Order = &f.Order
	}
	t.giveBack(d)
}

// chatOf is where a person of the practice is now, who may have another telephone
// since; 0 for who has left.
func (t *turn) chatOf(a flows.Actor) int64 {
	if s, known := t.pr.ByID(a.ID); known && !s.Removed {
		return s.Chat
	}
	return 0
}

// giveBack has what was not signed go back to who filled it in, wherever that person
// is now: an enrolment as it is, a raise as the word that it came to nothing.
func (t *turn) giveBack(d flows.Draft) {
	s, known := t.pr.ByID(d.Actor.ID)
	switch {
	case !known || s.Removed || s.Chat == 0 || s.Chat == t.c.ID:
	case d.Order != nil:
		t.out = append(t.out, flows.Send{Chat: s.Chat, Lang: s.Lang, Lane: flows.LaneStaff, Msg: message.Message{
			Lines: []message.Line{message.Say("desk.look.not", message.ArgS("label", d.Filled.Enrolment.Label))}}})
	default:
		t.tell(flows.Target{Chat: s.Chat}, flows.Draft{Filled: d.Filled, Actor: d.Actor})
	}
}

// vacate empties a chat that is not this person's any more: what waited there goes
// along to the person's new chat, or back to who filled it in.
func (t *turn) vacate() {
	s, _ := t.pr.ByID(t.c.Staff)
	moved := !s.Removed && s.Chat != 0 && s.Chat != t.c.ID
	waiting := t.c.Drafts
	if f := t.c.Form; t.c.Open() && (f.Op == opEnrol && f.Filled.Enrolment.Label != "" || f.Looked) {
		d := flows.Draft{Filled: f.Filled, Actor: f.From}
		if f.Looked {
			d.Order, d.Brief = &f.Order, f.Brief
		}
		if d.Actor.ID == "" {
			d.Actor = flows.Actor{ID: s.ID, Name: s.Label, Chat: s.Chat, Role: s.Role}
		}
		waiting = append(waiting, d)
	}
	if f := t.c.Aside; f != nil && f.Op == opEnrol && f.Filled.Enrolment.Label != "" {
		d := flows.Draft{Filled: f.Filled, Actor: f.From}
		if d.Actor.ID == "" {
			d.Actor = flows.Actor{ID: s.ID, Name: s.Label, Chat: s.Chat, Role: s.Role}
		}
		waiting = append(waiting, d)
	}
	for _, d := range waiting {
		if moved {
			t.tell(flows.Target{Chat: s.Chat}, d)
		} else {
			t.giveBack(d)
		}
	}
	t.c.Form, t.c.Drafts, t.c.Aside = Form{}, nil, nil
}
