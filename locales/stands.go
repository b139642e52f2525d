package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
	"duskdawn/locales/fold"
)

// Who types as on buttons, in numbers, names of questions and answers as they are chosen, is taken at their word: the net of verdicts hears
// little in so few words.

// stands reports whether a candidate that the grammar reads is written though it is not likely enough: it is all that is told of a day;
// or what a button says; or it is read of known words alone, and is spelled out, or not unlikely; or it is all but likely enough, and the
// grammar took in every word, or the claims say the same of "pain 2".
func (p *prose) stands(c *Candidate, share float32, l *left) bool {
	row, v := c.Token.Field.Row(), c.Token.Value
	label := l.labelled&(1<<c.Token.Field) != 0
	worded := row.Worded(v) && answer.RoleOf(c.Token.Field) == answer.RoleNone
	switch {
	case p.part: // "Fri not"; "Mon pain 3"
		no := p.closing && !slices.ContainsFunc(p.ws, func(w word) bool { return !w.among(setOf(cNot, cNone, cNope)) })
		spelled := c.grammar == votedSo && p.named(c.Token)
		return c.claims == votedSo && (share >= likelier || spelled && share >= spelledOut || no && share >= perhaps) && p.plain()
	case c.grammar != votedSo || c.claims == votedElse && (share < unlikely || !p.spelled()):
		return false
	case label && worded:
		return true
	case p.whole && p.terse && !p.maybe && !p.unfixed && (worded || c.Token.Field != chart.WornMinutes || v.Is(0) || p.lasts(v)):
		spelled := c.Token.Field != chart.Worn && (p.spelled() || p.spelledAt(c.Token, worded))
		return share >= perhaps || share >= unlikely && !worded || spelled
	}
	return label && p.whole || (label || p.whole || p.terse && c.claims == votedSo && p.named(c.Token)) && share >= likelier
}

// named reports whether the name of a question stands right before its number: "pain 2".
func (p *prose) named(t reading.Token) bool {
	for i := range p.ws[:max(len(p.ws)-1, 0)] {
		next := &p.ws[i+1]
		if p.ws[i].is(cField+concept(t.Field)) && next.kind == itemNumber && t.Value.Is(int(next.num.n)) && inClause(&p.ws[i], next) {
			return true
		}
	}
	return false
}

// lasts reports whether a number is a length of time as it stands: "in at ten" is no ten hours.
func (p *prose) lasts(v chart.Answer) bool {
	return slices.ContainsFunc(p.ws, func(w word) bool { return w.kind == itemNumber && w.num.kind == isSpan && v.Is(int(w.num.n)) })
}

// plain reports whether every word of a part is known.
func (p *prose) plain() bool {
	return !slices.ContainsFunc(p.ws, func(w word) bool { return w.kind == itemUnknown })
}

// spellings are the names of questions and of answers as they are chosen.
var spellings = mouth.or(setOf(cPain, cSnore, cSleepy, cGuide, cSetting, cLeft, cRight, cBite, cBack, cOK, cOne, cFront, cBoth, cTeeth, cUsed, cAfter, cNot, cNone))

// spells reports whether a word is a number, the name of a question, or an answer as it is chosen.
func (w *word) spells() bool {
	return w.kind == itemNumber || w.kind == itemAnswer || w.among(spellings)
}

// spelled reports whether a text says no more than numbers, names of questions and answers as they are chosen, and apart from them for
// how much of the night it was worn.
func (p *prose) spelled() bool {
	nights := setOf(cAllNight, cPartNight)
	return p.terse && !slices.ContainsFunc(p.ws, func(w word) bool {
		alone := w.among(nights) && !slices.ContainsFunc(p.ws, func(x word) bool { return inClause(&x, &w) && !x.among(nights.or(mouth)) })
		return !w.spells() && !alone
	})
}

// spelledAt reports whether a clause in which the number of an answer stands, or the name of what there is none of or is answered in words,
// says no more than that, and denies nothing twice.
func (p *prose) spelledAt(t reading.Token, worded bool) bool {
	return slices.ContainsFunc(p.ws, func(n word) bool {
		nots := 0
		none := (worded || t.Value.Is(0)) && n.is(cField+concept(t.Field)) || n.kind == itemAnswer && n.field == t.Field && n.value == t.Value
		return (none || n.kind == itemNumber && !n.num.neg && t.Value.Is(int(n.num.n))) && !slices.ContainsFunc(p.ws, func(w word) bool {
			nots += btoi(inClause(&w, &n) && w.is(cNot))
			return inClause(&w, &n) && !w.spells() || nots > 1
		})
	})
}

// strange counts the words of a text of more than three letters that have no meaning that the grammar knows.
func (p *prose) strange() (many int) {
	var buf [48]fold.Span
	for _, w := range fold.Words(p.text, buf[:0]) {
		many += btoi(w.To-w.From > 3 && !slices.ContainsFunc(p.ws, func(x word) bool {
			return x.from <= int32(w.From) && int32(w.From) < x.to && x.kind != itemUnknown
		}))
	}
	return many
}
