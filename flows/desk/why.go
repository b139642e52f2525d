package desk

import (
	"slices"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/flows/why"
)

// mostWhys is how many things a card offers to explain by a button; the rest
// can be typed.
const mostWhys = 6

// why tells a person of the practice what a rule, flag, blank or number is and
// what it rests on: the same text that the command line prints. A patient is
// never told it: this is said in the chat of a person of the practice alone.
func (t *turn) why(id string) {
	lines, ok := why.Why(id)
	switch {
	case id == reading.WhyAll:
		lines = why.WhyList("")
	case !ok:
		lines = why.WhyList(id)
	}
	t.say(lines...)
}

// whyIDs are the rules and flags that a card speaks of: why it rings, what is
// open, what the newest advice rests on.
func whyIDs(p *flows.Patient, escalations []flows.Escalation) (ids []string) {
	add := func(id string) {
		_, known := why.Why(id)
		if known && !slices.Contains(ids, id) && len(ids) < mostWhys {
			ids = append(ids, id)
		}
	}
	for i := range escalations {
		add(escalations[i].Reason)
	}
	for i := range p.Course.Flags {
		add(p.Course.Flags[i].ID)
	}
	if a := &p.Course.Advice; a.Action != chart.NoAction {
		add(a.Rule.ID())
	}
	return ids
}

// whyButtons link a card to the reasons behind it, three in a row.
func whyButtons(p *flows.Patient, escalations []flows.Escalation) (rows [][]message.Button) {
	for three := range slices.Chunk(whyIDs(p, escalations), 3) {
		var row []message.Button
		for _, id := range three {
			row = append(row, message.Button{Label: message.Say("desk.b.why", message.ArgS("id", id)), Op: opWhy, Arg: id})
		}
		rows = append(rows, row)
	}
	return rows
}
