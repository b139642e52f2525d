package locales

import "duskdawn/flows"

// item takes the next thing of a text.
func (p *parse) item(s []item, i int) {
	it := s[i]
	switch it.kind {
	case itemMark:
		if it.mark != '-' && it.mark != '+' && it.mark != '&' {
			p.mark()
		}
	case itemNumber:
		p.numeral(it.num)
	case itemWeekday:
		p.day(0, flows.Day{Kind: flows.DayWeek, N: it.n})
	case itemAgo:
		p.day(0, flows.Day{Kind: flows.DaysAgo, N: it.n})
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

// mark ends a piece of the day: what waited has no question.
func (p *parse) mark() {
	p.close()
	p.flush()
	switch {
	case p.topics > 0:
	case p.has.has(cAllNight) && !p.neg:
		p.token(flows.Worn, flows.Num(flows.WornAll))
	case p.has.has(cAllNight), p.has.has(cPartNight):
		p.token(flows.Worn, flows.Num(flows.WornPart))
		p.whyOpen = true
	case p.has.has(cForgot) && !p.neg && !p.has.has(cHow):
		p.token(flows.Worn, flows.Num(flows.WornNo))
		p.token(flows.NotWorn, flows.Num(flows.ReasonForgot))
		p.why = true
	}
	if rest := p.has.and(plain); rest != p.has {
		p.loose = true
	}
	p.has, p.neg, p.skip, p.topics = concepts{}, false, false, 0
}

// plain are the concepts that may stand in a day without saying anything of it.
var plain = setOf(cBut, cAnd, cOr, cTo, cAt, cBy, cAfter, cFor, cOn, cYes, cOK, cStill, cNow, cMorning, cNoon,
	cAfternoon, cEvening, cNight, cUsed, cJaw, cAppliance, cAllNight, cPartNight, cForgot, cHeard, cAM, cPM, cBack)

// flush lets numbers and times go that found no question. Hours by themselves
// are the hours it was worn.
func (p *parse) flush() {
	for _, it := range p.wait[:p.waiting] {
		switch {
		case it.num.kind == isSpan && it.num.hours:
			p.number(flows.WornMinutes, numeral{n: it.num.n}, 0, 1440)
		case it.num.kind == isSpan, it.num.kind == isClock:
			p.loose = true
		default:
			p.loners++
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
		p.day(flows.Date(num.n), flows.Day{})
		return
	case isSpan, isClock:
		switch {
		case takesTime[f.topic] && !f.hasAt && !f.hasNum && !(f.topic == tGuide && num.n > 240) && !(f.topic == tWorn && num.kind == isClock):
			f.time, f.clock, f.hours, f.hasAt = num.n, num.kind == isClock, num.hours, true
			return
		case f.topic == tPain, f.topic == tHeadache, p.has.has(cFor), f.topic == tWorn:
			p.loose = true // "pain 3 for 2 hours", "worn from 23:00"
			return
		}
	default:
		switch {
		case f.topic == tElse:
			p.loose = true
			return
		case takesNumber[f.topic] && !f.hasNum && !f.hasAt:
			f.num, f.hasNum = num, true
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
func (p *parse) day(night flows.Date, day flows.Day) {
	if p.frame.hasNum || p.frame.hasAt || p.frame.neg {
		p.close()
	}
	if p.nDays < len(p.days) {
		p.days[p.nDays] = dayAt{after: p.n, night: night, day: day}
		p.nDays++
	}
}

// related groups questions that are about one thing.
var related = [flows.NumFields]topic{flows.Worn: tWorn, flows.WornMinutes: tWorn, flows.NotWorn: tWorn, flows.Snoring: tSnore,
	flows.Reporter: tSnore, flows.Pain: tPain, flows.Woken: tPain, flows.Where: tPain, flows.Gone: tPain, flows.Guide: tGuide,
	flows.GuideMinutes: tGuide, flows.Bite: tBite, flows.BiteMinutes: tBite, flows.Nose: tNose, flows.Sleepiness: tSleepy,
	flows.Driving: tDrive, flows.Pauses: tPauses, flows.Headache: tHeadache}

// answer takes a phrase that is an answer by itself.
func (p *parse) answer(s *sense) {
	neg := p.neg
	if t := p.frame.topic; t != tNone && (t == related[s.field] || t == tReason && s.field == flows.NotWorn) && !p.frame.hasNum && !p.frame.hasAt {
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
		v, p.skip = flows.Skipped, false
	case !neg:
	case s.field == flows.Worn && v.Is(flows.WornAll):
		v = flows.Num(flows.WornPart)
	case s.field == flows.Woken || s.field == flows.Guide || s.field == flows.Nose || s.field == flows.Pauses || s.field == flows.Wrong:
		v = flows.Num(flows.Yes - v.N())
	default:
		p.loose = true
		return
	}
	p.token(s.field, v)
	switch {
	case s.field == flows.Worn && !v.Is(flows.WornAll):
		p.whyOpen = true
	case s.field == flows.NotWorn:
		p.why = true
	}
}

// concept takes a meaning: it opens a question, adds to the open one, or waits
// for the next.
func (p *parse) concept(s []item, i int) {
	c, f := s[i].c, &p.frame
	next := i+1 < len(s) && s[i+1].kind == itemNumber && s[i+1].num.kind <= isBad
	switch {
	case c == cNone && f.topic != tNone && f.topic != tElse && !f.hasNum && !f.hasAt:
		f.neg = true // "pain: none"
		return
	case c == cNot || c == cNone || c == cCannot && !accepts[f.topic].has(cCannot):
		p.not(s, i)
		return
	case c == cSkip:
		p.skip = true
		return
	case c == cBut:
		p.mark()
		return
	}
	if (p.whyOpen && (f.topic == tNone || f.topic == tWorn) || f.topic == tReason || f.topic == tTaken || f.topic == tWorn && f.neg) &&
		!p.neg && !p.why && !next {
		if r, ok := reasonOf(c); ok && (c != cPain || f.topic != tNone || p.alone(s, i)) {
			p.because(r)
			return
		}
	}
	t := opens[c]
	switch {
	case t == tNone && accepts[f.topic].has(c), t != tNone && !next && accepts[f.topic].has(c):
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
	}
}

// alone tells whether a pain is all that its clause says ("..., jaw pain"): then
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
	p.token(flows.NotWorn, flows.Num(reason))
	p.why = true
	if p.frame.topic == tReason {
		p.frame = frame{}
	}
}

// timeFollows tells whether a time or "by noon" comes next.
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
	f := frame{topic: t, first: c, neg: p.neg, skip: p.skip, has: p.has.and(accepts[t])}
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
		case timed && !next && takesTime[t] && !(t == tWorn && f.neg) && !(w.hours && (t == tGuide || t == tBite)):
			f.time, f.clock, f.hours, f.hasAt, f.early = w.n, w.kind == isClock, w.hours, true, true
			p.waiting--
		case !timed && takesNumber[t] && t != tBite && t != tGone && t != tTaken:
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
		case s[i+1].kind == itemConcept && accepts[f.topic].has(s[i+1].c):
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
		t flows.Topic
	}{{cClean, flows.HowClean}, {cFirstWeek, flows.HowFirstWeek}, {cLipSeal, flows.HowLipSeal}, {cGuide, flows.HowGuide},
		{cTurn, flows.HowStep}, {cTakeOut, flows.HowTakeOut}, {cPutIn, flows.HowPutIn}} {
		if has.has(c.c) {
			p.out.Word, p.out.Topic = flows.WordHow, c.t
			p.out.Tokens, p.out.Rest, p.out.Doubt, p.out.About = nil, false, flows.NoDoubt, flows.NoField
			return
		}
	}
}
