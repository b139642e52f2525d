package desk

import (
	"duskdawn/flows"
	"duskdawn/flows/message"
)

// A form that is open does not keep its person from anything else: it can be set aside,
// one at a time, and is there again when the other thing is done.

// Ways out of a form, as the arguments of its buttons.
const (
	asideArg = "aside"
	againArg = "again"
)

// busy says that one form is open, and offers to go on with it, to set it aside for
// what was pressed, or to cancel it.
func (t *turn) busy(want flows.Tap) {
	f := &t.c.Form
	key := "desk.form.busy.two"
	if t.c.Aside == nil { // it waits for an answer about the patient
		key = "desk.form.open"
	}
	rows := [][]message.Button{{t.tap("desk.b.carryon", againArg), t.tap("desk.b.cancel", "x")}}
	if t.c.Aside == nil && f.Stage != Waiting {
		f.Want, key = &flows.Tap{Op: want.Op, Arg: want.Arg, Nonce: want.Nonce, Patient: want.Patient}, "desk.form.busy"
		rows = append([][]message.Button{{t.tap("desk.b.aside", asideArg)}}, rows...)
	}
	t.send(message.Message{Lines: []message.Line{message.Say(key, message.ArgK("what", opKey(f.Op)))}, Inline: rows})
}

// menuWant is the button of the menu that a word stands for.
func menuWant(arg string) flows.Tap { return flows.Tap{Op: opMenu, Arg: arg} }

// setAside puts the open form away, and does what was pressed beside it.
func (t *turn) setAside() {
	f := t.c.Form
	if f.Want == nil || t.c.Aside != nil || f.Stage == Waiting {
		t.sayKey("desk.form.gone")
		return
	}
	want := *f.Want
	want.Chat, want.User = t.c.ID, t.c.ID
	f.Want, f.Secret = nil, ""
	t.c.Aside, t.c.Form = &f, Form{}
	t.tellAside()
	t.staffTapped(want)
}

// takeUp opens the form that was set aside again.
func (t *turn) takeUp() {
	switch {
	case t.c.Aside == nil:
		t.sayKey("desk.form.gone")
	case t.c.Open():
		t.busy(flows.Tap{Op: opForm, Arg: "takeup"})
	default:
		t.c.Form, t.c.Aside = *t.c.Aside, nil
		t.c.Form.Since = t.now()
		if t.c.Form.Stage == Proving || t.c.Form.Stage == Looking {
			t.c.Form.Stage = Summing
		}
		t.question()
	}
}

// asideName is the timer that reminds of it when the other form is closed; asideMinutes after
// how long: what that form came to is answered first.
const (
	asideName    = "aside"
	asideMinutes = 1
)

// remindAside says that a form was set aside, where no other is open.
func (t *turn) remindAside() {
	if t.c.Aside != nil && !t.c.Open() {
		t.tellAside()
	}
}

func (t *turn) tellAside() {
	t.send(message.Message{Lines: []message.Line{message.Say("desk.form.aside", message.ArgK("what", opKey(t.c.Aside.Op)))},
		Inline: [][]message.Button{{{Label: message.Say("desk.b.takeup"), Op: opForm, Arg: "takeup"}}}})
}

// reminding does what a person did, and where that has closed a form comes back to what was
// set aside for it.
func (t *turn) reminding(do func()) {
	open := t.c.Open()
	if do(); open && !t.c.Open() && t.c.Aside != nil {
		t.out = append(t.out, flows.SetTimer{Name: asideName, After: asideMinutes})
	}
}
