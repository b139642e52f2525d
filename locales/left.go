package locales

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/danger"
)

// left is what the grammar leaves of a text: the words with a meaning, wherever they stand, and numbers and times that
// found no question. Where the net hears what the text is about, one of them may be the answer.
type left struct {
	label    bool  // it is what stands on a button
	prose    prose // what claims say of it, where the grammar left something over
	days     int   // days that were named
	unknown  int   // words that the dictionaries do not know
	pos, neg concepts
	nums     [4]numeral
	n        int // numbers and times, kept or not
}

// behind is how many words a "not" reaches over.
const behind = 5

// keep notes the meanings of a text, those behind a "not" by themselves.
func (l *left) keep(items []item) {
	reach := 0
	for _, it := range items {
		switch it.kind {
		case itemMark:
			reach = 0
		case itemWeekday, itemAgo, itemDay:
			l.days++
		case itemConcept:
			switch {
			case it.c == cNot, it.c == cNone, it.c == cCannot:
				reach = behind
			case it.c == cBut, it.c == cAnd:
				reach = 0
			case reach > 0:
				l.neg.add(it.c)
			default:
				l.pos.add(it.c)
			}
			reach--
		case itemUnknown:
			l.unknown++
			reach--
		}
	}
}

// free notes a number or a time that found no question.
func (l *left) free(num numeral) {
	if l.n < len(l.nums) {
		l.nums[l.n] = num
	}
	l.n++
}

// likely is how likely the net must take a text to answer about a matter, for what is left to be its answer.
const likely = 0.6

// fill gives what is left to the matters that the net hears and the grammar found no answer for: one number to the one
// matter that takes numbers, a word to the matter whose word it is. Nothing is filled in where several would do, or
// where several days are told.
func (l *left) fill(r *reading.Reading, h *danger.Hearing) {
	if l.days > 1 {
		return
	}
	has := func(fields ...chart.Field) bool {
		for _, t := range r.Tokens {
			for _, f := range fields {
				if t.Field == f && t.Value.Known() {
					return true
				}
			}
		}
		return false
	}
	add := func(f chart.Field, n int) {
		t := reading.Token{Field: f, Value: chart.Num(n)}
		for i := range r.Tokens {
			if r.Tokens[i].Field == f { // it was named without an answer
				r.Tokens[i].Value = t.Value
				return
			}
		}
		if len(r.Tokens) > 0 { // it is told of the same day
			t.Night, t.Day = r.Tokens[0].Night, r.Tokens[0].Day
		}
		r.Tokens = append(r.Tokens, t)
	}
	hears := func(m danger.Matter) bool { return h.Matter[m] >= likely }
	l.number(r, h, has, add)
	only := func(set map[concept]int) (int, bool) {
		found, at := 0, 0
		for c := range numConcepts {
			if n, ok := set[c]; ok && l.pos.has(c) {
				found++
				at = n
			}
		}
		return at, found == 1
	}
	if hears(danger.MatterWorn) && !has(chart.Worn, chart.WornMinutes) && l.pos.has(cAllNight) && !l.pos.has(cTaken) {
		add(chart.Worn, chart.WornAll)
	}
	if h.Matter[danger.MatterPain] >= 0.15 && !has(chart.Where) {
		if site, ok := only(sites); ok {
			add(chart.Where, site)
		}
	}
	if h.Matter[danger.MatterReason] >= 0.25 && !has(chart.NotWorn) && has(chart.Worn) {
		if reason, ok := only(reasons); ok {
			add(chart.NotWorn, reason)
		}
	}
	if hears(danger.MatterGone) && !has(chart.Gone) {
		if v, ok := only(wents); ok {
			add(chart.Gone, v)
		}
	}
	if hears(danger.MatterBite) && !has(chart.Bite, chart.BiteMinutes) && l.n == 0 {
		if v, ok := only(bites); ok {
			add(chart.Bite, v)
		}
	}
	if hears(danger.MatterPauses) && !has(chart.Pauses) {
		calm := setOf(cPauses, cStopped, cChoke)
		if l.neg.meets(calm) && !l.pos.meets(calm) {
			add(chart.Pauses, chart.No)
		}
	}
}

var (
	sites   = map[concept]int{cJoint: chart.SiteJoint, cMuscle: chart.SiteMuscle, cTooth: chart.SiteTooth, cGum: chart.SiteGum}
	reasons = map[concept]int{cForgot: chart.ReasonForgot, cUncomf: chart.ReasonDiscomf, cIll: chart.ReasonIll, cAway: chart.ReasonAway,
		cPain: chart.ReasonPain, cBroke: chart.ReasonBroken, cLost: chart.ReasonBroken, cFever: chart.ReasonIll, cVomit: chart.ReasonIll}
	wents = map[concept]int{cMorning: chart.GoneMorning, cNoon: chart.GoneMidday, cAfternoon: chart.GoneAfternoon}
	bites = map[concept]int{cBoth: chart.BiteBoth, cOne: chart.BiteOne, cFront: chart.BiteFront, cUnsure: chart.BiteUnsure}
)

// number gives the one number that is left to the one matter it may belong to.
func (l *left) number(r *reading.Reading, h *danger.Hearing, has func(...chart.Field) bool, add func(chart.Field, int)) {
	if l.n != 1 || r.Doubt != reading.NoDoubt && (r.Doubt != reading.IsOdd || r.About != chart.NoField) {
		return
	}
	num := l.nums[0]
	var to chart.Field
	var share float32
	many := 0
	for _, c := range []struct {
		m     danger.Matter
		f     chart.Field
		taken bool
		fits  bool
	}{
		{danger.MatterPain, chart.Pain, has(chart.Pain), num.kind == isNumber},
		{danger.MatterSnoring, chart.Snoring, has(chart.Snoring), num.kind == isNumber},
		{danger.MatterSleepiness, chart.Sleepiness, has(chart.Sleepiness), num.kind == isNumber},
		{danger.MatterSetting, chart.SettingLeft, has(chart.SettingLeft, chart.SettingRight), num.kind == isNumber},
		{danger.MatterBite, chart.BiteMinutes, has(chart.BiteMinutes), num.kind == isSpan && !num.hours},
		{danger.MatterGuide, chart.GuideMinutes, has(chart.GuideMinutes), num.kind == isSpan && !num.hours},
	} {
		if c.fits && !c.taken && h.Matter[c.m] >= 0.1 {
			many++
			to, share = c.f, h.Matter[c.m]
		}
	}
	n, doubt := num.whole()
	row := to.Row()
	if many != 1 || share < 0.3 || doubt != reading.NoDoubt || num.neg || n < row.Least || n > row.Most || l.neg.meets(setOf(cField+concept(to))) {
		return
	}
	add(to, n)
	if r.Doubt == reading.IsOdd && r.About == chart.NoField {
		r.Doubt = reading.NoDoubt
	}
}
