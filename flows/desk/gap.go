package desk

import (
	"slices"

	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// Where those who cover leave nobody, or no clinician, on duty, that is told: before it is
// set, to everybody when it is, and in the digest of the days before.

// gapDays is how many days ahead the digest tells of; mostGaps how many times it names.
const (
	gapDays  = 7
	mostGaps = 6

	mostGapDays = 60 // how far ahead covers that somebody's leaving opens are looked at
)

// coverGaps are the gaps that the cover of the open form would leave.
func (t *turn) coverGaps() []message.Line {
	pr, c := *t.pr, t.c.Form.Cover
	pr.Covers = append(slices.Clone(pr.Covers), *c)
	return gapLines(pr.Gaps(max(c.From, t.e.Office.Date), c.To))
}

func gapLines(gaps []practice.Gap) (out []message.Line) {
	for _, g := range gaps[:min(len(gaps), mostGaps)] {
		who := message.ArgK("who", "desk.gap."+g.Role.String())
		last := g.To.Date
		if g.To.Clock == 0 {
			last--
		}
		from, to := message.ArgD("from", g.From.Date), message.ArgD("to", last)
		begins, ends := message.ArgC("begins", g.From.Clock), message.ArgC("ends", g.To.Clock)
		switch whole := g.From.Clock == 0 && g.To.Clock == 0; {
		case whole && g.From.Date == last:
			out = append(out, message.Say("desk.gap.day", who, from))
		case whole:
			out = append(out, message.Say("desk.gap.days", who, from, to))
		case g.From.Date == last:
			out = append(out, message.Say("desk.gap.hours", who, from, begins, ends))
		default:
			out = append(out, message.Say("desk.gap.over", who, from, begins, to, ends))
		}
	}
	if n := len(gaps) - mostGaps; n > 0 {
		out = append(out, message.Say("desk.queue.more", message.ArgN("count", n)))
	}
	return out
}
