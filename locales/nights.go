package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// isDay reports whether an item names a day.
func (it *item) isDay() bool {
	return it.kind == itemWeekday || it.kind == itemAgo || it.kind == itemDay
}

// dayOf is the day that an item names.
func dayOf(it *item) reading.Day {
	switch it.kind {
	case itemWeekday:
		return reading.Day{Kind: reading.DayWeek, N: it.n}
	case itemAgo:
		return reading.Day{Kind: reading.DaysAgo, N: it.n}
	}
	return it.day
}

// daily reads a text that tells of several days, a piece a day: "Wed and Thu all night, Fri not", "pain was 8 on Monday, 3
// today". A piece that names no question answers that of the piece before it. Where one day's piece says nothing certain,
// nothing is taken of any.
func (p *prose) daily() {
	if p.byPieces(p.pieces()); len(p.parts) == 0 {
		p.headed()
	}
}

// byPieces reads the pieces one after another.
func (p *prose) byPieces(pieces []piece) {
	var last *prose
	certain, doubtful := true, p.astray(pieces)
	for i := range pieces {
		part := &prose{d: p.d, hears: p.hears, part: true, ws: slices.Clone(pieces[i].ws), from: pieces[i].from, to: pieces[i].to}
		part.retold = i == 0 && len(pieces) > 1 && len(pieces[0].days) == 1 && sameNight(pieces[0].days[0], reading.Day{}) &&
			!slices.ContainsFunc(part.ws, func(w word) bool { return !w.among(setOf(cNot, cNone, cNope)) })
		ref := last
		if ref == nil && i+1 < len(pieces) {
			ref = (&prose{d: p.d, hears: p.hears, part: true, ws: slices.Clone(pieces[i+1].ws)}).read()
		}
		part.lead = p.about(pieces[i].lead)
		if part.lead == nil && last != nil && !part.namesTopic() {
			if part.lead = p.about(pieces[i-1].ws); part.lead == nil {
				part.lead = last.lead
			}
		}
		if last != nil {
			part.from = last.to
		}
		part.carry(ref).read()
		part.lost, part.guided = doubtful[i] || part.unfixed || part.mended, part.ofGuide(last)
		certain = certain && !part.lost && part.certain() && !part.has(chart.SettingLeft) && !part.has(chart.SettingRight)
		for _, d := range pieces[i].days {
			part.day = d
			p.parts = append(p.parts, *part)
		}
		last = part
	}
	if certain {
		p.nights = p.parts
	}
}

// about is what some words that name a question say but for numbers, days, and "yes" and "no": what stands behind them may leave
// that out.
func (p *prose) about(ws []word) (lead []byte) {
	if !slices.ContainsFunc(ws, func(w word) bool { return w.among(topical.or(mouth)) || w.kind == itemAnswer }) {
		return nil
	}
	for i := range ws {
		if w := &ws[i]; w.kind != itemNumber && !w.namesDay() && !w.among(setOf(cNot, cNone, cNope, cYes)) {
			lead = append(append(lead, p.text[w.from:w.to]...), ' ')
		}
	}
	return lead
}

// read reads one piece by itself.
func (p *prose) read() *prose {
	for i := range p.ws {
		p.ws[i].not = false
	}
	p.putRight()
	p.negate()
	p.answers()
	p.settle()
	p.notWorn()
	return p
}

// besideToday reports whether a text tells of today beside the one day that it names: "Sunday a headache, today none".
func (p *prose) besideToday() bool {
	for i := range p.ws {
		if p.ws[i].is(cToday) && (i == 0 || !p.ws[i-1].isDay() || !inClause(&p.ws[i-1], &p.ws[i])) &&
			(i+1 == len(p.ws) || !p.ws[i+1].isDay() || !inClause(&p.ws[i+1], &p.ws[i])) {
			return true
		}
	}
	return false
}

// headed reads what is told first and the days behind it: "wore it all night Wed and Thu, not Fri". Behind a "not" it was
// not worn; where what is told of the others is not certain, they are asked.
func (p *prose) headed() {
	at := slices.IndexFunc(p.ws, func(w word) bool { return w.isDay() })
	if at <= 0 {
		return
	}
	head := prose{d: p.d, hears: p.hears, tags: p.tags, part: true}
	for _, w := range p.ws[:at] {
		if !w.is(cNot) && !w.is(cNone) {
			head.ws = append(head.ws, w)
		}
	}
	if len(head.ws) == 0 || !head.any(mouth.or(setOf(cAllNight))) || head.any(setOf(cForgot, cGuide)) {
		return
	}
	head.answers()
	not := at > 0 && (p.ws[at-1].is(cNot) || p.ws[at-1].is(cNone))
	if not && len(head.ws) < at-1 || !not && len(head.ws) < at {
		return // another "not" stands in it
	}
	var nights []prose
	denies := setOf(cNot, cNone, cNope)
	for i := at; i < len(p.ws); i++ {
		w := &p.ws[i]
		behind := i+1 < len(p.ws) && p.ws[i+1].among(denies) && p.ws[i+1].clause == w.clause &&
			(i+2 == len(p.ws) || p.ws[i+2].clause != w.clause) // "Wed no"
		switch {
		case w.among(denies):
			not = true
		case w.is(cAnd), w.is(cYes):
		case !w.isDay():
			return
		case not, behind:
			none := prose{day: dayOf(&w.item)}
			none.claim[chart.Worn] = claim{value: chart.Num(chart.WornNo)}
			nights = append(nights, none)
			if behind {
				i++
			}
		case head.certain():
			worn := head
			worn.day = dayOf(&w.item)
			nights = append(nights, worn)
		}
	}
	if p.nights = nights; len(nights) > 0 {
		p.parts = nil
	}
}

// oneDay finds the day that a text is about, where it names one: at its beginning or end, or in its only sentence.
// Elsewhere it is not known what is of that day.
func (p *prose) oneDay() {
	if p.days == 0 {
		return
	}
	last := len(p.ws) - 1
	for i := range p.ws {
		w := &p.ws[i]
		switch {
		case !w.isDay():
		case i > 2 && i < last-1 && p.ws[0].sentence != p.ws[last].sentence:
			for f := range p.claim {
				if c := &p.claim[f]; c.value.Known() && chart.Field(f).Row().About == chart.LastNight {
					*c = claim{doubted: true}
				}
			}
		default:
			p.day = dayOf(&w.item)
		}
	}
}

// notWorn takes a bare "no" of a day for a night without it, or for what the day before it tells.
func (p *prose) notWorn() {
	if p.denied != chart.NoField {
		f := p.denied
		if f == chart.GuideMinutes {
			f = chart.Guide
		}
		if row := f.Row(); row.Kind == chart.YesNo || row.Kind == chart.Scale {
			p.claim = [chart.NumFields]claim{}
			p.claim[f] = claim{value: chart.Num(row.Least)}
		} else {
			p.claim[f] = claim{doubted: true}
		}
		return
	}
	own := p.ws
	for len(own) > 0 && own[0].among(mouth) { // "wore it Mon, not Tue"
		own = own[1:]
	}
	if len(own) > 0 && own[0].among(setOf(cNot, cNone, cNope)) && !p.has(chart.Worn) && !p.has(chart.WornMinutes) &&
		(len(own) == 1 || own[1].clause != own[0].clause || own[1].kind == itemUnknown || own[1].among(failing) && !own[1].among(aches)) { // "Sat no pain"
		p.claim[chart.Worn] = claim{value: chart.Num(chart.WornNo)}
		p.reason()
	}
}

// certain reports whether a text says something certain, and nothing doubtful.
func (p *prose) certain() bool {
	said := false
	for f, c := range p.claim {
		if c.doubted && chart.Field(f) != chart.Nose { // which is asked about tonight
			return false
		}
		said = said || c.value.Known()
	}
	return said && p.loners == 0
}

// eachDay does the same for each day that a text tells of; where it is not plain what is told of which, all is asked.
func (p *prose) eachDay(nets *Nets, r *reading.Reading, l *left) {
	if len(p.parts) == 0 || p.asks {
		r.Rest = true
		for i := range r.Tokens {
			r.Tokens[i].Value = chart.Unknown
		}
		if len(p.nights) > 0 && !p.asks {
			r.Tokens, r.Doubt, r.About = nil, reading.NoDoubt, chart.NoField
		}
		for i := range p.nights {
			r.Tokens = append(r.Tokens, p.nights[i].told()...)
		}
		return
	}
	r.Tokens, r.Doubt, r.About = nil, reading.NoDoubt, chart.NoField
	for i := range p.parts {
		q := &p.parts[i]
		q.closing = i > 0 && i == len(p.parts)-1
		q.text, q.days = slices.Concat(q.lead, p.text[q.from:q.to]), p.days
		h := nets.Dangers.Hear(q.text)
		q.hears, q.tags = h.About(), nets.Answers.Tag(q.text)
		q.said = p.d.read(string(q.text), false).Tokens
		all := p.ownOnly(q, nets, q.candidates())
		q.hear(all, r, &h)
		l.candidates = append(l.candidates, all...)
		r.Tokens = append(r.Tokens, q.judged(nets, all, r, &left{})...)
	}
	twice := fieldSet(0) // told twice of one day, differently: of all days it is asked
	for i, t := range r.Tokens {
		for j, u := range r.Tokens {
			if i != j && t.Field == u.Field && sameNight(t.Day, u.Day) && u.Value != t.Value {
				twice |= 1 << t.Field
			}
		}
	}
	for i := range r.Tokens {
		if t := &r.Tokens[i]; twice&(1<<t.Field) != 0 {
			t.Value = chart.Unknown
		}
	}
	if p.lastUntold(r.Tokens) {
		for i := range r.Tokens {
			r.Tokens[i].Value = chart.Unknown
		}
	}
	r.Tokens = slices.CompactFunc(r.Tokens, func(a, b reading.Token) bool { return a == b })
	r.Rest = r.Rest || slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return !t.Value.Known() })
}

// lastUntold reports whether last night is named and nothing told of it, but of another day: "nine hours, Sunday that it is, last night".
func (p *prose) lastUntold(tokens []reading.Token) bool {
	last := func(d reading.Day) bool { return sameNight(d, reading.Day{}) }
	return slices.ContainsFunc(p.parts, func(q prose) bool { return last(q.day) }) &&
		!slices.ContainsFunc(tokens, func(t reading.Token) bool { return t.Value.Known() && last(t.Day) })
}

// sameNight reports whether two days are of one night: that of yesterday is the last one, of which a text tells that names none.
func sameNight(a, b reading.Day) bool {
	last := func(d reading.Day) bool { return d.Kind == reading.NoDay || d.Kind == reading.DaysAgo && d.N == 1 }
	return a == b || last(a) && last(b)
}

// told are the answers that the claims find in a part of a text.
func (p *prose) told() (tokens []reading.Token) {
	for f, c := range p.claim {
		if c.value.Known() {
			tokens = append(tokens, reading.Token{Field: chart.Field(f), Value: c.value, Day: p.day})
		}
	}
	return tokens
}
