package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
	"duskdawn/locales/danger"
)

// A text with words that the grammar does not know is read twice. The grammar reads it from left to right as a row of
// questions and answers. Beside it claims are read: each question looks by itself for what answers it, with the words of
// prose.*.toml beside those of read.*.toml, and a number is nobody's unless one question alone can claim it. What trust
// makes of the two stands in trust.go.

// mostProse is how many words and marks claims are read from; who writes more is asked.
const mostProse = 200

// word is one thing of a text in prose. Marks are no words: they end clauses and sentences.
type word struct {
	item
	field    chart.Field  // of an answer
	value    chart.Answer // of an answer
	not      bool         // a "not" belongs to it
	until    bool         // of a number: until then
	about    bool         // of a number: about then, or about so many
	clause   int16        // between commas
	sentence int16        // between full stops
}

// prose is a text whose claims are read.
type prose struct {
	d        *dictionary
	ws       []word
	claim    [chart.NumFields]claim
	loners   int                        // numbers that no question claimed
	unknown  int                        // words that nothing is known of
	contrary bool                       // a "not" belongs to nothing, or a matter is said and denied in one breath
	denied   chart.Field                // of a part: the question that its bare "no" answers
	part     bool                       // of a text that tells of several days
	whole    bool                       // the grammar took in every word
	terse    bool                       // every word of more than three letters has a meaning that the grammar knows
	lead     []byte                     // of a part: what the part before it is about
	twice    bool                       // a "not" is denied: "not without pain"
	maybe    bool                       // something of it is not sure, and it is no number
	mended   bool                       // a number was put right, and the later one holds
	closing  bool                       // of a text that tells of several days, the last
	retold   bool                       // a "not" of last night before another day: it denies the night, or only that it is meant
	guided   bool                       // of a part: the one before it is of the guide alone
	lost     bool                       // of a part: it is not plain what is told of its day
	unfixed  bool                       // something was put right, and it is not plain what
	either   bool                       // ... but one of two numbers is meant
	signs    signs                      // of the text, once they were looked for
	signed   bool                       // ... which they were
	taken    fieldSet                   // scores that were said to be of another question
	asks     bool                       // a sentence was left out: it asks, or tells of what is to come
	days     int                        // days that were named
	parts    []prose                    // where several were, what is told of each
	nights   []prose                    // ... where all that is told is certain
	from, to int32                      // of a part: where it stands in the text
	day      reading.Day                // where one was, or of a part
	tags     answer.Tags                // what the tagger hears
	said     []reading.Token            // what the grammar read
	text     []byte                     // folded
	hears    [danger.NumMatters]float32 // how likely the net takes it to answer about each matter
}

// claim is what a text says of one question.
type claim struct {
	value   chart.Answer // Unknown where nothing certain was said
	doubted bool         // it is spoken of, and the answer is in doubt
	barred  bool         // ... whatever else reads it: it is of somebody else, or of something else
	suspect bool         // ... or may be, or is put right in a way that is not plain: it is written only if the nets are surer
}

// claims reads a folded text as prose.
func (d *dictionary) claims(b []byte, h *danger.Hearing, tags *answer.Tags) (p prose) {
	p.text, p.hears, p.tags = b, h.About(), *tags
	if p.d = d; len(b) > 8*mostProse {
		return p
	}
	var lexBuf [48]lexeme
	var itemBuf [48]item
	var hits [8]int
	items := merge(d.meanings(d.lex(b, lexBuf[:0]), itemBuf[:0], &hits))
	if len(items) > mostProse {
		return p
	}
	p.words(hours(items))
	p.taken = p.renamed()
	p.putRight()
	for i := range p.ws[:max(len(p.ws)-1, 0)] {
		if p.ws[i+1].kind == itemNumber {
			p.ws[i+1].until = p.ws[i].is(cUntil)
			p.ws[i+1].about = p.ws[i].is(cAbout)
		}
	}
	p.terse = p.strange() == 0
	p.ws = slices.DeleteFunc(p.ws, func(w word) bool { return w.among(setOf(cSorry, cUntil, cAbout)) })
	p.twice = p.deniesTwice()
	p.negate()
	p.contrary = p.contrary || p.denies()
	for i := range p.ws {
		switch w := &p.ws[i]; {
		case w.kind == itemNumber && i > 0 && p.ws[i-1].is(cOr): // "six hours, or seven"
			p.unfixed, p.either = true, true
		case !w.is(cMaybe):
		case i+1 < len(p.ws) && p.ws[i+1].kind == itemNumber && (i == 0 || !p.ws[i-1].is(cOr)): // "maybe 5": that number is asked
			p.ws[i+1].num = numeral{kind: isBad, doubt: reading.IsRange}
		case i > 0 && p.ws[i-1].kind == itemNumber || i+1 < len(p.ws) && p.ws[i+1].kind == itemNumber:
			p.unfixed = true
		default:
			p.maybe = true
		}
	}
	p.contrary = p.contrary || p.maybe
	if p.days == 1 && p.besideToday() {
		p.days++
	}
	if p.days > 1 {
		p.daily()
		return p
	}
	p.answers()
	p.oneDay()
	p.revised()
	p.settle()
	return p
}

// revised takes numbers back where something is put right, or another day is told beside today: which one holds is asked.
func (p *prose) revised() {
	numbers := p.loners
	for f, c := range p.claim {
		if c.value.Known() && chart.Field(f).Row().Kind != chart.Choice && chart.Field(f).Row().Kind != chart.YesNo {
			numbers++
		}
	}
	if !p.any(setOf(cFix)) && (p.days == 0 || !p.any(setOf(cToday))) || numbers < 2 && !p.any(setOf(cFix)) {
		return
	}
	for f, c := range p.claim {
		if c.value.Known() {
			p.doubt(chart.Field(f))
		}
	}
}

// say keeps an answer. Two different ones are none.
func (p *prose) say(f chart.Field, v chart.Answer) {
	c := &p.claim[f]
	switch {
	case c.doubted:
	case c.value == chart.Unknown:
		c.value = v
	case c.value != v:
		p.doubt(f)
	}
}

// doubt notes that a question is spoken of without a certain answer.
func (p *prose) doubt(f chart.Field) { p.claim[f] = claim{doubted: true} }

// bar notes that what is said of a question is no answer to it, whoever reads it.
func (p *prose) bar(f chart.Field) { p.claim[f] = claim{doubted: true, barred: true} }

// suspects notes that what is said of a question may be no answer to it.
func (p *prose) suspects(f chart.Field) {
	p.claim[f] = claim{doubted: true, barred: true, suspect: true}
}

// has reports whether a question has a certain answer.
func (p *prose) has(f chart.Field) bool { return p.claim[f].value.Known() }

// is reports whether a question has this answer.
func (p *prose) is(f chart.Field, n int) bool { return p.claim[f].value.Is(n) }

// words takes over the items that say something, without the sentences that ask or tell of what is to come.
func (p *prose) words(items []item) {
	var out [mostProse]bool // sentences that are left out
	ws := make([]word, 0, len(items))
	clause, sentence, from := int16(0), int16(0), 0
	for i, it := range items {
		begins := len(ws) == from
		switch {
		case it.kind == itemMark && !begins && ws[len(ws)-1].isDay() && (it.mark == '-' || it.mark == '.' && len(ws)-from == 1): // "mon- all night", "Thu. none"
			continue
		case it.kind == itemMark:
			clause++
			if it.mark == ',' || it.mark == '-' || it.mark == '+' || it.mark == '&' {
				continue
			}
			if it.mark == '?' {
				answered := slices.ContainsFunc(ws[from:], func(w word) bool { return w.kind == itemNumber || w.kind == itemAnswer || w.is(cOK) }) // "bite ok? no"
				if len(ws)-from <= 2 && !answered && i+1 < len(items) && items[i+1].kind != itemMark && !out[sentence] {                           // "pain? 3"
					clause--
					continue
				}
				out[sentence] = true
			}
			sentence++
			from = len(ws)
			continue
		case it.kind == itemFiller:
			continue
		case it.kind == itemConcept && it.c == cBut:
			clause++
			continue
		case it.kind == itemConcept && (it.c == cIf || it.c == cAsks && begins):
			out[sentence] = true
		case it.isDay() && i > 0 && items[i-1].kind == itemConcept && setOf(cSince, cUntil).has(items[i-1].c):
			continue
		case it.isDay():
			p.days++
		}
		if it.kind == itemUnknown {
			p.unknown++
		}
		if it.kind == itemFeature && p.d.senses[it.sense].flags == reading.FPain { // "killing me"
			it = item{kind: itemConcept, c: cPain, from: it.from, to: it.to}
		}
		w := word{item: it, clause: clause, sentence: sentence}
		if it.kind == itemAnswer {
			s := &p.d.senses[it.sense]
			w.field, w.value = s.field, s.value
		}
		ws = append(ws, w)
	}
	for _, w := range ws {
		if out[w.sentence] {
			p.asks = true
		} else {
			p.ws = append(p.ws, w)
		}
	}
}

// topical are the names of questions, and what stands for them.
var topical = setOf(cWorn, cSnore, cPain, cGuide, cBite, cSleepy, cDrive, cPauses, cHeadache, cSetting, cRight, cTaken, cTeeth,
	cMeet, cWoke, cStopped, cChoke, cGasp, cAsleep, cGone, cForgot)

func (w *word) is(c concept) bool { return w.kind == itemConcept && w.c == c }

// among reports whether a word is one of several concepts.
func (w *word) among(set concepts) bool { return w.kind == itemConcept && set.has(w.c) }

// said reports whether a word is one of several concepts, and no "not" belongs to it.
func (w *word) said(set concepts) bool { return w.among(set) && !w.not }

// denied reports whether a word is one of several concepts under a "not".
func (w *word) denied(set concepts) bool { return w.among(set) && w.not }

// near reports whether one of several concepts is said within so many words of a word, in its sentence.
func (p *prose) near(i, reach int, set concepts) bool {
	for j := max(i-reach, 0); j < min(i+reach+1, len(p.ws)); j++ {
		if j != i && p.ws[j].sentence == p.ws[i].sentence && p.ws[j].said(set) {
			return true
		}
	}
	return false
}

// where tells what of a text is looked at: all that stands in the clause or the sentence of a word, or all of it.
type where func(a, b *word) bool

func inClause(a, b *word) bool   { return a.clause == b.clause }
func inSentence(a, b *word) bool { return a.sentence == b.sentence }

// beside gives what is said, and what under a "not", beside a word, and how many words are not known there.
func (p *prose) beside(i int, in where) (pos, neg concepts, unknown int) {
	for j := range p.ws {
		w := &p.ws[j]
		switch {
		case j == i, !in(w, &p.ws[i]):
		case w.kind == itemUnknown:
			unknown++
		case w.kind == itemConcept && w.not:
			neg.add(w.c)
		case w.kind == itemConcept:
			pos.add(w.c)
		}
	}
	return pos, neg, unknown
}

// any reports whether one of several concepts is said anywhere.
func (p *prose) any(set concepts) bool {
	for i := range p.ws {
		if p.ws[i].said(set) {
			return true
		}
	}
	return false
}

// anyNot reports whether one of several concepts stands under a "not" anywhere.
func (p *prose) anyNot(set concepts) bool {
	for i := range p.ws {
		if p.ws[i].denied(set) {
			return true
		}
	}
	return false
}

// hours makes a length of time of an hour that is not counted: "an hour", "una hora y diez".
func hours(items []item) []item {
	out := items[:0]
	for i := 0; i < len(items); i++ {
		it := items[i]
		if s := tail(items[i:]); s.has(0, cAnHour) {
			n := int32(60)
			switch {
			case s.has(1, cHalf):
				n, i = 90, i+1
			case s.has(1, cAnd) && s.has(2, cHalf):
				n, i = 90, i+2
			case s.has(1, cAnd) && s.has(2, cQuarter):
				n, i = 75, i+2
			case s.has(1, cAnd) && s.number(2) && s[2].num.n%5 == 0 && s[2].num.n < 60:
				n, i = 60+s[2].num.n, i+2
			}
			span, _ := timeSpan(n, true, 1)
			span.from, span.to = it.from, items[i].to
			it = span
		}
		out = append(out, it)
	}
	return out
}
