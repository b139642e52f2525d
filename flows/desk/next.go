package desk

import (
	"duskdawn/flows"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// Next says what happens next in a chat that is not a patient's: a stranger's,
// a staff member's, the staff group's. What reaches it of a patient's chat
// goes on to the patient.
func Next(pr practice.Practice, c Chat, e flows.Event) (Chat, []flows.Effect) {
	t := turn{pr: &pr, c: c, e: &e}
	t.c.Tries = append([]int64(nil), c.Tries...)
	t.c.Drafts = append([]flows.Draft(nil), c.Drafts...)
	switch b := e.Body.(type) {
	case flows.Said:
		t.said(b)
	case flows.Tap:
		t.tapped(b)
	case flows.Other:
		t.other(b)
	case flows.Bound:
		t.bound(b)
	case flows.NoSuchCode:
		t.noSuchCode()
	case flows.StaffBound:
		t.staffBound(b)
	case flows.Due:
		t.due(b)
	case flows.Brief:
		t.reminding(func() { t.brief(b) })
	case flows.Draft:
		t.draft(b)
	case flows.LabelTaken:
		t.labelTaken(b)
	case flows.Bounce:
		t.reach(b, true)
	case flows.Reached:
		t.reach(b, false)
	}
	t.behind()
	if pr.Frozen() && t.who.ID != "" {
		t.warn()
	}
	return t.c, t.out
}

// behind puts what a stranger is answered behind everybody else's: a flood of
// them delays nobody who is known.
func (t *turn) behind() {
	if t.c.Patient != "" || t.c.Staff != "" || t.c.ID == t.pr.Group && t.pr.Group != 0 {
		return
	}
	for i, x := range t.out {
		if s, ok := x.(flows.Send); ok && s.Chat == 0 && s.Lane == flows.LaneReply {
			s.Lane = flows.LaneStranger
			t.out[i] = s
		}
	}
}

// warn says first, in what a person of the practice is answered, that this is a
// restored copy.
func (t *turn) warn() {
	for i, x := range t.out {
		if s, ok := x.(flows.Send); ok && s.Chat == 0 {
			s.Msg.Lines = append([]message.Line{message.Say("desk.frozen", message.ArgD("date", t.pr.GapFrom.Date),
				message.ArgC("time", t.pr.GapFrom.Clock))}, s.Msg.Lines...)
			t.out[i] = s
			return
		}
	}
}

// turn is one event being handled: copies to work on, and what follows so far.
type turn struct {
	pr  *practice.Practice
	c   Chat
	e   *flows.Event
	who practice.Staff // who acts, where that is a person of the practice
	out []flows.Effect
	n   int
}

// send orders a message to this chat.
func (t *turn) send(m message.Message) {
	t.out = append(t.out, flows.Send{Lane: flows.LaneReply, Lang: t.c.Lang, Msg: m})
}

func (t *turn) say(lines ...message.Line) { t.send(message.Message{Lines: lines}) }

// sayKey is say for a line without values.
func (t *turn) sayKey(key string) { t.say(message.Say(key)) }

func (t *turn) tell(to flows.Target, b flows.Body) {
	t.out = append(t.out, flows.Tell{To: to, Body: b})
}

func (t *turn) log(what string, args ...message.Arg) {
	t.out = append(t.out, flows.Log{What: what, Args: args})
}

func (t *turn) nonce() string {
	t.n++
	return flows.NewNonce(t.e.Seed, t.n)
}

func (t *turn) now() int64 { return t.e.At.Unix() }

// actor is who acts, as the practice knows the person now.
func (t *turn) actor() flows.Actor {
	return flows.Actor{ID: t.who.ID, Name: t.who.Label, Chat: t.c.ID, Role: t.who.Role}
}

// person looks up who acts in a chat: in the practice, each time.
func (t *turn) person(user int64) (practice.Staff, bool) {
	if t.c.ID > 0 {
		user = t.c.ID
	}
	return t.pr.ByChat(user)
}

// followLanguage takes the app's language where there are texts for it.
func (t *turn) followLanguage(app string) {
	if t.c.Patient != "" || t.c.Staff != "" || app == "" {
		return
	}
	for _, l := range t.pr.Langs {
		if l == app {
			t.c.Lang = l
			return
		}
	}
}

func (t *turn) said(s flows.Said) {
	t.followLanguage(s.AppLang)
	if t.c.Patient != "" {
		t.tell(flows.Target{Patient: t.c.Patient}, s)
		return
	}
	if t.c.Group() {
		t.saidInGroup(s)
		return
	}
	if s.From != flows.FromPerson {
		return // another bot: answering could go round in circles
	}
	who, known := t.person(s.User)
	switch {
	case known && !who.Removed:
		t.who = who
		t.reminding(func() { t.staffSaid(s) })
	case s.Reading.Code != "":
		t.code(s)
	case known:
		t.removed("said")
	case t.danger(&s.Reading):
	default:
		t.stranger()
	}
}

func (t *turn) tapped(p flows.Tap) {
	if t.c.Patient != "" {
		t.tell(flows.Target{Patient: t.c.Patient}, p)
		return
	}
	who, known := t.person(p.User)
	switch {
	case t.c.Group() && t.c.ID != t.pr.Group:
		t.leaveGroup()
	case known && who.Removed:
		t.removed("tap." + p.Op)
	case !known:
		t.log("desk.refused.stranger", message.ArgS("op", p.Op))
		if t.c.Group() {
			t.quietly("desk.group.who")
		} else {
			t.stranger()
		}
	case t.c.Group():
		t.who = who
		t.tappedInGroup(p)
	default:
		t.who = who
		t.reachedAgain()
		t.reminding(func() { t.staffTapped(p) })
	}
}

func (t *turn) other(o flows.Other) {
	t.followLanguage(o.AppLang)
	switch who, known := t.person(o.User); {
	case t.c.Patient != "":
		t.tell(flows.Target{Patient: t.c.Patient}, o)
	case t.c.Group():
		if t.c.ID != t.pr.Group && o.Kind != "joined" {
			t.leaveGroup()
		}
	case o.From != flows.FromPerson:
	case known && who.Removed:
		t.removed("other")
	case known:
		t.who = who
		t.reachedAgain()
		t.sayKey("desk.textonly")
	default:
		t.stranger()
	}
}

// removed answers a person who was taken off the staff, and records the try.
func (t *turn) removed(what string) {
	t.c.Form = Form{}
	t.log("desk.refused.removed", message.ArgS("op", what))
	if t.c.Group() {
		t.quietly("desk.removed")
		return
	}
	t.sayKey("desk.removed")
}

// reach passes on that this chat, if it is a person's of the practice, can or
// cannot be reached.
func (t *turn) reach(b flows.Body, out bool) {
	t.c.Out = out
	if who, known := t.pr.ByChat(t.c.ID); known && !who.Removed {
		t.tell(flows.Target{Practice: true}, b)
	}
}

// reachedAgain clears the mark of a chat that bounced and now speaks.
func (t *turn) reachedAgain() {
	if t.who.Unreach {
		t.tell(flows.Target{Practice: true}, flows.Reached{Chat: t.c.ID})
	}
}
