package locales

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// People correct themselves: "pain 4, no wait, 2", "not five hours, seven". Where it is plain which number takes which
// one's place, the later one is read in the place of the first; everywhere else nothing is written and all of it is asked.

// mostBetween is how many words that nothing is known of may stand between a number and the one that takes its place.
const mostBetween = 5

// putRight takes corrections of numbers into the words, and notes those that are not plain.
func (p *prose) putRight() {
	for i := 0; i < len(p.ws); i++ {
		if p.replaceable(i) && p.notThat(i) {
			i = max(i-2, 0)
		}
	}
	for i := 0; i < len(p.ws); i++ {
		if p.replaceable(i) {
			p.instead(i)
		}
	}
}

// renamed finds the scores whose question was put right, and not the score: "pain 3, I mean snoring 3".
func (p *prose) renamed() (fields fieldSet) {
	for i := 0; i+4 < len(p.ws); i++ {
		ws := p.ws[i : i+5]
		for f := chart.NoField + 1; f < chart.NumFields; f++ {
			if own := cField + concept(f); f.Row().Kind == chart.Scale && ws[0].is(own) && ws[1].kind == itemNumber && ws[2].among(setOf(cFix, cSorry)) &&
				ws[3].among(topical) && !ws[3].is(own) && ws[4].kind == itemNumber && ws[4].num == ws[1].num {
				fields |= 1 << f
			}
		}
	}
	return fields
}

// replaceable reports whether a word is a number that another may take the place of.
func (p *prose) replaceable(i int) bool {
	w := &p.ws[i]
	return w.kind == itemNumber && !w.num.neg && (w.num.kind == isNumber && w.num.milli == 0 || w.num.kind == isSpan || p.isHalf(i)) && !p.isClock(i)
}

func (p *prose) isHalf(i int) bool {
	n := p.ws[i].num
	return n.kind == isBad && n.doubt == reading.IsHalf && n.n > 0
}

// instead looks for the one number that takes the place of another behind it: "4, no, hang on, 3".
func (p *prose) instead(i int) {
	w := &p.ws[i]
	at, last, unknown, marked, no, topic := -1, -1, 0, false, false, false
	said := i > 0 && p.ws[i-1].is(cFix) || i > 1 && p.ws[i-2].is(cFix) || i > 2 && p.ws[i-3].is(cFix) // "I wrote 9, it is 6"
	many := false
	for j := i + 1; j < len(p.ws); j++ {
		x := &p.ws[j]
		if at >= 0 && (x.kind == itemNumber && !p.like(i, j) || x.is(cFix)) {
			break
		}
		switch {
		case x.isDay():
			if at < 0 {
				return
			}
		case x.is(cFix), x.is(cSorry):
			marked = true
		case x.is(cNope), (x.is(cNot) || x.is(cNone)) && at < 0:
			no = true
		case p.like(i, j):
			same := p.same(i, j)
			if same && at < 0 {
				no = no || p.ws[j-1].is(cNot)
				continue
			}
			if at >= 0 && !p.same(at, j) {
				if !p.ownName(j) {
					many = true
				}
				continue
			}
			if at < 0 && topic {
				return
			}
			if at < 0 {
				at = j
			}
			last = j
		case x.kind == itemNumber:
			if at < 0 {
				return
			}
		case x.kind == itemUnknown:
			if at < 0 {
				unknown++
			}
		case x.kind == itemAnswer && at < 0, x.kind == itemConcept && at < 0 && topicOfScore[x.c] != tNone && !p.names(i, x.c),
			x.among(setOf(cGuide, cHeadache, cDrive, cPauses, cWoke, cGone, cAllNight, cPartNight, cBite, cMeet, cBack, cTeeth)) && at < 0 && !p.names(i, x.c):
			topic = true
		}
		if x.is(cAnd) && at < 0 && !marked && !no {
			return
		}
	}
	if at == i+1 && !marked && !no && p.ws[at].clause != w.clause && p.bareClause(at) && w.num.kind == isNumber && p.ws[at].num.kind == isNumber && !p.same(i, at) {
		p.unfixed, p.either = true, true // "two, three"
		return
	}
	if at < 0 || !(marked || no || said) {
		return
	}
	plain := !many && unknown <= mostBetween && !p.counts(at) && !p.others(at) && p.days == 0
	if !marked && !said && p.nameBehind(at, i) {
		return // "pain 4, no, 3 for the snoring"
	}
	if !plain || (said && !marked && !no && unknown > 2) {
		p.unfixed = true
		return
	}
	w.num = p.inUnit(i, at)
	for k := at + 1; k <= last && k < len(p.ws); k++ {
		if p.like(i, k) || p.ws[k].is(cFix) {
			at = k
		}
	}
	clause, sentence := p.ws[i].clause, p.ws[i].sentence
	for k := at + 1; k < len(p.ws) && p.ws[k].clause == p.ws[at].clause; k++ {
		p.ws[k].clause, p.ws[k].sentence = clause, sentence
	}
	if i > 0 && p.ws[i-1].is(cFix) {
		p.ws = append(p.ws[:i-1], p.ws[i:]...)
		i, at = i-1, at-1
	}
	p.ws = append(p.ws[:i+1], p.ws[at+1:]...)
	p.mended = true
}

// bareClause reports whether a number is all that its clause says.
func (p *prose) bareClause(i int) bool {
	return (i == 0 || p.ws[i-1].clause != p.ws[i].clause) && (i+1 == len(p.ws) || p.ws[i+1].clause != p.ws[i].clause)
}

// notThat takes "not five hours, seven" for seven hours, and "eight hours and not six" for eight.
func (p *prose) notThat(i int) bool {
	if i == 0 {
		return false
	}
	from := i - 1
	if !p.ws[from].is(cNot) && from > 0 && p.ws[from].among(setOf(cSetting, cStands, cAt, cOn)) {
		from--
	}
	if !p.ws[from].is(cNot) || p.ws[from].clause != p.ws[i].clause {
		return false
	}
	end := i+1 == len(p.ws) || p.ws[i+1].clause != p.ws[i].clause
	if end {
		for j := from - 1; j >= 0; j-- {
			if p.like(i, j) && !p.same(i, j) && j >= from-3 {
				p.ws = append(p.ws[:from], p.ws[i+1:]...)
				p.mended = true
				return true
			}
			if p.ws[j].kind == itemNumber {
				break
			}
		}
	}
	to := i + 1
	for to < len(p.ws) && to < i+4 && !p.like(i, to) && (p.ws[to].among(setOf(cSetting, cStands, cAt, cOn, cFix, cBut)) || p.ws[to].kind == itemUnknown && to == i+1) {
		to++
	}
	if to >= len(p.ws) || !p.like(i, to) || p.same(i, to) || p.ws[to].clause == p.ws[i].clause || p.counts(to) {
		return false
	}
	p.ws[to].num = p.inUnit(i, to)
	p.ws = append(p.ws[:from], p.ws[i+1:]...)
	p.mended = true
	return true
}

// like reports whether a number may take the place of another: of one kind, or a bare one that takes over its unit.
func (p *prose) like(i, j int) bool {
	if !p.replaceable(j) {
		return false
	}
	a, b := &p.ws[i].num, &p.ws[j].num
	return (a.kind == isSpan) == (b.kind == isSpan) || a.kind == isSpan
}

// same reports whether two numbers say the same.
func (p *prose) same(i, j int) bool { return p.inUnit(i, j) == p.inUnit(i, i) }

// inUnit is a number with the unit of the one whose place it takes.
func (p *prose) inUnit(i, j int) numeral {
	a, b := p.ws[i].num, p.ws[j].num
	if a.kind == isSpan && b.kind != isSpan {
		minutes := b.n
		if a.hours {
			minutes = b.n * 60
			if b.kind == isBad {
				minutes += 30
			}
		}
		return numeral{kind: isSpan, n: minutes, hours: a.hours}
	}
	b.said, b.long = false, false
	return b
}

// names reports whether a concept names the question that a number stands beside.
func (p *prose) names(i int, c concept) bool {
	t := topicOfScore[c]
	for j := range p.ws {
		if w := &p.ws[j]; j != i && j <= i+1 && w.kind == itemConcept && w.clause == p.ws[i].clause && (w.c == c || t != tNone && topicOfScore[w.c] == t) {
			return true
		}
	}
	return false
}

// ownName reports whether the clause of a number names a question.
func (p *prose) ownName(i int) bool {
	return p.speaksOf(i, scored)
}

// nameBehind reports whether the clause of a number names a question that stands not beside the other number.
func (p *prose) nameBehind(at, i int) bool {
	for j := range p.ws {
		if w := &p.ws[j]; j > at && w.clause == p.ws[at].clause && w.kind == itemConcept && scored.has(w.c) && !p.names(i, w.c) {
			for k := range p.ws[:i] {
				if p.ws[k].kind == itemConcept && scored.has(p.ws[k].c) {
					return true
				}
			}
		}
	}
	return false
}

// flips reports whether what was denied is said after all, or the other way round: "no headache, hmm, yes, a small one".
func (p *prose) flips() bool {
	for i := range p.ws {
		w := &p.ws[i]
		yes := w.is(cYes)
		if !yes && !w.is(cNot) || i == 0 || p.ws[i-1].clause == w.clause || p.speaksOf(i, topical.or(setOf(cOK))) {
			continue
		}
		if !yes && (i+2 >= len(p.ws) || p.ws[i+2].clause != w.clause) { // "no problem"
			continue
		}
		for j := range p.ws[:i] {
			x := &p.ws[j]
			if yes && x.denied(topical) || !yes && (x.is(cYes) || x.said(setOf(cAllNight))) {
				return true
			}
		}
	}
	return false
}

// settle bars what a correction that is not plain leaves in doubt: all of it is asked.
func (p *prose) settle() {
	if p.maybe {
		for f, c := range p.claim {
			if c.value.Known() && chart.Field(f).Row().Worded(c.value) {
				p.doubt(chart.Field(f))
			}
		}
	}
	if !p.unfixed && !p.any(setOf(cFix)) && !p.flips() {
		return
	}
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		switch {
		case p.either:
			p.bar(f)
		case !p.claim[f].barred:
			p.suspects(f)
		}
	}
}
