package locales

import (
	"bytes"
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
	"duskdawn/locales/danger"
)

// How likely the net must take a text to answer about a matter for a question to be asked that nothing was found of, and what
// else it goes by; all are measured on writers that neither it nor the grammar had seen.
const (
	meant     = 0.3
	open      = 0.6 // how likely, at most, the words leave that question open
	answering = 0.5 // about any matter, for a text that begins like a question to be an answer
	seems     = 0.5 // above it a text only seems to say something of the one who wears it
)

// mainField is the question that is asked about a matter.
var mainField = [danger.NumMatters]chart.Field{danger.MatterWorn: chart.Worn, danger.MatterReason: chart.NotWorn,
	danger.MatterSnoring: chart.Snoring, danger.MatterPain: chart.Pain, danger.MatterGone: chart.Gone,
	danger.MatterGuide: chart.Guide, danger.MatterBite: chart.Bite, danger.MatterSleepiness: chart.Sleepiness,
	danger.MatterDriving: chart.Driving, danger.MatterPauses: chart.Pauses, danger.MatterHeadache: chart.Headache,
	danger.MatterSetting: chart.SettingLeft}

// trust makes of what the grammar, the claims and the nets read what is written and asked. A question writes nothing, nor does
// what only seems to be of the one who wears it. An answer amid words that were not understood is judged (verdict.go); and a
// matter that is answered in words of which no answer was made is asked.
func trust(nets *Nets, r *reading.Reading, l *left, h *danger.Hearing, asks bool) {
	if len(r.Tokens) > 0 && asks || r.Rest && l.prose.unknown > 0 && (h.Seems > seems || h.Hedges&reading.HedgeQuestion != 0 && h.Answers() < answering) {
		r.Tokens, r.Doubt, r.About, r.Rest = nil, reading.NoDoubt, chart.NoField, true
		return
	}
	p := &l.prose
	if asks || bytes.HasPrefix(p.text, []byte("/")) && !bytes.ContainsRune(p.text, ' ') { // a command that nobody knows
		return
	}
	if p.taken != 0 {
		r.Tokens = slices.DeleteFunc(r.Tokens, func(t reading.Token) bool { return p.taken&(1<<t.Field) != 0 })
	}
	p.said = slices.Clone(r.Tokens)
	if p.mended && (r.Rest || r.Doubt != reading.NoDoubt) { // what was put right is no longer in doubt
		r.Rest = true
		if r.Doubt == reading.Repeated || r.Doubt == reading.IsOdd || r.Doubt == reading.IsHalf && p.has(r.About) {
			r.Doubt, r.About = reading.NoDoubt, chart.NoField
		}
	}
	p.verdict(nets, r, l, h)
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
		if h.Matter[m] >= meant && p.tags.Way[answer.WayOpen(f)] < open && !said[m] && r.About != f {
			r.Tokens = append(r.Tokens, reading.Token{Field: f, Value: chart.Unknown})
		}
	}
}
