package flows

import (
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows/message"
	"duskdawn/flows/redflag"
)

// The practice's outside call, for what nobody takes in the chat.

// callPauses are the minutes between outside calls that nobody answers to: they
// grow, so that whoever is on the way can do something, to four hours at the most.
var callPauses = [...]int{15, 30, 60, 120, 240}

// CallPause is how many minutes pass after that many outside calls of one
// trouble, before the next; 0 before the first.
func CallPause(made int) int {
	if made <= 0 {
		return 0
	}
	return callPauses[min(made, len(callPauses))-1]
}

// callWithin is for how many minutes a call that is made once is tried.
const callWithin = 30

// call orders the outside call, unless one was made a moment ago: again and again for
// an E, and for an S in office hours; for an S of the night once, and in the morning not
// before those who come in have had the time that an S has.
func (t *turn) call(esc *Escalation) {
	if t.now() < esc.CallAt {
		return
	}
	esc.Calls = min(esc.Calls+1, 9999)
	within := callWithin
	if esc.Class == redflag.ClassE || !t.closed() {
		within = CallPause(int(esc.Calls)) // then the next is ordered
		esc.CallAt = t.now() + int64(within)*60
	} else {
		opens, _ := t.pr.Opens(t.e.Office)
		esc.CallAt = t.now() + (minutesTo(t.e.Office, opens)+int64(Deadline(t.pr, esc.Class)+urgentRings[0]))*60
	}
	t.withdraw(callKey(esc.N))
	t.log("escalation.call", message.ArgN("n", int(esc.N)), message.ArgN("times", int(esc.Calls)))
	put(&t.out, isCall, &t.out.calls, Call{Class: esc.Class, Number: t.p.Headline(esc.N), Key: callKey(esc.N), Within: within})
}

// callMissed takes it that an outside call was not made. What would have waited
// for the office to open then rings now with those who are off duty, too: the
// others it just rang. An E rings with everyone anyway.
func (t *turn) callMissed(key string) {
	at := slices.IndexFunc(t.p.Escalations, func(x Escalation) bool { return callKey(x.N) == key })
	if at < 0 || !t.closed() {
		return
	}
	esc := &t.p.Escalations[at]
	if esc.AckBy != "" || esc.Class != redflag.ClassS {
		return
	}
	for i := range t.pr.Staff {
		if s := t.pr.Staff[i]; s.OffDuty && s.Reachable() {
			t.card(s, esc, message.Say("esc.head", message.ArgN("n", int(t.p.Headline(esc.N)))))
		}
	}
}

// callMade writes down that somebody outside was told.
func (t *turn) callMade(key string) {
	if number, ok := strings.CutPrefix(key, callHead); ok {
		t.log("escalation.called", message.ArgS("n", number))
	}
}

// callHead begins the key of an escalation's outside call.
const callHead = "call."

func callKey(n int32) string { return callHead + strconv.Itoa(int(n)) }
