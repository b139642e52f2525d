package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
	"duskdawn/locales/danger"
)

// How likely a candidate must be to be what a careful nurse would write down: to be written, and to be asked about. The bars
// were set on writers that no reader had seen: lower ones write more, and more of it wrong.
const (
	enough     = 0.997
	surer      = 0.998 // ... of what sounds like a question, or is put right, and of choices that the grammar does not read where it knows every word
	likelier   = 0.988 // ... of what the grammar reads of a text of known words alone, and of a piece of one day
	spelledOut = 0.92  // ... and of a piece in which the name of its question stands right before a number
	perhaps    = 0.5
	unlikely   = 0.02 // below it no number is written of a text of known words alone, unless it is spelled out
)

// verdict writes what is likely enough of what anybody proposes, and asks about what is not: of one day, or of each that is told
// of by itself. A text that is spelled out as on buttons is written as it stands (stands.go).
func (p *prose) verdict(nets *Nets, r *reading.Reading, l *left, h *danger.Hearing) {
	if stands := r.Word == reading.WordStands || r.Word == reading.WordStill; r.Word != reading.NoWord && !(stands && r.Rest) {
		if p.settings(r); stands && r.Rest {
			r.Word = reading.NoWord
		}
		return
	}
	r.Word = reading.NoWord // amid other words what it stands at is judged like any other answer
	if p.days > 1 {
		p.eachDay(nets, r, l)
		return
	}
	p.whole = !r.Rest && (p.spelled() || !p.disputes(r))
	r.Rest = !p.whole
	l.candidates = p.candidates()
	p.hear(l.candidates, r, h)
	if p.whole && !slices.ContainsFunc(p.said, func(t reading.Token) bool { return l.labelled&(1<<t.Field) == 0 }) {
		return // as on buttons
	}
	r.Tokens = p.judged(nets, l.candidates, r, l)
	if r.Doubt != reading.NoDoubt && p.clocksRead(r.Tokens) {
		r.Doubt, r.About, r.Rest = reading.NoDoubt, chart.NoField, true
	}
	p.settings(r)
}

// settings takes back settings that may be scores: "pain left 3, right 1", "it hurt, it came down to a 3".
func (p *prose) settings(r *reading.Reading) {
	known := func(f chart.Field) bool {
		return slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return t.Field == f && t.Value.Known() })
	}
	token := reading.Token{Field: chart.SettingLeft}
	theirs := p.notTheirs(token) || r.Word != reading.NoWord && p.d.signsIn(p.text, "")&signBeside != 0 // "his stands at 7"
	measured := slices.ContainsFunc(r.Tokens, p.measured)
	if p.deniedSetting() || p.wished(token) || theirs || measured {
		for i := range r.Tokens {
			if f := r.Tokens[i].Field; f == chart.SettingLeft || f == chart.SettingRight {
				r.Tokens[i].Value, r.Rest = chart.Unknown, true
			}
		}
		if r.Word == reading.WordStands || r.Word == reading.WordStill {
			r.Word = reading.NoWord
		}
		return
	}
	if p.any(setOf(cSetting, cTurn)) {
		return
	}
	side := false // in a breath with a pain
	for i := range p.ws {
		pos, neg, _ := p.beside(i, inClause)
		side = side || p.ws[i].among(aches.or(setOf(cJaw))) && pos.or(neg).meets(setOf(cLeft, cRight))
	}
	each := known(chart.Pain) && known(chart.SettingLeft) && known(chart.SettingRight) && p.figures() > 2 // "left 4, right 4, and the jaw is a 2"
	hurts := side && !each || !known(chart.Pain) && p.any(aches) && !p.any(setOf(cLeft, cRight))
	if !hurts && (known(chart.Snoring) || !p.any(setOf(cSnore))) && (known(chart.Sleepiness) || !p.any(setOf(cSleepy))) {
		return
	}
	for i := range r.Tokens {
		if t := &r.Tokens[i]; t.Field == chart.SettingLeft || t.Field == chart.SettingRight {
			t.Value, r.Rest = chart.Unknown, true
		}
	}
}

var stood = setOf(cSetting, cStands, cStillAt)

// deniedSetting reports whether where it stands is denied, or was only to be: "it does not stand at 6", "I forgot to set it to 5"; or is asked.
// "Not 7, 8" puts a number right; "on 2 still, did not turn it" and "on 2, no changes" deny something else.
func (p *prose) deniedSetting() bool {
	if p.asks && len(p.ws) == 0 {
		return true
	}
	number := slices.IndexFunc(p.ws, func(w word) bool { return w.kind == itemNumber })
	if p.figures() != 1 || p.any(setOf(cFix)) {
		return false
	}
	for i := range p.ws {
		w := &p.ws[i]
		if w.among(setOf(cForgot)) {
			return true
		}
		if !w.not && !w.is(cNot) {
			continue
		}
		of := w // what is denied; nothing more behind the number denies it
		if w.is(cNot) && i+1 < len(p.ws) && inClause(w, &p.ws[i+1]) {
			of = &p.ws[i+1]
		}
		if i > number && (p.any(setOf(cStill, cStillAt)) || !of.is(cNot) && of.kind != itemNumber && !of.among(stood)) {
			continue
		}
		if slices.ContainsFunc(p.ws, func(x word) bool { return inClause(&x, w) && (x.kind == itemNumber || x.among(stood)) }) {
			return true
		}
	}
	return false
}

// disputes reports whether the claims say something of which a reading that took in every word knows nothing: one of the two has
// it wrong.
func (p *prose) disputes(r *reading.Reading) bool {
	if len(r.Tokens) == 0 {
		return false
	}
	for f, c := range p.claim {
		if c.value.Known() && !c.value.Is(0) && chart.Field(f) != chart.NotWorn && !slices.ContainsFunc(r.Tokens, func(t reading.Token) bool {
			return t.Value.Known() && (t.Field == chart.Field(f) || t.Field.Row().With == chart.Field(f))
		}) {
			return true
		}
	}
	return false
}

// judged are the answers that are likely enough, and those that are to be asked.
func (p *prose) judged(nets *Nets, all []Candidate, r *reading.Reading, l *left) (tokens []reading.Token) {
	var best [chart.NumFields]int
	var share, second [chart.NumFields]float32
	for i := range all {
		c := &all[i]
		s := nets.Answers.Verdict(c.Cues)
		switch {
		case p.untold(c.Token), p.taken&(1<<c.Token.Field) != 0:
			s = 0
		case c.Token.Field == chart.Wrong && c.Token.Value.Is(chart.No) && r.Sure|r.Unsure != 0: // "nothing wrong, only a swollen gum"
			s = min(s, perhaps)
		case (l.labelled&(1<<c.Token.Field) == 0 || c.Token.Field.Row().Kind == chart.Scale) && p.qualms(c.Token), p.heldBack(c) || s < surer && p.suspect(c), r.Doubt == reading.IsOdd && r.About == c.Token.Field && r.About.Row().Kind == chart.Scale: // "1e+3"
			s = min(s, perhaps)
		case p.stands(c, s, l):
			s = 1
		case p.whole && c.grammar == votedNothing && (s < enough || p.terse && (s < surer || answer.RoleOf(c.Token.Field) != answer.RoleNone || p.spelled())):
			s = 0 // the grammar knows every word, and nothing of this
		}
		switch f := c.Token.Field; {
		case s > share[f]:
			best[f], share[f], second[f] = i, s, share[f]
		case s > second[f]:
			second[f] = s
		}
	}
	for f := range share { // either may be meant
		if second[f] >= 0.9 && share[f] < 1 {
			share[f] = perhaps
		}
	}
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		switch {
		case slices.Contains(p.said, reading.Token{Field: f, Value: chart.Skipped}):
			tokens = append(tokens, reading.Token{Field: f, Value: chart.Skipped})
		case f == chart.Worn && share[f] < enough && share[chart.WornMinutes] >= perhaps && all[best[f]].grammar != votedSo && all[best[f]].claims != votedSo:
		case share[f] >= enough:
			tokens = append(tokens, all[best[f]].Token)
			if r.About == f {
				r.Doubt, r.About = reading.NoDoubt, chart.NoField
			}
		case r.Doubt != reading.NoDoubt && r.About == f: // it is asked already
		case share[f] >= perhaps && answer.RoleOf(f) != answer.RoleNone && p.once(all[best[f]].Token.Value) && slices.ContainsFunc(all, func(c Candidate) bool {
			g := c.Token.Field
			return g != f && answer.RoleOf(g) != answer.RoleNone && share[g] >= enough && size(all[best[g]].Token.Value) == size(all[best[f]].Token.Value)
		}): // its number answers another question
		case share[f] >= perhaps, slices.ContainsFunc(p.said, func(t reading.Token) bool { return t.Field == f }):
			t := reading.Token{Field: f, Value: chart.Unknown}
			if p.part {
				t.Day = p.day
			}
			tokens = append(tokens, t)
		}
	}
	tokens = follow(tokens, l.labelled)
	if share[chart.Worn] < surer || !p.any(setOf(cSlept, cAsleep)) { // "out at six, slept on without it"
		tokens = p.untilMorning(tokens)
	}
	r.Rest = r.Rest || slices.ContainsFunc(p.said, func(t reading.Token) bool { return t.Value.Known() && !answers(tokens, t.Field) })
	slices.SortStableFunc(tokens, func(a, b reading.Token) int { return p.place(a) - p.place(b) })
	return tokens
}

// answers reports whether a question is answered.
func answers(tokens []reading.Token, f chart.Field) bool {
	return slices.ContainsFunc(tokens, func(t reading.Token) bool { return t.Field == f && t.Value.Known() })
}

// once reports whether one figure is of this number.
func (p *prose) once(v chart.Answer) bool {
	many := 0
	for i := range p.tags.Figures {
		many += btoi(size(v) == int(p.tags.Figures[i].N))
	}
	return many == 1
}

// size is a number without its sign.
func size(v chart.Answer) int { return max(v.N(), -v.N()) }

// place is where the grammar read an answer, of all that it read; behind them what it did not.
func (p *prose) place(t reading.Token) int {
	i := slices.IndexFunc(p.said, func(s reading.Token) bool { return s.Field == t.Field })
	if i < 0 {
		return len(p.said)
	}
	return i
}

// mostOfNight is how many minutes between two times of day may be all of a night: who takes it out at five may get up then.
const mostOfNight = 5*60 + 30

// untilMorning takes back that it was worn for a part of the night where that is told by its times alone, and they may be those of all the night.
func (p *prose) untilMorning(tokens []reading.Token) []reading.Token {
	return slices.DeleteFunc(tokens, func(t reading.Token) bool {
		return t.Field == chart.Worn && t.Value.Is(chart.WornPart) && !answers(tokens, chart.NotWorn) && !p.any(setOf(cPartNight)) &&
			slices.ContainsFunc(p.spans(), func(s fromTo) bool {
				return s.minutes >= mostOfNight && slices.Contains(tokens, reading.Token{Field: chart.WornMinutes, Value: chart.Num(s.minutes), Day: t.Day})
			})
	})
}

// follow takes back what does not go with another answer: why not beside all night, when a pain went of which there was none.
func follow(tokens []reading.Token, labelled fieldSet) []reading.Token {
	value := func(f chart.Field) chart.Answer {
		for _, t := range tokens {
			if t.Field == f {
				return t.Value
			}
		}
		return chart.Unknown
	}
	worn, hours, pain := value(chart.Worn), value(chart.WornMinutes), value(chart.Pain)
	for i := range tokens { // which of the two holds is asked
		if t := &tokens[i]; (t.Field == chart.Worn || t.Field == chart.WornMinutes) && worn.Is(chart.WornNo) && hours.Known() && hours.N() > 0 {
			t.Value = chart.Unknown
		}
	}
	guide, bite := value(chart.GuideMinutes), value(chart.BiteMinutes)
	return slices.DeleteFunc(tokens, func(t reading.Token) bool {
		if labelled&(1<<t.Field) != 0 {
			return false
		}
		switch t.Field {
		case chart.Worn: // "zero hours" are no part of the night
			return worn.Is(chart.WornPart) && hours.Is(0)
		case chart.NotWorn:
			return !worn.Known() && !hours.Known() || worn.Is(chart.WornAll)
		case chart.Gone, chart.Where, chart.Woken:
			return pain.Is(0) && !(t.Field == chart.Woken && t.Value.Is(chart.No))
		case chart.Guide:
			return guide.Known()
		case chart.Bite:
			return bite.Known() && t.Value.Is(chart.BiteBoth)
		}
		return false
	})
}
