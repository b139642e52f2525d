package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
)

// item takes the next thing of a text.
func (p *parse) item(s tail, i int) {
	it := s[i]
	switch it.kind {
	case itemMark:
		if it.mark != '-' && it.mark != '+' && it.mark != '&' {
			p.mark()
		}
	case itemNumber:
		if p.isHour(s, i) {
			it.num = numeral{kind: isClock, n: it.num.n * 60}
		}
		p.numeral(it.num)
	case itemWeekday:
		if i > 0 && s[i-1].kind == itemConcept && s[i-1].c == cSince {
			p.loose = true
			return
		}
		p.day(0, reading.Day{Kind: reading.DayWeek, N: it.n})
	case itemAgo:
		p.day(0, reading.Day{Kind: reading.DaysAgo, N: it.n})
	case itemDay:
		p.day(0, it.day)
	case itemAnswer:
		p.answer(&p.d.senses[it.sense])
	case itemConcept:
		p.concept(s, i)
	case itemFeature:
		p.loose = true
	case itemUnknown:
		p.loose = true
		if p.negLeft--; p.negLeft < 0 {
			p.neg = false
		}
	}
}

// isHour reports whether a bare number is an hour of the clock: it stands behind "a las", or behind "at" with a time of
// day after it, or where a score is told of behind "at", "after", "since", "by": "no pain after 9".
func (p *parse) isHour(s tail, i int) bool {
	if s.number(i) && s[i].num.n <= 24 && i > 0 && (s.has(i-1, cAt) || s.has(i-1, cAfter) || s.has(i-1, cSince) || s.has(i-1, cBy)) && !s.lasts(i+1) &&
		(scoredTopic(p.frame.topic) || p.frame.topic == tNone && slices.ContainsFunc(s[i+1:], func(it item) bool { return it.kind == itemConcept && scoredTopic(opens[it.c]) })) {
		return true
	}
	if !s.number(i) || s[i].num.n > 24 || i == 0 || !s.has(i-1, cAt) || manners[p.frame.topic].time {
		return false
	}
	return p.d.senses[s[i-1].sense].langs&1 == 0 || s.has(i+1, cMorning) || s.has(i+1, cAfternoon) || s.has(i+1, cEvening)
}

// scoredTopic reports whether a number of a topic is a score, or minutes of the guide: none of them is told with "at".
func scoredTopic(t topic) bool {
	return t == tPain || t == tSnore || t == topic(chart.Sleepiness) || t == tGuide
}

// lasts reports whether the item i places on makes a number a length of time: "after 15 minutes".
func (s tail) lasts(i int) bool { return s.has(i, cMinute) || s.has(i, cHour) }

// mark ends a piece of the day: what waited has no question.
func (p *parse) mark() {
	p.close()
	p.flush()
	switch {
	case p.topics > 0:
	case p.has.has(cAllNight) && !p.neg:
		p.token(chart.Worn, chart.Num(chart.WornAll))
	case p.has.has(cAllNight), p.has.has(cPartNight):
		p.token(chart.Worn, chart.Num(chart.WornPart))
		p.whyOpen = true
	case p.has.has(cForgot) && !p.neg && !p.has.has(cHow):
		p.token(chart.Worn, chart.Num(chart.WornNo))
		p.token(chart.NotWorn, chart.Num(chart.ReasonForgot))
		p.why = true
	}
	if rest := p.has.and(plain); rest != p.has {
		p.loose = true
	}
	p.has, p.neg, p.skip, p.topics = concepts{}, false, false, 0
}

// plain are the concepts that may stand in a day without saying anything of it.
var plain = setOf(cWeek, cWeeks, cBut, cAnd, cOr, cTo, cAt, cBy, cAfter, cFor, cOn, cYes, cOK, cStill, cNow, cMorning, cNoon,
	cAfternoon, cEvening, cNight, cUsed, cJaw, cAppliance, cAllNight, cPartNight, cForgot, cHeard, cAM, cPM, cBack)

// flush lets numbers and times go that found no question. Hours by themselves
// are the hours it was worn.
func (p *parse) flush() {
	for _, it := range p.wait[:p.waiting] {
		switch {
		case it.num.kind == isSpan && it.num.hours:
			p.number(chart.WornMinutes, numeral{n: it.num.n}, 0, chart.WornMinutes.Row().Most)
		case it.num.kind == isSpan, it.num.kind == isClock:
			p.loose = true
			p.left.n++
		default:
			p.loners++
			p.left.n++
		}
	}
	p.waiting = 0
}

// numeral gives a number or a time to the open question, or lets it wait for
// the next.
func (p *parse) numeral(num numeral) {
	f := &p.frame
	switch num.kind {
	case isJunk:
		p.loose = true
		return
	case isDate:
		p.day(civil.Date(num.n), reading.Day{})
		return
	case isSpan, isClock:
		switch {
		case manners[f.topic].time && !f.hasAt && !f.hasNum && !(f.topic == tGuide && int(num.n) > chart.GuideMinutes.Row().Said) &&
			!(f.topic == tWorn && num.kind == isClock):
			f.time, f.clock, f.hours, f.hasAt = num.n, num.kind == isClock, num.hours, true
			return
		case f.topic == tPain, f.topic == tHead, p.has.has(cFor), f.topic == tWorn:
			p.loose = true // "pain 3 for 2 hours", "worn from 23:00"
			return
		}
	default:
		switch {
		case f.topic == tElse:
			p.loose = true
			return
		case manners[f.topic].number && !f.hasNum && !f.hasAt:
			f.num, f.hasNum = num, true
			return
		case f.topic.yesNo() && num.n == 0 && num.milli == 0 && f.empty():
			f.neg = true // "headache 0"
			return
		}
	}
	if p.waiting == len(p.wait) {
		p.flush()
	}
	p.wait[p.waiting] = item{num: num}
	p.waiting++
}

// day keeps the day that answers are about.
func (p *parse) day(night civil.Date, day reading.Day) {
	if p.frame.hasNum || p.frame.hasAt || p.frame.neg {
		p.close()
	}
	if p.nDays < len(p.days) {
		p.days[p.nDays] = dayAt{after: p.n, night: night, day: day}
		p.nDays++
	}
}

// answer takes a phrase that is an answer by itself.
func (p *parse) answer(s *sense) {
	neg := p.neg
	if t := p.frame.topic; t != tNone && (t == topic(s.field.Row().With) || t == tReason && s.field == chart.NotWorn) &&
		!p.frame.hasNum && !p.frame.hasAt {
		neg = neg || p.frame.neg
		p.frame = frame{}
	} else {
		p.close()
	}
	p.neg = false
	p.topics++
	v := s.value
	switch {
	case p.skip:
		v, p.skip = chart.Skipped, false
	case !neg:
	case s.field == chart.Worn && v.Is(chart.WornAll):
		v = chart.Num(chart.WornPart)
	case s.field.Row().Kind == chart.YesNo:
		v = chart.Num(chart.Yes - v.N())
	default:
		p.loose = true
		return
	}
	p.token(s.field, v)
	switch {
	case s.field == chart.Worn && !v.Is(chart.WornAll):
		p.whyOpen = true
	case s.field == chart.NotWorn:
		p.why = true
	}
}

// concept takes a meaning: it opens a question, adds to the open one, or waits
// for the next.
func (p *parse) concept(s tail, i int) {
	c, f := s[i].c, &p.frame
	next := i+1 < len(s) && s[i+1].kind == itemNumber && s[i+1].num.kind <= isBad
	switch {
	case c == cNone && f.topic != tNone && f.topic != tElse && !f.hasNum && !f.hasAt:
		f.neg = true // "pain: none"
		return
	case c == cNot || c == cNone || c == cCannot && !manners[f.topic].accepts.has(cCannot):
		p.not(s, i)
		return
	case c == cSkip:
		p.skip = true
		return
	case c == cSince:
		p.has.add(c)
		return
	case c == cBut:
		p.mark()
		return
	}
	if r, ok := reasonOf(c); ok && !next && p.wantsReason() && (c != cPain || f.topic != tNone || p.alone(s, i)) {
		p.because(r)
		return
	}
	t := opens[c]
	switch {
	case t == tNone && manners[f.topic].accepts.has(c), t != tNone && !next && manners[f.topic].accepts.has(c):
		f.has.add(c)
		if p.neg {
			f.neg, p.neg = true, false
		}
	case t == tNone:
		p.has.add(c)
	case t == f.topic && f.empty():
		f.first = c
	case f.topic == tRight && f.empty() && c == cSetting: // "right setting 4"
	case c == cBack && p.last != tBite && !timeFollows(s, i+1):
		p.has.add(c)
	default:
		p.open(t, c, i+1 < len(s) && s[i+1].kind == itemNumber)
		p.frame.before = p.frame.neg && (s.has(i-1, cNot) || s.has(i-1, cNone))
	}
}

// wantsReason reports whether a word that may be a reason is one: it was not
// worn, or taken out, and nothing was said yet of why.
func (p *parse) wantsReason() bool {
	if p.neg || p.why {
		return false
	}
	switch p.frame.topic {
	case tReason, tTaken:
		return true
	case tWorn:
		return p.whyOpen || p.frame.neg
	case tNone:
		return p.whyOpen
	}
	return false
}

// alone reports whether a pain is all that its clause says ("..., jaw pain"): then
// it is a reason, and not an answer of its own.
func (p *parse) alone(s []item, i int) bool {
	for i++; i < len(s) && s[i].kind != itemMark; i++ {
		if s[i].kind == itemConcept && s[i].c != cJaw && s[i].c != cMouthPart {
			return false
		}
	}
	return !p.has.has(cStill)
}

// because keeps why it was not worn.
func (p *parse) because(reason int) {
	if p.frame.topic == tWorn || p.frame.topic == tTaken {
		p.close()
	}
	p.token(chart.NotWorn, chart.Num(reason))
	p.why = true
	if p.frame.topic == tReason {
		p.frame = frame{}
	}
}

// timeFollows reports whether a time or "by noon" comes next.
func timeFollows(s []item, i int) bool {
	for ; i < len(s); i++ {
		switch {
		case s[i].kind == itemConcept && setOf(cAfter, cBy, cAt, cNow).has(s[i].c):
		case s[i].kind == itemConcept && s[i].c == cNoon:
			return true
		default:
			return s[i].kind == itemNumber
		}
	}
	return false
}

// open begins a question.
func (p *parse) open(t topic, c concept, next bool) {
	if p.frame.topic == tPain && t == tGone && p.frame.empty() {
		p.frame = frame{} // "pain gone by 9"
	}
	f := frame{topic: t, first: c, neg: p.neg, skip: p.skip, has: p.has.and(manners[t].accepts)}
	if was := &p.frame; was.topic == tWorn && t == tGuide && !was.hasNum && (!was.hasAt || was.early) {
		if was.hasAt { // "7 h used the guide"
			p.closeWorn(was)
		}
		f.neg = f.neg || was.neg // "did not use the guide"
		f.has.add(cWorn)
		p.frame = frame{}
	}
	p.close()
	p.has = p.has.and(setOf(cAllNight, cPartNight, cHow))
	p.neg, p.skip = false, false
	p.topics++
	if t != tElse {
		p.last = t
	}
	if p.waiting > 0 {
		w := p.wait[p.waiting-1].num
		timed := w.kind == isSpan || w.kind == isClock
		switch {
		case timed && !next && manners[t].time && !(t == tWorn && f.neg) && !(w.hours && (t == tGuide || t == tBite)):
			f.time, f.clock, f.hours, f.hasAt, f.early = w.n, w.kind == isClock, w.hours, true, true
			p.waiting--
		case !timed && t.yesNo() && w.n == 0 && w.milli == 0:
			f.neg = true // "zero headache"
			p.waiting--
		case !timed && manners[t].number && t != tBite && t != tGone && t != tTaken:
			f.num, f.hasNum = w, true
			p.waiting--
		}
	}
	p.flush()
	p.frame = f
}

// not finds what a negation belongs to: the open question where that ends or
// goes on with a word of its own, else the next one.
func (p *parse) not(s []item, i int) {
	f := &p.frame
	if f.topic != tNone && f.topic != tElse && !f.hasNum && !f.hasAt && !f.neg {
		switch {
		case i+1 >= len(s), s[i+1].kind == itemMark:
			f.neg = true
			return
		case s[i+1].kind == itemConcept && manners[f.topic].accepts.has(s[i+1].c):
			f.neg = true
			return
		case s[i+1].kind == itemConcept && opens[s[i+1].c] != tNone && i+2 < len(s) && s[i+2].kind == itemNumber:
			f.neg = true
			return
		}
	}
	p.neg, p.negLeft = true, 2
}

// howTo takes a question about how something is done for its card.
func (p *parse) howTo(items []item) {
	var has concepts
	for _, it := range items {
		switch {
		case it.kind == itemNumber:
			return
		case it.kind == itemConcept:
			has.add(it.c)
		}
	}
	if !has.has(cHow) {
		return
	}
	for _, c := range []struct {
		c concept
		t reading.Topic
	}{{cClean, reading.HowClean}, {cFirstWeek, reading.HowFirstWeek}, {cLipSeal, reading.HowLipSeal},
		{cGuide, reading.HowGuide},
		{cTurn, reading.HowStep}, {cTakeOut, reading.HowTakeOut}, {cPutIn, reading.HowPutIn}} {
		if has.has(c.c) && (has.meets(aches.or(setOf(cUncomf, cBroke, cLoose, cRash, cFever, cVomit))) || p.out.Features != 0) {
			p.out.Topic, p.out.Rest = c.t, true // the card, and what hurts
			return
		}
		if has.has(c.c) {
			p.out.Word, p.out.Topic = reading.WordHow, c.t
			p.out.Tokens, p.out.Rest, p.out.Doubt, p.out.About = nil, false, reading.NoDoubt, chart.NoField
			return
		}
	}
}
