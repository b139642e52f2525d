package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
	"duskdawn/locales/fold"
)

// Of a text that tells of several days nothing is written of a day that may not be the one that is meant.

// slips reports whether something is put right in a part of a text: "sorry", "I mean".
func (p *prose) slips(from, to int32) bool {
	return from < to && p.d.signsIn(p.text[from:to], "")&signSlip != 0
}

// astray marks the pieces of which it is not plain what is told of their day: where something is put right, before its day that of the day
// before it; where the writer does not remember; and where several days have several numbers.
func (p *prose) astray(pieces []piece) (doubtful []bool) {
	doubtful = make([]bool, len(pieces))
	if len(pieces) > 0 && p.slips(0, pieces[0].from) { // "I mean Sunday, not Saturday"
		for i := range doubtful {
			doubtful[i] = true
		}
	}
	vague := p.d.signsIn(p.text, "")&signBlank != 0
	for i := range pieces {
		q := &pieces[i]
		from := q.from
		if i > 0 {
			from = pieces[i-1].to
			before := pieces[i-1].ws
			no := len(before) > 1 && before[len(before)-1].among(setOf(cNot, cNope)) && slices.ContainsFunc(before, func(w word) bool { return w.kind == itemNumber }) // "Fri 5, no, Sat"
			doubtful[i-1] = doubtful[i-1] || no || p.slips(from, q.day)
		}
		figures, and, bad := 0, false, false
		for k := range q.ws {
			w := &q.ws[k]
			figures += btoi(w.kind == itemNumber && w.from >= q.from)
			bad = bad || w.kind == itemNumber && w.num.kind == isBad
			and = and || k+1 < len(q.ws) && w.is(cAnd) && k > 0 && q.ws[k-1].kind == itemNumber && q.ws[k+1].kind == itemNumber // "2 and 1"
		}
		many := len(q.days) > 1
		blank := vague && p.d.signsIn(p.text[from:max(q.to, from)], "")&signBlank != 0
		doubtful[i] = doubtful[i] || blank || q.two || and || p.slips(q.day, q.to) || many && (vague || bad || figures >= len(q.days))
	}
	return doubtful
}

// nameless reports whether a text names a day in words that are not read, as in a question, and may tell of it: "can we talk about Saturday?"
func (p *prose) nameless() bool {
	return p.days > 0 && !p.part && p.day == (reading.Day{}) && !slices.ContainsFunc(p.ws, func(w word) bool { return w.namesDay() })
}

// initials reports whether a text names days by their first letters, of which two may be alike: "V 6, S 7".
func (p *prose) initials() bool {
	var buf [64]fold.Span
	words, many := fold.Words(p.text, buf[:0]), 0
	for i := 0; i+1 < len(words); i++ {
		w, next := p.text[words[i].From:words[i].To], p.text[words[i+1].From:words[i+1].To]
		if len(w) == 1 && fold.IsDigit(next[0]) && p.d.signsIn(w, "")&signInitial != 0 {
			if many++; i == 0 {
				return true
			}
		}
	}
	return many > 1
}

// ownAlone are the questions that a piece answers in its own words, or with a bare "no": why Monday went as it did is not told of Tuesday.
var ownAlone = []chart.Field{chart.Worn, chart.NotWorn, chart.Woken, chart.Gone, chart.Bite, chart.Nose, chart.Driving}

// ownOnly leaves out what a piece answers in words of another one.
func (p *prose) ownOnly(q *prose, nets *Nets, all []Candidate) []Candidate {
	own := prose{d: p.d, hears: q.hears, part: true, from: q.from, to: q.to}
	said := false
	for _, w := range q.ws {
		if w.from >= q.from {
			own.ws = append(own.ws, w)
			said = said || !w.among(setOf(cNot, cNone, cNope, cYes, cAnd))
		}
	}
	if len(q.lead) == 0 || !said {
		return all
	}
	text := p.text[q.from:q.to]
	own.tags, own.said = nets.Answers.Tag(text), p.d.read(string(text), false).Tokens
	own.read()
	return slices.DeleteFunc(all, func(c Candidate) bool {
		f, v := c.Token.Field, c.Token.Value
		way := answer.WayOf(f, v)
		return slices.Contains(ownAlone, f) && own.byGrammar(f, v) != votedSo && own.byClaims(f, v) != votedSo && own.tags.Way[way] < perhaps
	})
}

// ofGuide reports whether a piece that says it was not used stands behind one that tells of the guide alone: which of the two was not used is
// asked.
func (p *prose) ofGuide(before *prose) bool {
	return before != nil && (before.has(chart.Guide) || before.has(chart.GuideMinutes)) && !before.has(chart.Worn) && !before.has(chart.WornMinutes) &&
		!p.any(setOf(cAppliance, cAllNight, cPartNight, cSlept))
}
