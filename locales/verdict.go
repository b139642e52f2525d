package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/danger"
)

// How likely a candidate must be to be what a careful nurse would write down: to be written, and to be asked about. The bars
// were set on writers that no reader had seen: lower ones write more, and more of it wrong.
const (
	enough   = 0.993
	agreed   = 0.9    // ... where the grammar and the claims read the same
	surely   = 0.9995 // ... where something speaks against it
	perhaps  = 0.5
	doubtful = 0.01 // ... of what the grammar reads in words, of a text of which it took in every one
	unlikely = 0.05 // below it even what stands as on a button is asked
)

// verdict writes what is likely enough of what anybody proposes, and asks about what is not: of one day, or of each that is told
// of by itself. What the grammar reads of a text of which it took in every word is written where it is not unlikely.
func (p *prose) verdict(net *danger.Net, r *reading.Reading, l *left, h *danger.Hearing) {
	if r.Word != reading.NoWord {
		return
	}
	if p.days > 1 {
		p.eachDay(net, r, l)
		return
	}
	p.whole = !r.Rest && !p.disputes(r)
	r.Rest = !p.whole
	l.candidates = p.candidates()
	p.hear(l.candidates, r, h)
	if p.whole && !slices.ContainsFunc(p.said, func(t reading.Token) bool { return l.labelled&(1<<t.Field) == 0 }) {
		return // as on buttons
	}
	r.Tokens = p.judged(net, l.candidates, r, l)
	p.sides(r)
}

// sides takes back settings that may be scores of a side: "pain left 3, right 1".
func (p *prose) sides(r *reading.Reading) {
	known := func(f chart.Field) bool {
		return slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return t.Field == f && t.Value.Known() })
	}
	hurts := false // in a breath with the side
	for i := range p.ws {
		pos, neg, _ := p.beside(i, inClause)
		hurts = hurts || p.ws[i].among(aches) && pos.or(neg).meets(setOf(cLeft, cRight))
	}
	if !hurts || known(chart.Pain) || p.any(setOf(cSetting, cStands, cStillAt, cTurn)) {
		return
	}
	for i := range r.Tokens {
		if t := &r.Tokens[i]; t.Field == chart.SettingLeft || t.Field == chart.SettingRight {
			t.Value, r.Rest = chart.Unknown, true
		}
	}
}

// disputes reports whether the claims say something of which a reading that took in every word knows nothing: one of the two has
// it wrong.
func (p *prose) disputes(r *reading.Reading) bool {
	if len(r.Tokens) == 0 {
		return false
	}
	for f, c := range p.claim {
		if c.value.Known() && chart.Field(f) != chart.NotWorn && !slices.ContainsFunc(r.Tokens, func(t reading.Token) bool {
			return t.Value.Known() && (t.Field == chart.Field(f) || t.Field.Row().With == chart.Field(f))
		}) {
			return true
		}
	}
	return false
}

// judged are the answers that are likely enough, and those that are to be asked.
func (p *prose) judged(net *danger.Net, all []Candidate, r *reading.Reading, l *left) (tokens []reading.Token) {
	var best [chart.NumFields]int
	var share [chart.NumFields]float32
	for i := range all {
		c := &all[i]
		s := net.Verdict(c.Cues)
		if l.labelled&(1<<c.Token.Field) != 0 && c.stands(s) {
			s = 1
		}
		switch {
		case s == 1:
		case p.plainly(c, s):
			s = 1
		case p.whole && c.grammar != votedSo && (c.Token.Field != chart.NotWorn || s < enough):
			s = 0 // the grammar knows every word, and nothing of this
		case (c.Token.Field == chart.SettingLeft || c.Token.Field == chart.SettingRight) && p.unsettled():
			s = min(s, perhaps)
		case p.never(c, r), s < surely && p.speaksAgainst(c, r):
			s = min(s, perhaps)
		case s >= agreed && c.grammar == votedSo && c.claims == votedSo, p.part && c.claims == votedSo && s >= perhaps && p.plain(): // "Fri not"
			s = max(s, enough)
		}
		if f := c.Token.Field; s > share[f] {
			best[f], share[f] = i, s
		}
	}
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		switch {
		case slices.Contains(p.said, reading.Token{Field: f, Value: chart.Skipped}):
			tokens = append(tokens, reading.Token{Field: f, Value: chart.Skipped})
		case f == chart.Worn && share[chart.WornMinutes] >= enough && share[f] < 1 && all[best[f]].grammar != votedSo && all[best[f]].claims != votedSo:
		case share[f] >= enough:
			tokens = append(tokens, all[best[f]].Token)
			if r.About == f {
				r.Doubt, r.About = reading.NoDoubt, chart.NoField
			}
		case r.Doubt != reading.NoDoubt && r.About == f: // it is asked already
		case share[f] >= perhaps && danger.RoleOf(f) != danger.RoleNone && p.once(all[best[f]].Token.Value) && slices.ContainsFunc(all, func(c Candidate) bool {
			g := c.Token.Field
			return g != f && danger.RoleOf(g) != danger.RoleNone && share[g] >= enough && size(all[best[g]].Token.Value) == size(all[best[f]].Token.Value)
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
	r.Rest = r.Rest || slices.ContainsFunc(p.said, func(t reading.Token) bool { return t.Value.Known() && !answers(tokens, t.Field) })
	slices.SortStableFunc(tokens, func(a, b reading.Token) int { return p.place(a) - p.place(b) })
	return tokens
}

// answers reports whether a question is answered.
func answers(tokens []reading.Token, f chart.Field) bool {
	return slices.ContainsFunc(tokens, func(t reading.Token) bool { return t.Field == f && t.Value.Known() })
}

// unsettled reports whether it cannot be told of which day a setting is, which of two numbers it is, or of which side.
func (p *prose) unsettled() bool {
	return p.part || p.unfixed || p.flips() || (p.any(setOf(cFix)) || p.anyNot(setOf(cFix))) && p.any(setOf(cLeft, cRight))
}

// once reports whether one figure is of this number.
func (p *prose) once(v chart.Answer) bool {
	many := 0
	for i := range p.figures {
		many += btoi(size(v) == int(p.figures[i].N))
	}
	return many == 1
}

// size is a number without its sign.
func size(v chart.Answer) int { return max(v.N(), -v.N()) }

// stands reports whether what stands as on its button is to be written: nothing puts its number right, nor is it of something else.
func (c *Candidate) stands(share float32) bool {
	switch {
	case c.grammar != votedSo, c.claims == votedBarred:
		return false
	case c.claims == votedSo, c.Token.Field.Row().Worded(c.Token.Value) && danger.RoleOf(c.Token.Field) == danger.RoleNone:
		return true
	}
	return c.claims == votedNothing && share >= unlikely
}

// plainly reports whether a candidate is what the grammar reads of a text of which it took in every word, and nothing contradicts it.
func (p *prose) plainly(c *Candidate, share float32) bool {
	switch {
	case !p.whole, c.grammar != votedSo, p.asks, c.claims == votedBarred, c.claims == votedElse:
		return false
	case c.claims == votedSo:
		return true
	}
	return share >= doubtful || !c.Token.Field.Row().Worded(c.Token.Value)
}

// plain reports whether every word of a part is known.
func (p *prose) plain() bool {
	return !slices.ContainsFunc(p.ws, func(w word) bool { return w.kind == itemUnknown })
}

// never reports whether a candidate is not written, however likely: something of the text asks or is to come, or the claims know
// that its number, or what somebody else is named beside, is of something else.
func (p *prose) never(c *Candidate, r *reading.Reading) bool {
	if c.claims == votedBarred {
		return r.Hedges&reading.HedgeOther != 0 || danger.RoleOf(c.Token.Field) != danger.RoleNone
	}
	return p.asks && c.claims != votedSo
}

// speaksAgainst reports whether there is a reason against a candidate: the claims know that it is of something else or found hours
// that are in doubt, teeth are not named, ten hours of work were told of beside the night, or a number is odd.
func (p *prose) speaksAgainst(c *Candidate, r *reading.Reading) bool {
	switch f := c.Token.Field; {
	case c.claims == votedSo:
		return false
	case c.claims == votedBarred, f == chart.Bite && !p.teeth(), c.claims == votedOpen && f == chart.WornMinutes:
		return true
	case f == chart.Worn && c.Token.Value.Is(chart.WornAll) && c.grammar != votedSo && p.most(danger.RoleHours) >= likely:
		return true
	default:
		return danger.RoleOf(f) != danger.RoleNone && r.Doubt != reading.NoDoubt && (r.About == chart.NoField || r.About == f)
	}
}

// place is where the grammar read an answer, of all that it read; behind them what it did not.
func (p *prose) place(t reading.Token) int {
	i := slices.IndexFunc(p.said, func(s reading.Token) bool { return s.Field == t.Field })
	if i < 0 {
		return len(p.said)
	}
	return i
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
	guide := value(chart.GuideMinutes)
	return slices.DeleteFunc(tokens, func(t reading.Token) bool {
		if labelled&(1<<t.Field) != 0 {
			return false
		}
		switch t.Field {
		case chart.NotWorn:
			return !worn.Known() && !hours.Known() || worn.Is(chart.WornAll)
		case chart.Gone, chart.Where, chart.Woken:
			return pain.Is(0) && !(t.Field == chart.Woken && t.Value.Is(chart.No))
		case chart.Guide:
			return guide.Known() && guide.N() > 0
		}
		return false
	})
}
