package locales

import (
	"bytes"
	"slices"
	"strconv"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
	"duskdawn/locales/fold"
)

// Some words turn what is said beside them into something else: "did not wear it much" is no night without it, "up all night" no night with it,
// "pain 3 first thing, 1 by lunch" was a 3. What they stand beside is asked, whoever reads it.

// qualms reports whether such words stand beside an answer.
func (p *prose) qualms(t reading.Token) bool {
	f, v := t.Field, t.Value
	switch {
	case p.denies0(t) && (p.softly(t) || f == chart.Pain && p.partly()):
		return true
	case f == chart.Driving && v.Is(chart.DrivingNoDrive) && p.droveWithout():
		return true
	case f == chart.Worn && v.Is(chart.WornAll):
		return p.nearly(setOf(cAllNight)) || p.otherAllNight()
	case f == chart.Pain || f == chart.Snoring || f == chart.Sleepiness:
		return p.greater(t) || p.ofBody(t) || p.outOf(t)
	case f == chart.Woken && v.Is(chart.Yes):
		return p.any(setOf(cOtherPain, cBody))
	case f == chart.Guide || f == chart.GuideMinutes:
		return p.seen()&(signLater|signTimes) != 0 || p.any(setOf(cLost)) || p.afterGuide(v)
	case f == chart.WornMinutes:
		return p.seen()&signAgain != 0
	case f == chart.BiteMinutes:
		return v.Is(chart.BiteNot) && (p.seen()&signTill != 0 || slices.ContainsFunc(p.ws, func(w word) bool { return w.until }))
	case f == chart.Wrong && v.Is(chart.No):
		return p.any(setOf(cBar, cOnly))
	}
	return false
}

// spot is where a word stands in the text: that of a part begins with what it takes over from the part before it.
func (p *prose) spot(w *word) (from, to int, ok bool) {
	shift := 0
	if p.part {
		shift = len(p.lead) - int(p.from)
	}
	from, to = int(w.from)+shift, int(w.to)+shift
	return from, to, w.to > 0 && w.from >= p.from && to <= len(p.text)
}

// seen are the signs of a text.
func (p *prose) seen() signs {
	if !p.signed {
		p.signs, p.signed = p.d.signsIn(p.text, ""), true
	}
	return p.signs
}

// denies0 reports whether an answer says that something was not, or was as always.
func (p *prose) denies0(t reading.Token) bool {
	switch t.Field {
	case chart.Worn, chart.Guide, chart.Headache, chart.Pauses:
		return t.Value.Is(t.Field.Row().Least)
	case chart.Pain, chart.Snoring, chart.Sleepiness:
		return t.Value.Is(0)
	case chart.Driving:
		return t.Value.Is(chart.DrivingNoDrive)
	case chart.Nose:
		return t.Value.Is(chart.Yes)
	case chart.Bite:
		return t.Value.Is(chart.BiteBoth)
	}
	return false
}

// fewBehind is how many words behind a "not" may soften it.
const fewBehind = 6

// softly reports whether a "not" of a text has a softening word behind it in its clause, "not that loud", "not until five", or an "almost" before it.
func (p *prose) softly(t reading.Token) bool {
	soft := signSoft
	if t.Field == chart.Driving {
		soft |= signSome
	}
	if t.Field == chart.Worn {
		soft |= signWhole
	}
	for i := range p.ws {
		w := &p.ws[i]
		no := w.among(setOf(cNot, cNone, cNope, cCannot)) || w.kind == itemAnswer && w.field == t.Field && w.value == t.Value
		if !no {
			continue
		}
		if i > 0 && p.ws[i-1].is(cNearly) && inClause(&p.ws[i-1], w) {
			return true
		}
		from, _, ok := p.spot(w)
		if !ok {
			continue
		}
		clause := p.text[from:]
		if at := bytes.IndexAny(clause, ",;.!?\n"); at >= 0 {
			clause = clause[:at]
		}
		var buf [16]fold.Span
		if words := fold.Words(clause, buf[:0]); len(words) > fewBehind {
			clause = clause[:words[fewBehind].To]
		}
		if p.d.signsIn(clause, "")&soft != 0 {
			return true
		}
	}
	return t.Field != chart.Driving && p.nearly(setOf(cField+concept(t.Field)).or(own[t.Field]))
}

// nearly reports whether an "almost" stands right before one of several concepts, or one word before that.
func (p *prose) nearly(set concepts) bool {
	for i := range p.ws {
		if p.ws[i].is(cNearly) && slices.ContainsFunc(p.ws[i+1:min(i+3, len(p.ws))], func(w word) bool { return inClause(&w, &p.ws[i]) && w.among(set) }) {
			return true
		}
	}
	return false
}

// partly reports whether a "no" is of one place that hurts, and another one is named without it: "not the jaw, the teeth do".
func (p *prose) partly() bool {
	not, said := -1, -1
	for i := range p.ws {
		switch w := &p.ws[i]; {
		case !w.among(sitesOf.or(setOf(cTeeth, cJaw))):
		case w.not:
			not = int(w.clause)
		default:
			said = int(w.clause)
		}
	}
	return not >= 0 && said >= 0 && not != said
}

// greater reports whether a greater score stands in the sentence of one, which may be of the same question: the worst is meant, and of two it
// is not known which was when.
func (p *prose) greater(t reading.Token) bool {
	role := answer.RoleOf(t.Field)
	if role == answer.RoleNone || p.days > 0 || p.mended || p.any(setOf(cFix)) { // what is put right, and other days, are read by themselves
		return false
	}
	sentence := int16(-1)
	for i := range p.ws {
		if w := &p.ws[i]; w.is(cField+concept(t.Field)) || w.kind == itemNumber && t.Value.Is(int(w.num.n)) {
			sentence = w.sentence
			break
		}
	}
	for i := range p.ws {
		w := &p.ws[i]
		score := w.kind == itemNumber && w.num.kind == isNumber && w.num.milli == 0 && int(w.num.n) > t.Value.N() && int(w.num.n) <= t.Field.Row().Most
		if !score || sentence >= 0 && w.sentence != sentence || p.atTime(i) || p.dosed(i) ||
			slices.ContainsFunc(p.ws, func(x word) bool { return x.is(cElsewhen) && inClause(&x, w) }) {
			continue
		}
		if slices.ContainsFunc(p.tags.Figures, func(g answer.Figure) bool {
			clock := slices.ContainsFunc(p.tags.Clocks, func(c answer.Clock) bool { return !c.Bare && c.Has(&g) })
			return g.N == int16(w.num.n) && !clock && g.Share[role]+g.Share[answer.RoleNone] > nobodyElse && g.Share[role] > likely
		}) {
			return true
		}
	}
	return false
}

// nobodyElse is how likely it must be that a number answers a question or none for it to be no answer to another.
const nobodyElse = 0.9

// atTime reports whether the words around a number make a time of it. "3 first thing" is a score, unlike for isClock.
func (p *prose) atTime(i int) bool {
	return p.ws[i].until || i > 0 && p.ws[i-1].among(setOf(cAt, cBy, cSince, cAfter, cWoke)) || i+1 < len(p.ws) && p.ws[i+1].among(setOf(cAM, cPM))
}

// dosed reports whether a number counts medicines.
func (p *prose) dosed(i int) bool {
	_, to, ok := p.spot(&p.ws[i])
	if !ok {
		return false
	}
	behind := p.text[to:]
	var buf [4]fold.Span
	if words := fold.Words(behind[:min(len(behind), 40)], buf[:0]); len(words) > 0 {
		behind = behind[:words[min(len(words), 3)-1].To]
	}
	return p.d.signsIn(behind, "")&(signDose|signUnit) != 0
}

// ofBody reports whether a pain with a number is of another part of the body.
func (p *prose) ofBody(t reading.Token) bool {
	if t.Field != chart.Pain || t.Value.Is(0) {
		return false
	}
	for i := range p.ws {
		if w := &p.ws[i]; (w.is(cPain) || w.kind == itemNumber && t.Value.Is(int(w.num.n))) && p.near(i, fewBeside, setOf(cOtherPain, cBody)) {
			return true
		}
	}
	return false
}

// fewBeside is how many words from a pain the part of the body may stand that it is of.
const fewBeside = 3

// outOf reports whether a score is of another scale: "3 out of 5".
func (p *prose) outOf(t reading.Token) bool {
	if p.seen()&signOf == 0 {
		return false
	}
	var buf [48]fold.Span
	words := fold.Words(p.text, buf[:0])
	number := strconv.Itoa(t.Value.N())
	text := func(i int) string { return string(p.text[words[i].From:words[i].To]) }
	for i := range words {
		j := i + 1
		for j < len(words) && p.d.signsIn([]byte(text(j)), "")&signOf != 0 {
			j++
		}
		if j > i+1 && j < len(words) && text(i) == number && fold.IsDigit(text(j)[0]) && text(j) != "10" {
			return true
		}
	}
	return false
}

// droveWithout reports whether driving is told, and no "not" before it: "drove without trouble".
func (p *prose) droveWithout() bool {
	drove := slices.IndexFunc(p.ws, func(w word) bool { return w.is(cDrive) })
	if drove < 0 || slices.ContainsFunc(p.ws, func(w word) bool { return w.kind == itemAnswer && w.field == chart.Driving }) {
		return false
	}
	no := func(w word) bool { return w.among(setOf(cNot, cNone, cNope, cCannot)) && inClause(&w, &p.ws[drove]) }
	if drove+1 < len(p.ws) && no(p.ws[drove+1]) && (drove+2 == len(p.ws) || !p.ws[drove+2].among(setOf(cSleepy, cAsleep))) { // "driving: none"
		return false
	}
	return !p.ws[drove].not && !slices.ContainsFunc(p.ws[:drove], no)
}

// afterGuide reports whether a number stands right before "after the guide", which is how it was then.
func (p *prose) afterGuide(v chart.Answer) bool {
	for i := 0; i+2 < len(p.ws); i++ {
		if w := &p.ws[i]; w.kind == itemNumber && w.num.kind == isNumber && v.Is(int(w.num.n)) && p.ws[i+1].is(cAfter) && p.ws[i+2].is(cGuide) {
			return true
		}
	}
	return false
}

// otherAllNight reports whether "all night" stands right behind what else one does or feels all night, and nothing of wearing it is said
// beside it: "up all night", "it hurt all night".
func (p *prose) otherAllNight() bool {
	if p.any(setOf(cWorn, cUsed, cPutIn, cAppliance, cIn)) || slices.ContainsFunc(p.ws, func(w word) bool { return w.kind == itemAnswer && w.field == chart.Worn }) {
		return false
	}
	if !p.any(setOf(cAllNight, cTaken, cSlept)) && !p.has(chart.Worn) && slices.ContainsFunc(p.ws, func(w word) bool { return w.is(cNight) }) {
		return true // "up all night" is a phrase of its own
	}
	return slices.ContainsFunc(p.ws, func(w word) bool {
		if !w.is(cAllNight) {
			return false
		}
		from, _, ok := p.spot(&w)
		if !ok {
			return false
		}
		before := p.text[:from]
		if at := bytes.LastIndexAny(before, ",;.!?\n"); at >= 0 {
			before = before[at:]
		}
		var buf [24]fold.Span
		words := fold.Words(before, buf[:0])
		return len(words) > 0 && p.d.signsIn(before[words[max(len(words)-2, 0)].From:], "")&signAwake != 0
	})
}
