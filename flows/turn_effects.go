package flows

import (
	"duskdawn/flows/message"
)

// Out is what one event orders, each kind in a list of its own: nothing is
// boxed while a turn runs, and the lists can be used again for the next event.
type Out struct {
	order []ref // as ordered

	sends     []Send
	withdraws []Withdraw
	timers    []SetTimer
	clears    []ClearTimer
	notes     []Note
	logs      []Log
	tells     []Tell
	owns      []Own
	calls     []Call

	// Room for what messages are made of.
	args    []message.Arg
	lines   []message.Line
	choices []message.Choice
	rows    [][]message.Choice
}

// ref is one effect: its kind, and its place in the list of that kind.
type ref struct {
	kind effectKind
	at   int32
}

type effectKind uint8

const (
	isSend effectKind = iota
	isWithdraw
	isTimer
	isClear
	isNote
	isLog
	isTell
	isOwn
	isCall
)

// put adds an effect to the list of its kind.
func put[E Effect](o *Out, kind effectKind, list *[]E, x E) {
	o.order = append(o.order, ref{kind, int32(len(*list))})
	*list = append(*list, x)
}

// reset empties it and keeps its room.
func (o *Out) reset() {
	o.order = o.order[:0]
	o.sends, o.withdraws, o.timers, o.clears = o.sends[:0], o.withdraws[:0], o.timers[:0], o.clears[:0]
	o.notes, o.logs, o.tells, o.owns = o.notes[:0], o.logs[:0], o.tells[:0], o.owns[:0]
	o.calls = o.calls[:0]
	o.args, o.lines, o.choices, o.rows = o.args[:0], o.lines[:0], o.choices[:0], o.rows[:0]
}

// Effects is all of it in order, each a value of its own that may be kept.
func (o *Out) Effects() []Effect {
	if len(o.order) == 0 {
		return nil
	}
	out := make([]Effect, 0, len(o.order))
	for _, r := range o.order {
		switch r.kind {
		case isSend:
			out = append(out, o.sends[r.at])
		case isWithdraw:
			out = append(out, o.withdraws[r.at])
		case isTimer:
			out = append(out, o.timers[r.at])
		case isClear:
			out = append(out, o.clears[r.at])
		case isNote:
			out = append(out, o.notes[r.at])
		case isLog:
			out = append(out, o.logs[r.at])
		case isTell:
			out = append(out, o.tells[r.at])
		case isOwn:
			out = append(out, o.owns[r.at])
		case isCall:
			out = append(out, o.calls[r.at])
		}
	}
	return out
}

// Sends are the messages in order.
func (o *Out) Sends() []Send { return o.sends }

// Timers hands on, in order, what is set and what is taken back.
func (o *Out) Timers(set func(*SetTimer), clear func(name string)) {
	for _, r := range o.order {
		switch r.kind {
		case isTimer:
			set(&o.timers[r.at])
		case isClear:
			clear(o.clears[r.at].Name)
		}
	}
}

// keep leaves out the messages that are not wanted.
func (o *Out) keep(want func(*Send) bool) {
	order, sends := o.order[:0], o.sends[:0]
	for _, r := range o.order {
		if r.kind == isSend {
			s := &o.sends[r.at]
			if !want(s) {
				continue
			}
			r.at = int32(len(sends))
			sends = append(sends, *s)
		}
		order = append(order, r)
	}
	o.order, o.sends = order, sends
}

// keepArgs, row and rowsOf give values a place that outlives the turn: the
// list a caller wrote stays on its stack.
func (o *Out) keepArgs(args []message.Arg) []message.Arg {
	if len(args) == 0 {
		return nil
	}
	n := len(o.args)
	if cap(o.args)-n < len(args) {
		o.args, n = make([]message.Arg, 0, max(16, 2*cap(o.args), len(args))), 0
	}
	o.args = append(o.args, args...)
	return o.args[n:len(o.args):len(o.args)]
}

func (o *Out) row(cs ...message.Choice) []message.Choice {
	n := len(o.choices)
	if cap(o.choices)-n < len(cs) {
		o.choices, n = make([]message.Choice, 0, max(24, 2*cap(o.choices), len(cs))), 0
	}
	o.choices = append(o.choices, cs...)
	return o.choices[n:len(o.choices):len(o.choices)]
}

// rowsOf is an empty list of rows with room for n.
func (o *Out) rowsOf(n int) [][]message.Choice {
	at := len(o.rows)
	if cap(o.rows)-at < n {
		o.rows, at = make([][]message.Choice, 0, max(10, 2*cap(o.rows), n)), 0
	}
	o.rows = o.rows[:at+n]
	return o.rows[at : at : at+n]
}
