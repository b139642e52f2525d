package flows

import (
	"slices"

	"duskdawn/flows/message"
)

// The record of what a patient was told is the words as they went out. What is
// open changes afterwards, and so do numbers; nothing of it may change what a
// card says that somebody once read.

// Words are the paragraphs of one message that tell of an escalation, with their
// values, most of which several of them have: each value is kept once.
type Words struct {
	Keys []string      `cbor:"1,keyasint,omitempty"`
	Args []message.Arg `cbor:"2,keyasint,omitempty"`
	Of   []uint32      `cbor:"3,keyasint,omitempty"` // of each paragraph the values it has, a bit each
}

// Lines gives them as they were said.
func (w *Words) Lines() []message.Line {
	lines := make([]message.Line, len(w.Keys))
	for i, key := range w.Keys {
		lines[i].Key = key
		for j, a := range w.Args {
			if i < len(w.Of) && w.Of[i]&(1<<j) != 0 {
				lines[i].Args = append(lines[i].Args, a)
			}
		}
	}
	return lines
}

// wordsMost is how many bytes the words about all that is open may take, about: a
// patient's stored form is small, and the newest matter most.
const wordsMost = 2400

// saidBefore is what an escalation's words were before this turn told it anew.
type saidBefore struct {
	n     int32
	told  string
	via   int32
	heard bool
	words Words
}

// companions are what is said beside any caution and belongs to it: the emergency
// number, what to use instead, and when somebody calls.
var companions = [...]string{emergencyLine, "advice.other", "advice.noother", "advice.noother.own", "advice.nodrive",
	"when.soon", "when.today", "when.workday", "when.next", "when.read", "when.list", "when.closed", "when.before", "when.emergency", "when.call", "when.nobody",
	"stop.fallback", "pause.keep", "out.stays", "out.call"}

// keepWords keeps, with each escalation that was told of in this turn, what went out
// about it. Where an emergency left it unsaid, what was said before stands.
func (t *turn) keepWords() {
	for i := range t.told {
		was := &t.told[i]
		esc := t.escalation(was.n)
		if esc == nil || esc.Told == "" {
			continue
		}
		esc.Words = Words{}
		for j := range t.out.sends {
			if s := &t.out.sends[j]; t.mineTo(s) && (!t.alarm || s.Lane == LaneUrgent) && esc.Words.take(esc.Told, s.Msg.Lines) {
				break
			}
		}
		switch {
		case esc.Words.Keys != nil:
		case t.alarm:
			esc.Told, esc.Via, esc.Heard, esc.Words = was.told, was.via, was.heard, was.words
		default: // nothing was sent, as where the chat is closed: they stand as they would have been said
			esc.Words.take(esc.Told, []message.Line{message.Say(esc.Told, t.numbers()...)})
		}
	}
	if len(t.told) > 0 {
		t.fitWords()
	}
}

// take keeps of a message the line of that key and what belongs to it; false where
// the message does not have it.
func (w *Words) take(told string, lines []message.Line) bool {
	if !slices.ContainsFunc(lines, func(l message.Line) bool { return l.Key == told }) {
		return false
	}
	for _, l := range lines {
		if l.Key != told && !slices.Contains(companions[:], l.Key) || slices.Contains(w.Keys, l.Key) {
			continue
		}
		of := uint32(0)
		for _, a := range l.Args {
			at := slices.Index(w.Args, a)
			if at < 0 {
				at = len(w.Args)
				w.Args = append(w.Args, a)
			}
			of |= 1 << at
		}
		w.Keys, w.Of = append(w.Keys, l.Key), append(w.Of, of)
	}
	return true
}

// fitWords forgets the oldest where all together are too much to keep.
func (t *turn) fitWords() {
	left := wordsMost
	for i := len(t.p.Escalations) - 1; i >= 0; i-- {
		w := &t.p.Escalations[i].Words
		size := 0
		for _, key := range w.Keys {
			size += len(key) + 1
		}
		for _, a := range w.Args {
			size += len(a.Name) + len(a.S) + 8
		}
		if size > left {
			*w, size = Words{}, 0
		}
		left -= size
	}
}
