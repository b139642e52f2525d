package locales

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/danger"
)

// How likely the net must take a text to answer about a matter: for the grammar's answer to be written, and for a
// question to be asked where the grammar found none. Both are measured on writers that neither had seen.
const (
	answered  = 0.15
	surely    = 0.4 // ... for what is easily something else: bare hours, part of a night, one side's setting
	meant     = 0.3
	answering = 0.5 // about any matter, for a text that begins like a question to be an answer
	seems     = 0.5 // above it a text only seems to say something of the one who wears it
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
	if len(r.Tokens) > 0 && asks || r.Rest && l.unknown > 0 && (h.Seems > seems || h.Hedges&reading.HedgeQuestion != 0 && h.Answers() < answering) {
		r.Tokens, r.Doubt, r.About, r.Rest = nil, reading.NoDoubt, chart.NoField, true
		return
	}
	if !r.Rest || asks {
		return
	}
	about := matters(r) // what is said of several matters is shared out among them
	for i := range r.Tokens {
		t := &r.Tokens[i]
		bar := float32(answered) / float32(max(about, 1))
		switch {
		case t.Field == chart.WornMinutes, t.Field == chart.SettingRight && len(r.Tokens) < 2, t.Field == chart.Worn && t.Value.Is(chart.WornPart):
			bar = surely / float32(max(about, 1))
		case t.Field.Row().Kind == chart.Scale && t.Negated && l.n > 0: // "not sleepy, call it 1"
			bar = 2
		case t.Field == chart.Pain && t.Negated && (l.neg.has(cWoke) || l.pos.has(cWoke)): // "no pain waking me"
			bar = 2
		}
		if m := danger.MatterOf(t.Field); t.Value.Known() && l.unknown+l.n > 0 && (m == danger.NumMatters || h.Matter[m] < bar) {
			t.Value = chart.Unknown
		}
		if danger.MatterOf(t.Field) == danger.MatterSetting {
			t.Night, t.Day = 0, reading.Day{} // it stands so tonight, whatever day it was turned
		}
	}
	l.fill(r, h)
	said := [danger.NumMatters + 1]bool{}
	for _, t := range r.Tokens {
		said[danger.MatterOf(t.Field)] = true
	}
	for m, f := range mainField {
		if h.Matter[m] >= meant && !said[m] && r.About != f {
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
