package desk

import (
	"slices"

	"duskdawn/flows"
	"duskdawn/flows/message"
)

// What a list closes at once, and what it leaves for a person.

// wordsList is the list of words that wait for a person to read them, those that
// came first at its top.
const wordsList = "words"

// waitingWords are a patient's words in it, understood as perhaps a danger or not at all.
func waitingWords(p *flows.Patient) *flows.Escalation {
	for i := range p.Escalations {
		if x := &p.Escalations[i]; x.Quiet && x.List() == wordsList {
			return x
		}
	}
	return nil
}

func unreadLine(g *glance) (message.Line, bool) {
	x := waitingWords(g.p)
	if x == nil {
		return g.not()
	}
	key, args := "desk.l.words", []message.Arg{message.ArgD("day", x.Raised.Date), message.ArgC("time", x.Raised.Clock), message.ArgS("text", x.Quote)}
	if x.Unsure {
		key, args = "desk.l.doubt", append(args, message.ArgK("reason", flows.ReasonKey(x.Reason)))
	}
	return g.say(key, args...)
}

// staying is how many patients have something routine in a list that it does not close,
// since a person is asked to call.
func staying(word string, ps []flows.Patient) (n int) {
	for i := range ps {
		if slices.ContainsFunc(ps[i].Escalations, func(x flows.Escalation) bool { return x.Quiet && x.List() == word && ps[i].Stays(&x) }) {
			n++
		}
	}
	return n
}

// closable is how many patients a list would close something routine of, that
// came up no later than a second.
func closable(word string, ps []flows.Patient, at int64) (n int) {
	for i := range ps {
		if slices.ContainsFunc(ps[i].Escalations, func(x flows.Escalation) bool {
			return x.Quiet && !x.Unsure && x.List() == word && !ps[i].Stays(&x) && max(x.RaisedAt, x.GrewAt) <= at
		}) {
			n++
		}
	}
	return n
}
