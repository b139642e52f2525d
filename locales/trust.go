package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/danger"
)

// How likely the net must take a text to answer about a matter: for the grammar's answer to be written, and for a
// question to be asked where the grammar found none. Both are measured on writers that neither had seen.
const (
	answered   = 0.15
	surely     = 0.4 // ... for what is easily something else: bare hours, part of a night, one side's setting
	meant      = 0.3
	open       = 0.6 // ... and how likely, at most, the words leave the question open
	heardAtAll = 0.1 // about any matter, for anything amid words that nothing is known of
	answering  = 0.5 // about any matter, for a text that begins like a question to be an answer
	seems      = 0.5 // above it a text only seems to say something of the one who wears it
)

// mainField is the question that is asked about a matter.
var mainField = [danger.NumMatters]chart.Field{danger.MatterWorn: chart.Worn, danger.MatterReason: chart.NotWorn,
	danger.MatterSnoring: chart.Snoring, danger.MatterPain: chart.Pain, danger.MatterGone: chart.Gone,
	danger.MatterGuide: chart.Guide, danger.MatterBite: chart.Bite, danger.MatterSleepiness: chart.Sleepiness,
	danger.MatterDriving: chart.Driving, danger.MatterPauses: chart.Pauses, danger.MatterHeadache: chart.Headache,
	danger.MatterSetting: chart.SettingLeft}

// trust takes from what the grammar read what may not be written. A question writes nothing, nor does what only seems
// to be of the one who wears it. An answer amid words that were not understood is written where the net hears that the
// text answers about it, and asked where it does not; and a matter that is answered in words that the grammar does not
// know is asked.
func trust(r *reading.Reading, l *left, h *danger.Hearing, asks bool) {
	if len(r.Tokens) > 0 && asks || r.Rest && l.prose.unknown > 0 && (h.Seems > seems || h.Hedges&reading.HedgeQuestion != 0 && h.Answers() < answering) {
		r.Tokens, r.Doubt, r.About, r.Rest = nil, reading.NoDoubt, chart.NoField, true
		return
	}
	if asks {
		return
	}
	p := &l.prose
	p.said = slices.Clone(r.Tokens)
	if p.mended { // what was put right is no longer in doubt
		r.Rest = true
		if r.Doubt == reading.Repeated || r.Doubt == reading.IsOdd || r.Doubt == reading.IsHalf && p.has(r.About) {
			r.Doubt, r.About = reading.NoDoubt, chart.NoField
		}
	}
	disputed := !r.Rest && p.disputes(r)
	r.Rest = r.Rest || disputed
	p.agree(r, l, h)
	if !disputed && (p.unknown == 0 || h.Answers() >= heardAtAll) { // of two whole readings neither is written
		p.fill(r)
	}
	p.witness(r, l)
	if len(r.Tokens) > 1 || r.Rest { // "pain 0, all good" says nothing more, nor does "have a good day"
		r.Tokens = slices.DeleteFunc(r.Tokens, func(t reading.Token) bool {
			return t.Field == chart.Wrong && t.Value.Is(chart.No) && l.labelled&(1<<t.Field) == 0
		})
	}
	if p.claim[chart.Nose].doubted { // a cold that night, and not how it is now
		r.Tokens = slices.DeleteFunc(r.Tokens, func(t reading.Token) bool { return t.Field == chart.Nose && l.labelled&(1<<t.Field) == 0 })
	}
	if p.asks { // of a question, or of what is to come, nothing is asked back
		r.Tokens = slices.DeleteFunc(r.Tokens, func(t reading.Token) bool { return t.Value == chart.Unknown })
		r.Rest = true
		if len(r.Tokens) == 0 {
			r.Doubt, r.About = reading.NoDoubt, chart.NoField
		}
		return
	}
	if !r.Rest {
		return
	}
	said := [danger.NumMatters + 1]bool{}
	for _, t := range r.Tokens {
		said[danger.MatterOf(t.Field)] = true
	}
	for m, f := range mainField {
		if h.Matter[m] >= meant && p.ways[danger.WayOpen(f)] < open && !said[m] && r.About != f {
			r.Tokens = append(r.Tokens, reading.Token{Field: f, Value: chart.Unknown})
		}
	}
}

// matters counts the matters that answers are about.
func matters(r *reading.Reading) (n int) {
	var seen [danger.NumMatters + 1]bool
	for _, t := range r.Tokens {
		if m := danger.MatterOf(t.Field); t.Value.Known() && !seen[m] {
			seen[m] = true
			n++
		}
	}
	return n
}

// rather reports whether the net hears the question answered in another way rather than in this one.
func (p *prose) rather(f chart.Field, v chart.Answer) bool {
	own := danger.WayOf(f, v)
	_, most := p.way(f)
	return own < danger.NumWays && most > p.ways[own]
}

// disputes reports whether the claims say something of which a reading that took in every word knows nothing: one of
// the two has it wrong.
func (p *prose) disputes(r *reading.Reading) bool {
	if len(r.Tokens) == 0 || r.Word != reading.NoWord || p.days > 1 {
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

// agree takes back what the grammar read and the claims do not bear out: what they contradict, numbers amid words that
// were not understood, and all else there where the net does not hear that it is answered.
func (p *prose) agree(r *reading.Reading, l *left, h *danger.Hearing) {
	about := matters(r) // what is said of several matters is shared out among them
	for i := range r.Tokens {
		t := &r.Tokens[i]
		if !t.Value.Known() {
			continue
		}
		switch c := p.claim[t.Field]; {
		case p.days > 1:
			t.Value = chart.Unknown
			continue
		case p.mended && c.value.Known() && c.value != t.Value: // the number that was put right
			t.Value = c.value
			continue
		case c.value == t.Value:
			if t.Night == 0 && t.Field.Row().About == chart.LastNight {
				t.Day = p.day
			}
			continue
		case c.barred || c.value.Known() || p.asks || r.Rest && c.doubted:
			t.Value = chart.Unknown
			continue
		case c == (claim{}) && l.labelled&(1<<t.Field) == 0 && t.Field.Row().Worded(t.Value) && p.contrary:
			t.Value = chart.Unknown // "headache, not at all": the grammar alone does not know what the "not" is of
			continue
		case c.doubted && t.Field.Row().Kind == chart.Scale && l.labelled&(1<<t.Field) == 0,
			t.Field == chart.Gone && c == (claim{}) && p.any(setOf(cWorn, cIn, cTaken)) && !p.any(setOf(cGone)),                                                   // "wore it till three, then out"
			l.labelled&(1<<t.Field) == 0 && (t.Field == chart.Worn || t.Field == chart.NotWorn) && !t.Value.Is(chart.WornAll) && c == (claim{}) && p.guideAlone(): // "guide no, forgot"
			t.Value = chart.Unknown
			r.Rest = true
			continue
		case c == (claim{}) && l.labelled&(1<<t.Field) == 0 && (l.unknown > 0 || p.unknown > 0) && p.rather(t.Field, t.Value):
			t.Value = chart.Unknown // the grammar alone reads it, and the net hears another answer
			continue
		case t.Field == chart.Pain && t.Value.Is(0) && p.has(chart.Gone): // "at noon it did not hurt any more"
			t.Value = chart.Unknown
			continue
		case !r.Rest:
			continue
		}
		bar := float32(answered) / float32(max(about, 1))
		if t.Field == chart.Worn && !t.Value.Is(chart.WornNo) {
			bar = surely / float32(max(about, 1))
		}
		m := danger.MatterOf(t.Field)
		if t.Field == chart.Gone || !t.Field.Row().Worded(t.Value) || l.unknown+l.n > 0 && (m == danger.NumMatters || p.hears[m] < bar) {
			t.Value = chart.Unknown
		}
	}
}

// guideAlone reports whether a text speaks of the morning guide and not of the appliance.
func (p *prose) guideAlone() bool {
	guide := setOf(cGuide)
	return (p.any(guide) || p.anyNot(guide)) && !p.any(setOf(cAllNight, cPartNight, cIn, cAppliance)) && !p.anyNot(setOf(cAllNight, cAppliance))
}

// fill adds what the claims say beside the grammar.
func (p *prose) fill(r *reading.Reading) {
	if p.days > 1 {
		if len(p.nights) > 0 && !p.asks {
			r.Tokens = nil
			r.Doubt, r.About = reading.NoDoubt, chart.NoField
		}
		for i := range p.nights {
			p.nights[i].tell(r, true)
		}
		return
	}
	for i := range r.Tokens {
		if t := &r.Tokens[i]; t.Value.Known() && t.Field.Row().About != chart.LastNight {
			t.Night, t.Day = 0, reading.Day{} // it stands so tonight, whatever day it was turned
		}
	}
	if r.Rest {
		p.tell(r, false)
	}
}

// tell adds the answers of a part of a text.
func (p *prose) tell(r *reading.Reading, several bool) {
	for f, c := range p.claim {
		f := chart.Field(f)
		same := func(t reading.Token) bool { return t.Field == f && (t.Day == p.day || !several) }
		if !c.value.Known() || slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return same(t) && t.Value.Known() }) {
			continue
		}
		r.Tokens = slices.DeleteFunc(r.Tokens, same)
		t := reading.Token{Field: f, Value: c.value}
		if !several && p.contrary && f.Row().Worded(c.value) {
			t.Value = chart.Unknown
		}
		if several || f.Row().About == chart.LastNight {
			t.Day = p.day
		}
		r.Tokens = append(r.Tokens, t)
	}
}
