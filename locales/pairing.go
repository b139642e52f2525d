package locales

import (
	"slices"

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
	if w.until {
		return true
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
	defer p.later()
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
		case w.c == cPartner && !p.any(scored.or(setOf(cFix, cThem, cChild))) && p.hears[danger.MatterSnoring] >= 0.5:
			return tSnore // "my wife gives it a 6"
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

// later takes a score of snoring back where whoever told it told another one, too: "snore 5, wife now says 6".
func (p *prose) later() {
	if p.loners > 0 && p.has(chart.Snoring) && p.any(setOf(cSays, cPartner)) {
		p.suspects(chart.Snoring)
	}
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
	row := f.Row()
	if f == chart.Pain || f == chart.Sleepiness || row.Kind == chart.Setting {
		for i := range p.ws[:at] {
			if x := &p.ws[i]; x.sentence == w.sentence && x.kind == itemConcept && topicOfScore[x.c] == t && p.others(i) {
				p.bar(f) // "my mother has jaw pain too, a 6"
				return true
			}
		}
	}
	if f == chart.Pain && w.about && !p.is(chart.Woken, chart.No) && !p.speaksOf(at, aches.or(sitesOf)) && slices.ContainsFunc(p.ws, func(x word) bool {
		return x.said(setOf(cWoke)) || x.kind == itemAnswer && x.field == chart.Woken && x.value.Is(chart.Yes)
	}) {
		p.bar(f) // "woke me about two"
		return true
	}
	if f == chart.Pain && p.elsewhere(at) {
		p.bar(f) // "my knee is a nine"
		return true
	}
	if f == chart.Pain && at > 0 && p.ws[at-1].among(setOf(cLeft, cRight)) && !p.speaksOf(at, setOf(cPain, cSore, cJaw, cTeeth).or(sitesOf)) {
		p.doubt(f) // "pain, right side 3"
		return true
	}
	n, doubt := w.num.whole()
	most := row.Said
	if row.Kind == chart.Setting {
		most = mostSteps
	}
	vague := at > 0 && p.ws[at-1].clause == w.clause && p.ws[at-1].among(setOf(cWorse, cNearly, cLittle, cOr, cMaybe))
	if row.Kind == chart.Setting && w.num.kind == isNumber && w.num.n <= 2 && at+1 < len(p.ws) && p.ws[at+1].clause == w.clause && p.ws[at+1].among(setOf(cSetting, cTurn)) &&
		(at == 0 || p.ws[at-1].clause != w.clause || !p.ws[at-1].among(setOf(cSetting, cStands, cAt, cOn))) {
		p.bar(f) // "moved it one notch"
		return true
	}
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

// elsewhere reports whether the clause of a number tells of a part of the body that is none of ours, and of none that is.
func (p *prose) elsewhere(at int) bool {
	return p.speaksOf(at, setOf(cBody)) && !p.speaksOf(at, setOf(cJaw, cTeeth, cJoint, cMuscle, cTooth, cGum, cMouthPart, cIn))
}

// speaksOf reports whether the clause of a word names one of several concepts.
func (p *prose) speaksOf(i int, set concepts) bool {
	pos, neg, _ := p.beside(i, inClause)
	return pos.or(neg).meets(set)
}
