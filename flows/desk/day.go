package desk

import (
	"slices"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/reading"
)

// Answers given by telephone or on paper, a line a night.

// nightsKept is how many nights, the running one among them, can still be written to.
const nightsKept = civil.Date(len(pacing.Course{}.Nights))

// takeDay takes the answers of a night, or of several: all of them, or none where a
// line is not clear. What was not understood beside them is said, since nothing of it
// is written.
func (t *turn) takeDay(s flows.Said) bool {
	night := t.e.Office.Night(civil.Noon)
	said := s.Nights
	if len(said) == 0 {
		said = []flows.NightSaid{{Night: night - t.lastNight(), Line: 1, Reading: s.Reading}}
	}
	var all []chart.Entry
	rest := false
	for i := range said {
		e, why := t.entryOf(&said[i], night)
		for j := range all {
			if all[j].Night == e.Night {
				why = message.Say("desk.bad.twice")
			}
		}
		if why.Key != "" {
			lines := []message.Line{why}
			if len(said) > 1 {
				lines = []message.Line{message.Say("desk.bad.line", message.ArgN("line", int(said[i].Line))), why}
			}
			t.say(lines...)
			return false
		}
		all, rest = append(all, e), rest || said[i].Reading.Rest
	}
	if rest {
		t.sayKey("desk.day.rest")
	}
	slices.SortFunc(all, func(a, b chart.Entry) int { return int(a.Night - b.Night) })
	t.c.Form.Order.Entry, t.c.Form.Order.More = &all[0], all[1:]
	return true
}

// entryOf is a night as a line says it, or why it cannot be written; tonight is the
// newest night there is. The flow holds it to the patient's own clock once more.
func (t *turn) entryOf(said *flows.NightSaid, tonight civil.Date) (e chart.Entry, why message.Line) {
	whose := &t.c.Form.Brief.Enrolment
	e.Night = said.Night
	n := 0
	named := chart.NoField // without an answer
	for _, tok := range said.Reading.Tokens {
		if tok.Field == chart.NoField || tok.Field >= chart.NumFields {
			continue
		}
		if tok.Night != 0 {
			e.Night = tok.Night
		}
		if tok.Value != chart.Unknown {
			e.V[tok.Field] = tok.Value
			n++
		}
	}
	for _, tok := range said.Reading.Tokens {
		if f := tok.Field; f > chart.NoField && f < chart.NumFields && e.V[f] == chart.Unknown {
			named = f
		}
	}
	left, right := e.V[chart.SettingLeft] != chart.Unknown, e.V[chart.SettingRight] != chart.Unknown
	switch {
	case n == 0 && named == chart.NoField || said.Reading.Doubt != reading.NoDoubt:
		return e, message.Say("desk.bad.day")
	case e.Night == 0:
		return e, message.Say("desk.bad.nodate")
	case named != chart.NoField:
		return e, message.Say("desk.bad.part", message.ArgK("field", "field."+named.Row().Name))
	case right && !whose.Appliance.TwoSided:
		return e, message.Say("desk.bad.side")
	case right && !left:
		return e, message.Say("desk.bad.sides")
	case e.Night > tonight || e.Night <= tonight-nightsKept || e.Night < whose.Plan.Fitted:
		return e, message.Say("order.night.bad")
	}
	return e, message.Line{}
}
