package locales

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/answer"
	"duskdawn/locales/danger"
)

// A text may say no more than the answers that were read of it though the grammar does not know its every word: "snore 3, my
// wife says". Then it is understood, and nobody is troubled with its words.

// How likely at most a text may say any danger, and at least leave each question open that was not answered, for nothing of it to
// be left over; and how many words it may have. Of writers that no net had seen none who told of a danger is among these.
const (
	nothing  = 0.02
	unspoken = 0.9
	mostSaid = 22
)

// Beside answers these say something else: "and it smells".
var besides = setOf(cClean, cFirstWeek, cLipSeal, cHow, cElsewhere, cOtherPain)

// accounts reports whether what was read is all that a text says: everything asked was answered, every number answers something,
// no other question is spoken of, nothing sounds like a danger, and the grammar knows every word, but for a common one where it is
// told who heard it, why, where it hurts, or of driving: it may be a name of that.
func (p *prose) accounts(r *reading.Reading, h *danger.Hearing) bool {
	if len(r.Tokens) == 0 || r.Doubt != reading.NoDoubt || r.Dangerous() || r.Word != reading.NoWord || p.asks || p.unfixed || p.days > 1 ||
		h.Any() >= nothing || len(p.ws) > mostSaid || p.tags.Unheard > 0 || p.any(besides) || p.anyNot(besides) {
		return false
	}
	said := func(fields ...chart.Field) bool {
		return slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return slices.Contains(fields, t.Field) })
	}
	strange := p.strange()
	if strange > 1 || strange == 1 && !said(chart.Reporter, chart.NotWorn, chart.Where, chart.Driving) ||
		slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return !t.Value.Known() }) {
		return false
	}
	for i := range p.tags.Figures {
		g := &p.tags.Figures[i]
		clock := said(chart.WornMinutes, chart.Gone) && slices.ContainsFunc(p.tags.Clocks, func(c answer.Clock) bool { return c.Has(g) })
		if !clock && !slices.ContainsFunc(r.Tokens, func(t reading.Token) bool {
			role := answer.RoleOf(t.Field)
			return role != answer.RoleNone && g.Means(t.Field, t.Value) && g.Share[role] >= perhaps
		}) {
			return false
		}
	}
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		open := answer.WayOpen(f)
		if open == answer.NumWays || said(f) || p.tags.Way[open] >= unspoken {
			continue
		}
		switch f {
		case chart.Guide, chart.GuideMinutes:
			if said(chart.Guide, chart.GuideMinutes) {
				continue
			}
		case chart.Bite, chart.BiteMinutes:
			if said(chart.Bite, chart.BiteMinutes) {
				continue
			}
		case chart.SettingLeft, chart.SettingRight:
			if said(chart.SettingLeft, chart.SettingRight) {
				continue
			}
		}
		return false
	}
	return true
}
