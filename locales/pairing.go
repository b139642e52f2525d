package locales

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/danger"
)

// mark is what a number may belong to, or a number, in the order said.
type mark struct {
	topic topic // tNone of a number
	at    int   // the word
}

// pairs shares numbers out among the questions that a text speaks of: where there is one of each, or where they take
// turns, question first or number first, all through the text; else sentence by sentence, else clause by clause. What
// is left over belongs to nobody. give reports whether the number was taken.
func (p *prose) pairs(topicOf func(i int) topic, isNumber func(i int) bool, give giver) (lone int) {
	var marks []mark
	for i := range p.ws {
		if isNumber(i) {
			marks = append(marks, mark{tNone, i})
		} else if t := topicOf(i); t != tNone {
			marks = append(marks, mark{t, i})
		}
	}
	return p.share(marks, 0, give)
}

// giver gives a number to a question, tNone for the one that is alone, and reports whether it answers it.
type giver func(t topic, at int) bool

// share shares out some marks; depth says how small their part of the text is.
func (p *prose) share(marks []mark, depth int, give giver) (lone int) {
	var turns []mark // without names said twice in a row
	numbers, first := 0, tNone
	several := false
	for _, m := range marks {
		switch {
		case m.topic == tNone:
			numbers++
		case first == tNone:
			first = m.topic
		case m.topic != first:
			several = true
		}
		if n := len(turns); m.topic == tNone || n == 0 || turns[n-1].topic != m.topic {
			turns = append(turns, m)
		}
	}
	switch {
	case numbers == 0:
		return 0
	case numbers == 1 && first == tNone:
		return 1 - btoi(give(tNone, turns[0].at))
	case numbers == 1 && first != tNone && !several:
		for _, m := range turns {
			if m.topic == tNone {
				give(first, m.at)
			}
		}
		return 0
	}
	if alternate(turns) && (depth == 2 || p.uniform(turns)) {
		nameFirst := turns[0].topic != tNone
		for i := 0; i+1 < len(turns); i += 2 {
			if nameFirst {
				give(turns[i].topic, turns[i+1].at)
			} else {
				give(turns[i+1].topic, turns[i].at)
			}
		}
		return 0
	}
	if depth == 2 {
		return p.beside2s(marks, give)
	}
	for i := 0; i < len(marks); {
		j := i + 1
		for j < len(marks) && p.together(depth, marks[i].at, marks[j].at) {
			j++
		}
		lone += p.share(marks[i:j], depth+1, give)
		i = j
	}
	return lone
}

// beside2s gives the numbers of a clause to the names that stand right beside them, on one side only.
func (p *prose) beside2s(marks []mark, give giver) (lone int) {
	for i, m := range marks {
		if m.topic != tNone {
			continue
		}
		before, after := tNone, tNone
		if i > 0 && marks[i-1].at == m.at-1 {
			before = marks[i-1].topic
		}
		if i+1 < len(marks) && marks[i+1].at == m.at+1 {
			after = marks[i+1].topic
		}
		switch {
		case before != tNone && (after == tNone || after == before):
			give(before, m.at)
		case before == tNone && after != tNone && (i == 0 || marks[i-1].topic == tNone): // "back after 5 min guide used" is not the guide's
			give(after, m.at)
		default:
			lone += 1 - btoi(give(tNone, m.at))
		}
	}
	return lone
}

// together reports whether two words stand in one sentence, or one clause.
func (p *prose) together(depth, a, b int) bool {
	if depth == 0 {
		return p.ws[a].sentence == p.ws[b].sentence
	}
	return p.ws[a].clause == p.ws[b].clause
}

// alternate reports whether names and numbers take turns, the same way all through.
func alternate(turns []mark) bool {
	if len(turns)%2 != 0 || turns[0].topic == tNone && turns[len(turns)-1].topic == tElse {
		return false
	}
	for i := 1; i < len(turns); i++ {
		if (turns[i].topic == tNone) == (turns[i-1].topic == tNone) {
			return false
		}
	}
	return true
}

// uniform reports whether either every name stands in the clause of its number, or none does.
func (p *prose) uniform(turns []mark) bool {
	same, across := 0, 0
	for i := 0; i+1 < len(turns); i++ {
		switch near := p.together(1, turns[i].at, turns[i+1].at); {
		case near && i%2 == 0:
			same++
		case near:
			across++
		}
	}
	return same == 0 && across == 0 || same == len(turns)/2
}

// isClock reports whether a number is a time of day: written so, or behind a word of time.
func (p *prose) isClock(i int) bool {
	w := &p.ws[i]
	if w.kind != itemNumber {
		return false
	}
	if w.num.kind == isClock {
		return true
	}
	if w.num.kind != isNumber && (w.num.kind != isBad || w.num.doubt != reading.IsHalf) || w.num.n > 24 {
		return false
	}
	return i > 0 && p.ws[i-1].clause == w.clause && p.ws[i-1].among(setOf(cAt, cBy, cAfter, cGone, cHalf, cSince, cAsleep, cWoke, cTaken, cNow)) ||
		i+1 < len(p.ws) && p.ws[i+1].clause == w.clause && p.ws[i+1].among(setOf(cAM, cPM, cMorning, cAfternoon, cEvening, cNight))
}

// isScore reports whether a number may be a score or a setting: whole, and not a count of something else.
func (p *prose) isScore(i int) bool {
	w := &p.ws[i]
	if w.kind != itemNumber || w.num.kind != isNumber && w.num.kind != isBad || p.isClock(i) {
		return false
	}
	if w.num.said && w.num.n == 1 { // "one" is a pronoun, too
		if i > 0 && p.ws[i-1].clause == w.clause && p.ws[i-1].is(cTo) && (i+1 == len(p.ws) || p.ws[i+1].clause != w.clause) {
			return true // "I'd give it a one"
		}
		return i > 0 && p.ws[i-1].clause == w.clause && topicOfScore[p.ws[i-1].c] != tNone ||
			i+1 < len(p.ws) && p.ws[i+1].clause == w.clause && topicOfScore[p.ws[i+1].c] != tNone
	}
	return true
}

// counts reports whether a number counts what stands behind it: "6 to a van", "40 girls".
func (p *prose) counts(i int) bool {
	next := i + 1
	if next >= len(p.ws) || p.ws[next].clause != p.ws[i].clause || p.ws[next].kind != itemUnknown {
		return false
	}
	return i == 0 || p.ws[i-1].clause != p.ws[i].clause || topicOfScore[p.ws[i-1].c] == tNone || p.ws[i-1].kind != itemConcept
}

// topicOfScore is the question whose score a concept may name.
var topicOfScore = map[concept]topic{cPain: tPain, cSore: tPain, cJoint: tPain, cMuscle: tPain, cTooth: tPain, cGum: tPain, cJaw: tPain,
	cSnore: tSnore, cLoud: tSnore, cSleepy: topic(chart.Sleepiness), cSetting: tSetting, cStands: tSetting, cStillAt: tSetting,
	cTurn: tSetting, cOtherPain: tElse, cHeadache: tHead, cPauses: tElse, cDrive: tElse, cGuide: tElse}

// scores shares the scores and settings out.
func (p *prose) scores() {
	sides := p.any(setOf(cSetting)) || p.any(setOf(cLeft)) && p.any(setOf(cRight)) // "left 5 right 4"
	hurts := p.any(setOf(cPain, cSore, cJoint, cMuscle, cTooth, cGum))
	bites := p.any(setOf(cMeet, cBite))
	defer p.bothSides()
	p.loners += p.pairs(func(i int) topic {
		w := &p.ws[i]
		switch {
		case w.kind == itemAnswer && w.field == chart.Woken && w.value.Is(chart.Yes) && !w.not:
			return tPain // "pain woke me at 2, a 6"
		case w.kind != itemConcept:
			return tNone
		case w.c == cSetting && i > 0 && p.ws[i-1].clause == w.clause && p.ws[i-1].among(setOf(cLeft, cRight)):
			return tNone // "left is on four"
		case sides && !hurts && w.c == cLeft:
			return tSetting
		case sides && !hurts && w.c == cRight:
			return tRight
		case w.c == cTeeth && !bites:
			return tPain
		case w.c == cPain && p.near(i, 1, setOf(cHead)):
			return tHead
		}
		return topicOfScore[w.c]
	}, func(i int) bool { return p.isScore(i) && !p.counts(i) }, p.score)
}

// bothSides keeps a setting that is told of both sides at once: "both on 4".
func (p *prose) bothSides() {
	at := -1
	for i := range p.ws {
		if p.isScore(i) {
			if at >= 0 {
				return
			}
			at = i
		}
	}
	if at < 0 || !p.any(setOf(cBoth)) || p.any(setOf(cMeet, cBite, cTeeth, cPain, cSnore, cSore, cGuide)) || p.any(sitesOf) || !p.any(setOf(cOn, cSetting, cAt)) || p.hears[danger.MatterSetting] < 0.03 {
		return
	}
	if n, doubt := p.ws[at].num.whole(); doubt == reading.NoDoubt && n <= mostSteps {
		p.claim[chart.SettingLeft], p.claim[chart.SettingRight] = claim{value: chart.Num(n)}, claim{value: chart.Num(n)}
	}
}

// score keeps a score or a setting.
func (p *prose) score(t topic, at int) bool {
	w := &p.ws[at]
	if t == tElse || t == tHead || t == tNone {
		return t != tNone
	}
	f := t.field()
	if f == chart.Pain || f == chart.Sleepiness {
		for i := range p.ws[:at] {
			if x := &p.ws[i]; x.sentence == w.sentence && x.kind == itemConcept && topicOfScore[x.c] == t && p.others(i) {
				p.bar(f) // "my mother has jaw pain too, a 6"
				return true
			}
		}
	}
	if f == chart.Pain && at > 0 && p.ws[at-1].among(setOf(cLeft, cRight)) && !p.speaksOf(at, setOf(cPain, cSore, cJaw, cTeeth).or(sitesOf)) {
		p.doubt(f) // "pain, right side 3"
		return true
	}
	n, doubt := w.num.whole()
	row := f.Row()
	most := row.Said
	if row.Kind == chart.Setting {
		most = mostSteps
	}
	vague := at > 0 && p.ws[at-1].clause == w.clause && p.ws[at-1].among(setOf(cWorse, cNearly, cLittle, cOr))
	if row.Kind == chart.Setting && p.any(setOf(cLost)) { // "lost count, twelve or so"
		p.bar(f)
		return true
	}
	if doubt != reading.NoDoubt || n < row.Least || n > most || vague || row.Kind == chart.Setting && p.hears[danger.MatterSetting] < 0.1 {
		p.doubt(f)
		return true
	}
	p.say(f, chart.Num(n))
	return true
}

// lengths shares the lengths of time out among what is told in them.
func (p *prose) lengths() {
	restored := p.any(setOf(cMeet, cBite, cTeeth))
	inside, hurts := p.any(mouth), p.any(aches)
	p.loners += p.pairs(func(i int) topic {
		w := &p.ws[i]
		switch {
		case w.kind == itemAnswer && w.field == chart.Bite:
			return tBite
		case w.kind != itemConcept:
			return tNone
		case w.not && w.c != cPain, w.c == cGuide && p.unworn(i):
			return tNone
		case w.c == cGuide:
			return tGuide
		case w.among(setOf(cBite, cMeet)) && p.speaksOf(i, setOf(cWorn, cUsed)) && !p.speaksOf(i, setOf(cOK, cBack, cGone)):
			return tNone // "used what I bite on for fifteen minutes"
		case w.among(setOf(cBite, cTeeth, cMeet, cBack)) && restored:
			return tBite
		case w.among(setOf(cIn, cWorn, cUsed)) && p.near(i, 2, setOf(cGuide)) && p.speaksOf(i, setOf(cGuide)), w.c == cSlept && inside:
			return tNone
		case w.among(setOf(cWorn, cIn, cTaken, cAllNight, cPartNight)):
			return tWorn
		case w.c == cGone && restored && !hurts:
			return tNone
		case w.among(setOf(cDrive, cSlept, cLipSeal, cWeek, cPain, cGone, cSleepy)):
			return tElse
		}
		return tNone
	}, func(i int) bool { return p.ws[i].kind == itemNumber && p.ws[i].num.kind == isSpan }, p.length)
}

// length keeps a length of time.
func (p *prose) length(t topic, at int) bool {
	n := int(p.ws[at].num.n)
	if t == tNone && p.alone(at) {
		t = tWorn
	}
	if at > 0 && p.ws[at-1].kind == itemNumber && p.ws[at-1].num.kind == isNumber && !p.isClock(at-1) { // "seven, eight hours"
		p.doubt(chart.WornMinutes)
		return true
	}
	if t == tGuide && at > 0 && p.ws[at-1].clause == p.ws[at].clause && p.ws[at-1].is(cAfter) && p.any(bites) {
		p.doubt(chart.GuideMinutes) // "they met twenty minutes after the guide"
		return true
	}
	f := map[topic]chart.Field{tGuide: chart.GuideMinutes, tBite: chart.BiteMinutes, tWorn: chart.WornMinutes}[t]
	if at > 0 && p.ws[at-1].clause == p.ws[at].clause && p.ws[at-1].among(setOf(cWorse, cNearly, cLittle, cOr)) {
		p.doubt(f)
		return true
	}
	switch {
	case f == chart.NoField:
		return t != tNone
	case t != tWorn && p.ws[at].num.hours && (at == 0 || p.ws[at-1].clause != p.ws[at].clause): // "7 h bite ok"
	case n > f.Row().Said, f == chart.WornMinutes && n < 60, f == chart.BiteMinutes && n > 4*60:
		p.doubt(f)
	default:
		p.say(f, chart.Num(n))
	}
	return true
}

// alone reports whether hours are all that a clause says, and the text is of the night: "six hours, then it hurt".
func (p *prose) alone(at int) bool {
	pos, neg, unknown := p.beside(at, inClause)
	few := setOf(cFor, cAnd, cBut, cJust, cYes, cHalfway)
	if at+1 < len(p.ws) && p.ws[at+1].clause == p.ws[at].clause && p.ws[at+1].kind == itemUnknown {
		return false // "12 hours duty"
	}
	if !p.ws[at].num.hours || unknown > 1 || !neg.empty() || pos.and(few) != pos {
		return false
	}
	return p.any(failing.or(mouth).or(setOf(cTaken, cAllNight, cPartNight))) || len(p.ws) <= 3
}

// rivals takes the hours back where another number may be them: "10 hr reset, had it in for 8 of them", "six hours, if
// you can trust it".
func (p *prose) rivals() {
	if !p.has(chart.WornMinutes) {
		return
	}
	for i := range p.ws {
		w := &p.ws[i]
		if w.is(cUnsure) || w.kind == itemNumber && (w.num.kind == isNumber || w.num.kind == isBad && w.num.doubt == reading.IsHalf) && w.num.n <= 12 && !p.isClock(i) &&
			p.speaksOf(i, mouth.or(setOf(cFor, cAllNight))) && !p.speaksOf(i, scored) {
			p.doubt(chart.WornMinutes)
			return
		}
	}
}

// scored are the names of what is told in scores, settings and minutes.
var scored = setOf(cPain, cSore, cSnore, cLoud, cSleepy, cSetting, cStands, cStillAt, cTurn, cGuide, cBite, cHeadache).or(sitesOf)

// speaksOf reports whether the clause of a word names one of several concepts.
func (p *prose) speaksOf(i int, set concepts) bool {
	pos, neg, _ := p.beside(i, inClause)
	return pos.or(neg).meets(set)
}
