package locales

import "bytes"

// negate finds which words each "not" belongs to: those behind it up to the first question's name and what stands
// right beside that, or the ones before it where it ends its clause ("pain: none").
func (p *prose) negate() {
	for i := range p.ws {
		w := &p.ws[i]
		alone := (i == 0 || p.ws[i-1].clause != w.clause) && (i+1 == len(p.ws) || p.ws[i+1].clause != w.clause)
		if (w.is(cNope) || w.is(cNone)) && alone && i > 0 {
			if p.nameAlone(i - 1) { // "headache, not at all"
				p.ws[i-1].not = true
				continue
			}
			p.contrary = p.contrary || w.is(cNope)
		}
		if w.is(cNope) && !alone && (i+1 == len(p.ws) || p.ws[i+1].clause != w.clause) {
			p.negateBack(i) // "headache? nope"
			continue
		}
		if !w.is(cNot) && !w.is(cNone) && !w.is(cCannot) {
			continue
		}
		if p.postfix(i) { // "headache no guide yes"
			p.ws[i-1].not = true
			p.mended = true
			continue
		}
		if i+1 == len(p.ws) || p.ws[i+1].clause != w.clause {
			p.contrary = !p.negateBack(i) && i > 0 || p.contrary
			continue
		}
		named := concept(0)
		for j, reach := i+1, behind; j < len(p.ws) && p.ws[j].clause == w.clause && reach > 0; j, reach = j+1, reach-1 {
			x := &p.ws[j]
			switch {
			case x.is(cNot), x.is(cNone):
				reach = 0
				continue
			case x.is(cAnd) && named != 0:
				reach = 0
				continue
			case x.kind == itemNumber && named != 0:
				reach = 0
				continue
			case named == cTaken && x.is(cAllNight), // "never took it out till morning"
				named != 0 && x.among(topical) && !kindred(named, x.c): // "no pain guide used"
				reach = 0
				continue
			case x.kind == itemConcept, x.kind == itemAnswer:
				x.not = true
				if x.among(topical) {
					named = x.c
				}
				if x.kind == itemAnswer {
					reach = 0
				}
			case x.kind == itemUnknown: // "no dramas wore it all night"
				reach = 0
				continue
			}
		}
	}
}

// postfix reports whether a "not" stands behind the bare name of one question, and the next has an answer of its own.
func (p *prose) postfix(i int) bool {
	names := setOf(cHeadache, cGuide, cPain, cSnore, cPauses, cDrive, cBite, cSleepy)
	if i == 0 || i+2 >= len(p.ws) || p.ws[i-1].clause != p.ws[i].clause || p.ws[i+2].clause != p.ws[i].clause ||
		!p.ws[i-1].said(names) || !p.ws[i+1].among(names) || p.ws[i-1].c == p.ws[i+1].c {
		return false
	}
	if i > 1 && p.ws[i-2].clause == p.ws[i].clause && (p.ws[i-2].among(setOf(cNot, cNone, cYes, cOK)) || p.ws[i-2].kind == itemNumber && i > 2 && !p.ws[i-3].among(names)) {
		return false
	}
	v := &p.ws[i+2]
	return v.among(setOf(cYes, cOK, cNone, cNope)) || v.kind == itemNumber && p.ws[i+1].c != cPain && p.ws[i+1].c != cSnore && i+3 == len(p.ws)
}

// nameAlone reports whether the name of a question is all that the clause of a word says, and nothing was denied of it.
func (p *prose) nameAlone(i int) bool {
	if !p.ws[i].among(setOf(cHeadache, cGuide, cPain, cSnore, cPauses)) || p.ws[i].not {
		return false
	}
	for j := range p.ws {
		if w := &p.ws[j]; j != i && w.clause == p.ws[i].clause && !w.among(setOf(cMorning, cAnd)) {
			return false
		}
	}
	return true
}

var bites = setOf(cMeet, cBite)

// denies reports whether the name of a matter is said and denied in one clause: "bite well it did not bite".
func (p *prose) denies() bool {
	for i := range p.ws {
		for j := range p.ws[:i] {
			if a, b := &p.ws[i], &p.ws[j]; a.clause == b.clause && a.not != b.not && a.among(topical) &&
				(b.is(a.c) || a.among(bites) && b.among(bites)) {
				return true
			}
		}
	}
	return false
}

// kin are names that one "not" may reach together: "did not use the guide", "no pain waking me".
var kin = []concepts{setOf(cPain, cWoke), setOf(cWorn, cGuide), setOf(cStopped, cChoke, cGasp, cPauses), setOf(cDrive, cAsleep),
	setOf(cMeet, cTeeth, cBite), setOf(cGone, cPain)}

func kindred(a, b concept) bool {
	for _, set := range kin {
		if set.has(a) && set.has(b) {
			return true
		}
	}
	return a == b
}

// negateBack takes a "not" that ends its clause for the words before it, unless they have one of their own. It reports
// whether there are any.
func (p *prose) negateBack(i int) bool {
	for j := i - 1; j >= 0 && p.ws[j].clause == p.ws[i].clause; j-- {
		if p.ws[j].not || p.ws[j].is(cNot) || p.ws[j].kind == itemNumber {
			return true
		}
	}
	j := i - 1
	if j < 0 || p.ws[j].clause != p.ws[i].clause {
		return false
	}
	if !p.ws[j].among(setOf(cGone, cAllNight)) {
		p.ws[j].not = p.ws[j].kind == itemConcept
	}
	return true
}

// deniesTwice reports whether one "not" stands right before another: "not without pain", "I didn't not wear it". A "no" that answers
// first is none: "no, not at all".
func (p *prose) deniesTwice() bool {
	for i := range p.ws[:max(len(p.ws)-1, 0)] {
		one, two := &p.ws[i], &p.ws[i+1]
		again := two.is(cNot) || two.kind == itemAnswer && bytes.HasPrefix(p.text[two.from:two.to], []byte("not ")) // "never not wore it"
		if one.is(cNot) && again && inClause(one, two) && string(p.text[one.from:one.to]) != "no" {
			return true
		}
	}
	return false
}
