package flows

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// Next says what happens next to a patient. It is total: any event in any
// state gives a patient and what follows, and changes none of its arguments.
func Next(pr practice.Practice, p Patient, e Event) (Patient, []Effect) {
	fx := Apply(&pr, &p, &e)
	return p, fx
}

// Apply is Next for a patient that is the caller's own, but for the lists in
// it: what is given becomes what is next. A patient is large.
func Apply(pr *practice.Practice, p *Patient, e *Event) []Effect {
	p.unshare()
	var t turn
	t.start(pr, p, e)
	t.run()
	return t.out.Effects()
}

// unshare makes the lists that an event changes the patient's own.
func (p *Patient) unshare() {
	p.Escalations = slices.Clone(p.Escalations)
	p.Course.Flags = slices.Clone(p.Course.Flags)
}

// run handles the event.
func (t *turn) run() {
	before := t.p.stance()
	switch {
	case t.p.Course.State == chart.NoState:
		t.first()
	case !t.mine():
		return
	default:
		t.doubtRestored()
		t.dispatch()
	}
	t.moved(before)
	t.done()
}

// first takes an event for somebody who is not enrolled: only an enrolment
// means anything.
func (t *turn) first() {
	switch b := t.e.Body.(type) {
	case Enrol:
		t.enrol(b)
	case Join:
		t.tell(Target{Chat: b.Chat}, Bound{Refused: true})
	}
}

// dispatch hands the event to whoever handles it.
func (t *turn) dispatch() {
	switch b := t.e.Body.(type) {
	case Enrol:
		t.enrol(b)
	case Join:
		t.join(b)
	case Said:
		t.text(b)
		t.heardAgain()
	case Tap:
		t.tap(b)
		t.heardAgain()
	case Other:
		t.other(b)
	case Due:
		t.due(b)
	case Order:
		t.order(b)
	case Bounce:
		t.bounce(b)
	case Reached:
		t.reached(b)
	case Numbered:
		if t.p.Number == 0 {
			t.p.Number = b.Number
		}
	case Missed:
		t.missed(b)
	case Delivered:
		t.delivered(b)
	case Gap:
		t.gap(b)
	case StaffChange:
		if b.Op == StaffRemove {
			t.staffLeft(b.Staff.ID)
		}
	case Restored:
		t.restored(b)
	}
}

// mine reports whether an event of a chat comes from the patient's, in the
// generation bound now. Anybody else is told that this chat is not linked, and
// nothing is written.
func (t *turn) mine() bool {
	var chat int64
	var gen int32
	switch b := t.e.Body.(type) {
	case Said:
		chat, gen = b.Chat, b.Gen
	case Tap:
		chat, gen = b.Chat, b.Gen
	case Other:
		chat, gen = b.Chat, b.Gen
	default:
		return true
	}
	if chat == t.p.Chat && chat != 0 && gen == t.p.Gen {
		return true
	}
	if chat != 0 {
		t.send(Send{Chat: chat, Lane: LaneReply, Msg: message.Message{Lines: []message.Line{message.Say("join.notlinked")},
			Plain: true}})
	}
	return false
}

// due hands a timer to its owner by its name. A check-in's timers are the
// check-in's; the rest belong to the patient's path.
func (t *turn) due(d Due) {
	name := d.Name
	for i := range name {
		if name[i] == '.' {
			name = name[:i]
			break
		}
	}
	switch name {
	case "evening", "morning", "recheck", "weekly", "remind", "commit":
		t.checkinDue(d.Name, d)
	default:
		t.lifeDue(name, d)
	}
}

// Work handles one event after another in room of its own. It is Next in
// place, for whoever plays many nights of many patients: the patient given is
// the one changed, and what comes back counts until the next event. A zero
// Work is ready; it serves one caller at a time.
type Work struct{ t turn }

// Next says what happens next. The practice and the event are not changed; the
// patient's lists are the caller's to share with nobody (Patient.Twin).
func (w *Work) Next(pr *practice.Practice, p *Patient, e *Event) *Out {
	t := &w.t
	t.start(pr, p, e)
	t.run()
	return &t.out
}

// Twin is a copy of a patient that shares nothing that an event changes.
func (p *Patient) Twin() Patient {
	q := *p
	q.unshare()
	return q
}
