package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// piece is what a text tells of one day, or of several alike.
type piece struct {
	days     []reading.Day
	ws       []word
	lead     []word // what stands before the first day, and is told of all
	from, to int32  // where its own words stand in the text
	day      int32  // where its first day does
	two      bool   // it may be of the night between two days, "Sunday to Monday", or of one of them alone
}

// namesDay reports whether a word names a day, or today beside another one.
func (w *word) namesDay() bool { return w.isDay() || w.is(cToday) }

// isLast reports whether a word names last night, or today.
func (w *word) isLast() bool { return w.is(cToday) || w.kind == itemAgo && w.n == 1 }

// pieces cuts a text into what it tells of each day: from each day to the next where the first one begins it, up to each
// day where the last one ends it, and else by clauses that name one each. It gives none where that cannot be told.
func (p *prose) pieces() (all []piece) {
	n := len(p.ws)
	first := slices.IndexFunc(p.ws, func(w word) bool { return w.namesDay() })
	if first < 0 {
		return nil
	}
	lead := p.ws[:first]
	add := func(ws []word, shared int) bool {
		one := piece{day: -1}
		for i := range ws {
			w := &ws[i]
			if one.day < 0 && w.namesDay() {
				one.day = w.from
			}
			if i > 0 && w.namesDay() && ws[i-1].namesDay() && p.slips(ws[i-1].to, w.from) { // "Wed, sorry, Thu"
				one.days, one.day = one.days[:max(len(one.days)-1, 0)], w.from
			} else if i > 0 && w.namesDay() && ws[i-1].namesDay() && p.d.signsIn(p.text[ws[i-1].to:max(w.from, ws[i-1].to)], "")&signWas != 0 {
				one.two = true // "not last night, it was Friday"
			}
			switch {
			case w.is(cToday):
				one.days = append(one.days, reading.Day{})
			case w.isDay() && i > 1 && ws[i-1].is(cTo) && w.kind == itemWeekday && ws[i-2].kind == itemWeekday: // "Mon to Thu"
				one.two = one.two || (ws[i-2].n+1)%7 == w.n
				for n := ws[i-2].n; n != w.n; {
					n = (n + 1) % 7
					one.days = append(one.days, reading.Day{Kind: reading.DayWeek, N: n})
				}
			case w.isDay():
				one.days = append(one.days, dayOf(&w.item))
			case w.is(cTo) && i > 0 && i+1 < len(ws) && ws[i-1].isDay() && ws[i+1].isDay():
			case len(one.ws) == 0 && w.is(cAnd):
			default:
				one.ws = append(one.ws, *w)
			}
		}
		one.lead = ws[:shared]
		own := ws[shared:]
		if len(own) > 0 {
			one.from, one.to = own[0].from, own[len(own)-1].to
		}
		if len(one.days) > 1 && one.days[0] == (reading.Day{}) { // "today Monday"
			one.days = one.days[1:]
		}
		all = append(all, one)
		tells := slices.ContainsFunc(own, func(w word) bool { return !w.namesDay() && !w.is(cAnd) })
		return len(one.days) > 0 && len(one.ws) > 0 && (tells || len(all) == 1)
	}
	group := func(i int) int { // behind the days that stand together; "clinic on Tuesday, last night 7 hours" is not of both
		at := i
		for i < n && inSentence(&p.ws[i], &p.ws[at]) && (p.ws[i].namesDay() && !p.apartFrom(i) || i > 0 && i+1 < n && (p.joinsDays(i) || p.ws[i].is(cTo) && p.ws[i-1].isDay() && p.ws[i+1].namesDay())) {
			i++
		}
		return i
	}
	elses := len(lead) > 0 && p.about(lead) == nil && p.ws[n-1].namesDay() // the first day is of something else: "bin day is Thursday, 6 hours last night"
	if !elses && !slices.ContainsFunc(lead, func(w word) bool { return w.tells() }) {
		daysFirst := true
		for i := first; i < n && daysFirst; {
			from := i
			for from < n && !p.ws[from].namesDay() {
				from++
			}
			from = group(from)
			j := from
			for j < n && !p.ws[j].namesDay() {
				j++
			}
			j = p.begins(from, j, group(j))
			daysFirst = add(append(slices.Clone(lead), p.ws[i:j]...), len(lead))
			i = j
		}
		if daysFirst {
			return all
		}
		all = nil
	}
	if p.ws[n-1].namesDay() {
		for i := 0; i < n; {
			j := i
			for j < n && !p.ws[j].namesDay() {
				j++
			}
			j = group(j)
			if !add(p.ws[i:j], 0) {
				return nil
			}
			i = j
		}
		return all
	}
	for i := 0; i < n; { // clauses of a day each, and those without one behind theirs
		j, named := i, 0
		for j < n && (p.ws[j].clause == p.ws[i].clause && !(named > 0 && (p.ws[j].is(cAnd) && !p.joinsDays(j) || p.apartFrom(j))) || named == 0) {
			if p.ws[j].namesDay() && (j == i || !p.ws[j-1].namesDay() && !p.joinsDays(j-1) || p.apartFrom(j)) {
				named++
			}
			j++
		}
		for j < n && named == 1 {
			k, more := j, false
			for k < n && p.ws[k].clause == p.ws[j].clause {
				more = more || p.ws[k].namesDay()
				k++
			}
			if more {
				break
			}
			j = k
		}
		if named != 1 || !add(p.ws[i:j], 0) {
			return nil
		}
		i = j
	}
	return all
}

// apartFrom reports whether last night is named right behind a weekday, which is of something else: "clinic on Tuesday last night 7 hours".
func (p *prose) apartFrom(i int) bool {
	return i > 0 && p.ws[i].isLast() && p.ws[i-1].kind == itemWeekday
}

// joinsDays reports whether an "and" joins the days on both sides of it: not where each has something of its own, "a 3 on Tuesday and Wednesday
// nothing".
func (p *prose) joinsDays(i int) bool {
	n := len(p.ws)
	if !p.ws[i].is(cAnd) || i == 0 || i+1 >= n || !p.ws[i+1].namesDay() {
		return false
	}
	if !p.ws[i-1].namesDay() {
		return true
	}
	before, behind := false, false
	for j := i - 1; j >= 0 && inClause(&p.ws[j], &p.ws[i]); j-- {
		before = before || p.ws[j].tells()
	}
	for j := i + 2; j < n && inClause(&p.ws[j], &p.ws[i]); j++ {
		if p.ws[j].namesDay() {
			return true
		}
		behind = behind || p.ws[j].tells()
	}
	return !before || !behind
}

// begins is where the piece of a day begins that stands at j, behind another piece's days: with its clause, where another one ended
// before it ("Mon all night, not Tue"), or with a "not" of a day behind which nothing stands.
func (p *prose) begins(from, j, behind int) int {
	if j == len(p.ws) {
		return j
	}
	for k := j; k >= from && k > 0; k-- {
		if p.ws[k-1].clause != p.ws[j].clause {
			return k
		}
	}
	if j > from && p.ws[j-1].among(setOf(cNot, cNone, cNope)) && (behind == len(p.ws) || p.ws[behind].clause != p.ws[j].clause) {
		return j - 1
	}
	return j
}

// tells reports whether a word may be an answer, and does not only name a question.
func (w *word) tells() bool {
	return w.kind == itemNumber || w.kind == itemAnswer || w.among(setOf(cAllNight, cPartNight, cForgot, cTaken, cYes, cNot, cNone, cNope,
		cGone, cStill, cOK, cHalfway, cBother, cMend, cIll, cAway, cLeftAway))
}

// namedOf are the names of questions that a piece may leave out.
var namedOf = setOf(cPain, cSnore, cSleepy, cHeadache, cGuide, cPauses, cBite, cMeet, cTeeth, cJoint, cMuscle, cTooth, cGum, cDrive, cWoke)

// namesTopic reports whether a piece names what it answers.
func (p *prose) namesTopic() bool {
	return p.any(namedOf.or(mouth).or(setOf(cAllNight, cPartNight, cForgot, cTaken, cLeftAway, cMend, cBother))) ||
		slices.ContainsFunc(p.ws, func(w word) bool { return w.kind == itemAnswer })
}

// carry completes a piece that names no question by what another tells: its names, its unit, and what a bare "no" or "yes"
// is of.
func (p *prose) carry(ref *prose) *prose {
	if ref == nil || p.namesTopic() {
		if len(p.ws) > 0 && p.ws[0].kind == itemAnswer && p.ws[0].field == chart.Worn && p.ws[0].value.Is(chart.WornNo) &&
			(ref != nil && (ref.has(chart.Guide) || ref.has(chart.GuideMinutes)) && !ref.any(setOf(cAllNight, cPartNight, cAppliance))) {
			p.denied = chart.Guide // "Tue the guide, Wed I did not use it"
		}
		return p
	}
	numbers, at := 0, -1
	for i := range p.ws {
		if w := &p.ws[i]; w.kind == itemNumber {
			numbers++
			at = i
		}
	}
	only, fields := chart.NoField, 0
	for f, c := range ref.claim {
		if c.value.Known() && chart.Field(f).Row().With == chart.Field(f) || c.value.Known() && chart.Field(f) != chart.NotWorn && !ref.has(chart.Field(f).Row().With) {
			only = chart.Field(f)
			fields++
		}
	}
	if fields != 1 {
		return p
	}
	switch {
	case numbers == 1 && p.ws[at].num.kind == isNumber:
		for i := range ref.ws {
			if w := &ref.ws[i]; w.kind == itemNumber && w.num.kind == isSpan && (only == chart.WornMinutes || only == chart.GuideMinutes || only == chart.BiteMinutes) {
				minutes := p.ws[at].num.n
				if w.num.hours {
					minutes = minutes*60 + int32(p.ws[at].num.milli)*60/1000
				}
				p.ws[at].num = numeral{kind: isSpan, n: minutes, hours: w.num.hours}
			}
		}
	case numbers > 0:
	case only == chart.Worn || only == chart.WornMinutes:
		return p // a bare "no" is a night without it
	}
	if len(p.ws) > 0 && p.ws[0].among(setOf(cNot, cNone, cNope)) { // "no", "none": of what the other tells
		p.denied = only
	}
	name := word{item: item{kind: itemConcept, c: cField + concept(only.Row().With)}}
	if only == chart.Woken {
		name.c = cWoke
	}
	if len(p.ws) > 0 {
		name.clause, name.sentence = p.ws[0].clause, p.ws[0].sentence
	}
	p.ws = append([]word{name}, p.ws...)
	return p
}
