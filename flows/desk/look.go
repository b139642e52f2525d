package desk

import (
	"slices"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// What raises a ceiling or the pace is looked at twice: by another clinician, or by
// its author when ten minutes have gone by. Until then it is not ordered.

// lookMinutes is after how long the author of a raise may look again (a proposal).
const lookMinutes = 10

// lookName is the timer that reminds of it.
const lookName = "look"

// raises reports whether a plan lets the appliance go further, or faster, than the old one.
func raises(old, new chart.Plan) bool {
	o, n := old.Limits, new.Limits
	return n.Ceiling > o.Ceiling || n.Pace > o.Pace || n.Interval < o.Interval || n.Timetable && !o.Timetable || n.Timetable && o.Timetable && n.TimetableTop > o.TimetableTop
}

// askLook asks who looks a second time.
func (t *turn) askLook() {
	f := &t.c.Form
	f.Stage, f.Nonce = Looking, t.nonce()
	m := message.Message{Lines: []message.Line{message.Say("desk.look.ask", message.ArgS("label", f.Brief.Enrolment.Label),
		span(lookMinutes))}}
	for _, s := range t.signers() {
		if s.ID != t.who.ID {
			m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say("desk.b.to", message.ArgS("who", s.Label)),
				"to"+cut(s.ID, 14))})
		}
	}
	m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say("desk.b.later", span(lookMinutes)), "later")},
		[]message.Button{t.tap("desk.b.back", "back"), t.tap("desk.b.cancel", "x")})
	t.send(m)
}

func (t *turn) lookTap(arg string) {
	f := t.c.Form
	d := flows.Draft{Filled: f.Filled, Actor: t.actor(), Order: &f.Order, Brief: f.Brief}
	label := message.ArgS("label", f.Brief.Enrolment.Label)
	if id, to := strings.CutPrefix(arg, "to"); to {
		s, known := t.pr.ByID(id)
		if !known || !s.Reachable() || s.Role != practice.Clinician || s.ID == t.who.ID {
			t.askLook()
			return
		}
		t.tell(flows.Target{Chat: s.Chat}, d)
		t.log("desk.look.sent", message.ArgS("who", s.ID), message.ArgS("patient", string(f.Brief.Patient)))
		t.c.Form = Form{}
		t.say(message.Say("desk.look.sent", message.ArgS("who", s.Label), label))
		return
	}
	if arg != "later" || len(t.c.Drafts) >= maxDrafts {
		t.askLook()
		return
	}
	d.Nonce, d.Due = t.nonce(), t.now()+lookMinutes*60
	t.c.Drafts = append(t.c.Drafts, d)
	t.out = append(t.out, flows.SetTimer{Name: lookName, After: lookMinutes})
	t.c.Form = Form{}
	t.say(message.Say("desk.look.later", label, span(lookMinutes)))
}

// due reminds the author of a raise that it may be looked at again.
func (t *turn) due(b flows.Due) {
	if b.Name == asideName {
		t.remindAside()
	}
	if b.Name != lookName {
		return
	}
	next := int64(0)
	for i := range t.c.Drafts {
		switch d := &t.c.Drafts[i]; {
		case d.Due == 0 || d.Told:
		case d.Due <= t.now():
			d.Told = true
			t.offer(*d)
		case next == 0 || d.Due < next:
			next = d.Due
		}
	}
	if next != 0 {
		t.out = append(t.out, flows.SetTimer{Name: lookName, After: int(next-t.now()+59) / 60})
	}
}

// look opens what waits for a second look: all of it once more, with what it would do
// now, and then a yes; who is not its author proves to be who they are.
func (t *turn) look(i int) {
	d := t.c.Drafts[i]
	if !t.may(practice.Clinician, "look") {
		return
	}
	if left := d.Due - t.now(); left > 0 {
		t.say(message.Say("desk.look.wait", span(int(left+59)/60)))
		return
	}
	t.c.Drafts = slices.Delete(t.c.Drafts, i, i+1)
	if t.chatOf(d.Actor) == 0 { // whoever signed it signs no more
		t.say(message.Say("desk.look.left", message.ArgS("who", d.Actor.Name), message.ArgS("label", d.Filled.Enrolment.Label)))
		return
	}
	a := acts[actIndex(opPlan)]
	t.c.Form = Form{Op: opPlan, Nonce: t.nonce(), Stage: Waiting, At: int16(len(a.asks)), Filled: d.Filled, Order: *d.Order,
		Brief: d.Brief, Since: t.now(), From: d.Actor, Looked: true}
	t.preview()
}

// preview asks what the changed plan would do, as things stand.
func (t *turn) preview() {
	f, plan := &t.c.Form, t.c.Form.Filled.Enrolment.Plan
	t.tell(flows.Target{Patient: f.Brief.Patient}, flows.Order{Actor: t.actor(), Op: flows.OrderBrief, Chat: t.c.ID,
		Text: f.Nonce, Plan: &plan})
}

// previewed goes on with the answer. What was signed for a plan that is not in force
// any more comes to nothing.
func (t *turn) previewed(b flows.Brief) {
	f := &t.c.Form
	was, now := *f.Brief, &b.Enrolment.Plan
	if f.Looked && now.Rev != was.Enrolment.Plan.Rev {
		t.drop()
		t.say(message.Say("order.plan.stale", message.ArgN("rev", int(now.Rev)), message.ArgS("who", now.ByName), message.ArgS("label", was.Enrolment.Label)))
		return
	}
	plan, then := &f.Filled.Enrolment.Plan, &was.Enrolment.Plan
	if plan.Evening == then.Evening { // hours that were moved meanwhile stay moved: that is no new revision
		plan.Evening = now.Evening
	}
	if plan.Morning == then.Morning {
		plan.Morning = now.Morning
	}
	then.Evening, then.Morning = now.Evening, now.Morning
	was.Ahead, was.Nights, f.Brief, f.Stage = b.Ahead, b.Nights, &was, Asking
	t.question()
}

// seen fills in who signed and who looked, where that is somebody else.
func (t *turn) seen(o *flows.Order) {
	f := t.c.Form
	if !f.Looked {
		return
	}
	o.Second = t.who.ID
	if f.From.ID != t.who.ID {
		o.Actor, o.Chat = f.From, t.chatOf(f.From)
		t.say(message.Say("desk.look.done", message.ArgS("who", f.From.Name), message.ArgS("label", f.Brief.Enrolment.Label)))
	}
}

func span(n int) message.Arg {
	return message.Arg{Name: "time", Kind: message.ArgMinutes, N: int64(n)}
}
