package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/danger"
)

// The nets of ways and of figures are a second pair of ears, for texts of which the grammar did not take in every word. What it
// read and they do not bear out is asked; what they hear beyond a doubt is written where the grammar stopped. The bars were set
// on writers that neither had seen: lower ones write more, and more of it wrong.
const (
	unborne   = 0.2  // a figure that answers its question less than this is asked ...
	lone      = 0.4  // ... or this, where it is a setting or hours, or the grammar and the claims do not agree on it
	unheard   = 0.12 // an answer that the words give less than this is asked ...
	outdone   = 0.5  // ... or where they give another more than this
	certain   = 0.85 // an answer that the words give this much is written
	figured   = 0.85 // ... or a figure, where the words speak of its question
	spoken    = 0.4  // ... this much
	rival     = 0.2  // ... and no other figure answers it more than this
	ofWorn    = 0.3  // how much the text must speak of wearing, shared with its other matters, for "all night" to be of that
	mostHours = 10   // hours that are worn in a night, at most, where the nets alone hear them
	minutes   = 5    // minutes of bite and guide, at least: fewer may be hours
)

// doubtful has higher bars, of answers that the nets alone have wrong more often.
var doubtful = map[chart.Field]float32{chart.Guide: 0.95, chart.WornMinutes: 0.95, chart.Snoring: 0.9}

// witness takes back what the nets do not bear out, and adds what they hear. Of several days they hear too little, and of
// what was put right.
func (p *prose) witness(r *reading.Reading, l *left) {
	if p.days > 1 || r.Word != reading.NoWord || !r.Rest {
		return
	}
	for i := range r.Tokens {
		t := &r.Tokens[i]
		if t.Value.Known() && l.labelled&(1<<t.Field) == 0 && (l.unknown+p.unknown > 0 || !p.agreed(t.Field, t.Value)) && !p.bears(t.Field, t.Value) {
			t.Value = chart.Unknown
		}
	}
	if p.asks || p.unfixed || p.any(setOf(cFix, cSorry)) || p.flips() {
		return
	}
	about, added := max(matters(r), 1), fieldSet(0)
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		if p.closed(f) || f == chart.Worn && p.hears[danger.MatterWorn] < ofWorn/float32(about) {
			continue
		}
		if v := p.heard(f); v.Known() && p.add(r, f, v) {
			added |= 1 << f
		}
	}
	p.follow(r, added)
}

// closed reports whether what the claims found of a question leaves the nets nothing to say: it is of something else, or, of
// wear and the guide, in doubt.
func (p *prose) closed(f chart.Field) bool {
	c := p.claim[f]
	switch f {
	case chart.Worn, chart.GuideMinutes:
		return c.barred || c.doubted
	case chart.Guide:
		return c.barred || c.doubted || p.claim[chart.GuideMinutes].doubted
	}
	return c.barred
}

// bears reports whether the nets bear out an answer.
func (p *prose) bears(f chart.Field, v chart.Answer) bool {
	if f == chart.Bite && !p.ofBite() {
		return false
	}
	if role := danger.RoleOf(f); role != danger.RoleNone {
		best, said := p.counted(f, v)
		switch counted := f == chart.SettingLeft || f == chart.SettingRight || f == chart.WornMinutes; {
		case said && (best < unborne || best < lone && (counted || !p.agreed(f, v))):
			return false
		case !said && f == chart.Pain && v.Is(0) && !p.claim[f].value.Known(): // "nothing hurts" may be of the head
			return false
		case f == chart.WornMinutes && p.sleepsOnly():
			return false
		}
	}
	own := danger.WayOf(f, v)
	if own >= danger.NumWays {
		return true
	}
	least := float32(unheard)
	if f == chart.Where { // a place has many names
		least = 0.03
	}
	if f == chart.Driving && !p.claim[f].value.Known() {
		least = outdone // a "no" beside the car is seldom of the eyes that fell shut
	}
	if p.ways[own] < least {
		return false
	}
	best, share := p.way(f)
	return share <= outdone || danger.WayOf(f, best) == own
}

// counted is how likely a figure that means this answer answers the question; false where there is none.
func (p *prose) counted(f chart.Field, v chart.Answer) (best float32, said bool) {
	role := danger.RoleOf(f)
	for i := range p.figures {
		if g := &p.figures[i]; role != danger.RoleNone && g.Means(f, v) {
			said, best = true, max(best, g.Share[role])
		}
	}
	return best, said
}

// agreed reports whether the grammar and the claims both read an answer.
func (p *prose) agreed(f chart.Field, v chart.Answer) bool {
	return p.claim[f].value == v && p.byGrammar(f, v)
}

// byGrammar reports whether the grammar read an answer.
func (p *prose) byGrammar(f chart.Field, v chart.Answer) bool {
	return slices.ContainsFunc(p.said, func(t reading.Token) bool { return t.Field == f && t.Value == v })
}

// way is the answer in words that a question most likely has, if any, and how likely.
func (p *prose) way(f chart.Field) (v chart.Answer, share float32) {
	row := f.Row()
	for n := row.Least; n <= min(row.Most, row.Least+12); n++ {
		if w := danger.WayOf(f, chart.Num(n)); w < danger.NumWays && p.ways[w] > share {
			v, share = chart.Num(n), p.ways[w]
		}
	}
	return v, share
}

// heard is what the nets hear a question answered with; Unknown where they are not certain.
func (p *prose) heard(f chart.Field) chart.Answer {
	v, share := p.way(f)
	role := danger.RoleOf(f)
	bar := doubtful[f]
	switch {
	case f == chart.WornMinutes && p.sleepsOnly():
		return chart.Unknown
	case role != danger.RoleNone && (len(p.figures) > 0 || f != chart.Pain || !v.Is(0)): // but for a pain that there is none of
		if share < spoken {
			return chart.Unknown
		}
		if n := p.figure(f, role, max(bar, figured)); danger.WayOf(f, n) == danger.WayOf(f, v) {
			return n
		}
		return chart.Unknown
	case share < max(bar, certain), f == chart.NotWorn && v.AtLeast(chart.ReasonAdvised), // reasons that share one way
		v.Is(chart.No) && p.namesPlainly(f), f == chart.Bite && (!p.ofBite() || v.Is(chart.BiteUnsure) && !p.teeth()):
		return chart.Unknown
	}
	return v
}

// figure is the one figure that answers a question; Unknown where none surely does, or two may.
func (p *prose) figure(f chart.Field, role danger.Role, bar float32) chart.Answer {
	at := -1
	for i := range p.figures {
		switch g := &p.figures[i]; {
		case g.Share[role] >= bar && at < 0:
			at = i
		case g.Share[role] >= rival:
			return chart.Unknown
		}
	}
	if at < 0 || !p.figures[at].Whole {
		return chart.Unknown
	}
	n, more := int(p.figures[at].N), int(p.figures[at].Quarters)
	if more > 0 && f != chart.WornMinutes {
		return chart.Unknown
	}
	switch f {
	case chart.SettingLeft: // of two sides both or none
		if p.most(danger.RoleRight, at) >= rival && p.most(danger.RoleRight, at) < bar {
			return chart.Unknown
		}
	case chart.SettingRight:
		if p.most(danger.RoleSetting, at) < bar {
			return chart.Unknown
		}
	case chart.WornMinutes:
		if n < 1 || n > mostHours {
			return chart.Unknown
		}
		n = n*60 + 15*more
	case chart.GuideMinutes, chart.BiteMinutes:
		if n < minutes || f == chart.BiteMinutes && !p.teeth() && !p.any(setOf(cBack, cOK)) { // "the bus took 40 minutes"
			return chart.Unknown
		}
	}
	if n > f.Row().Said || !f.Takes(chart.Num(n)) {
		return chart.Unknown
	}
	return chart.Num(n)
}

// most is how likely a role is of the figure that has it most, of all but one.
func (p *prose) most(role danger.Role, but int) (share float32) {
	for i := range p.figures {
		if i != but {
			share = max(share, p.figures[i].Share[role])
		}
	}
	return share
}

// sleepsOnly reports whether hours may be those of sleep: nothing is said of the appliance.
func (p *prose) sleepsOnly() bool {
	return p.any(setOf(cSlept)) && !p.any(mouth.or(setOf(cTaken, cAllNight, cPartNight))) && !p.anyNot(setOf(cTaken))
}

// ofBite reports whether sides may be those of the bite: "both sides at 5", "the muscle on one side" are not.
func (p *prose) ofBite() bool {
	return p.teeth() || !p.any(sitesOf) && p.most(danger.RoleSetting, -1) < rival
}

// teeth reports whether the bite or the teeth are named.
func (p *prose) teeth() bool {
	teeth := bites.or(setOf(cTeeth))
	return p.any(teeth) || p.anyNot(teeth)
}

// namesPlainly reports whether the name of a question stands without a "not": "no pain, headache though".
func (p *prose) namesPlainly(f chart.Field) bool {
	switch f {
	case chart.Headache:
		return p.any(setOf(cHeadache))
	case chart.Pauses:
		return p.any(setOf(cPauses, cChoke, cGasp))
	case chart.Woken:
		return p.any(setOf(cWoke))
	}
	return false
}

// add writes an answer that nothing else of the text answers, and reports whether it did.
func (p *prose) add(r *reading.Reading, f chart.Field, v chart.Answer) bool {
	same := func(t reading.Token) bool { return t.Field == f }
	if slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return same(t) && t.Value.Known() }) {
		return false
	}
	r.Tokens = slices.DeleteFunc(r.Tokens, same)
	t := reading.Token{Field: f, Value: v}
	if f.Row().About == chart.LastNight {
		t.Day = p.day
	}
	r.Tokens = append(r.Tokens, t)
	if r.About == f {
		r.Doubt, r.About = reading.NoDoubt, chart.NoField
	}
	return true
}

// follow drops what was added and does not go with another answer: whether it was worn beside for how long, why not beside
// all night, when a pain went of which there was none.
func (p *prose) follow(r *reading.Reading, added fieldSet) {
	value := func(f chart.Field) chart.Answer {
		for _, t := range r.Tokens {
			if t.Field == f {
				return t.Value
			}
		}
		return chart.Unknown
	}
	worn, hours, pain := value(chart.Worn), value(chart.WornMinutes), value(chart.Pain)
	r.Tokens = slices.DeleteFunc(r.Tokens, func(t reading.Token) bool {
		if added&(1<<t.Field) == 0 {
			return false
		}
		switch t.Field {
		case chart.NotWorn:
			return !worn.Known() && !hours.Known() || worn.Is(chart.WornAll)
		case chart.Gone, chart.Where:
			return pain.Is(0)
		case chart.Worn:
			return hours.Known()
		case chart.Guide:
			return value(chart.GuideMinutes).Known()
		}
		return false
	})
}
