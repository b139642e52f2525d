package desk

import (
	"slices"
	"strings"

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
// is written. What the diary has of those nights is asked before they are shown.
func (t *turn) takeDay(s flows.Said) bool {
	night := t.e.Office.Night(civil.Noon)
	said := slices.Clone(s.Nights)
	switch {
	case len(said) == 0 && strings.Contains(s.Text, "\n"): // more lines than are read
		t.sayKey("desk.bad.many")
		return false
	case len(said) == 0:
		said = []flows.NightSaid{{Night: night - t.lastNight(), Line: 1, Reading: s.Reading}}
	case len(said) == 1 && said[0].Night == 0:
		said[0].Night = night - t.lastNight()
	}
	var all []chart.Entry
	rest := false
	for i := range said {
		e, why := t.entryOf(&said[i], night)
		for j := range all {
			if len(why) == 0 && all[j].Night == e.Night {
				why = []message.Line{message.Say("desk.bad.twice")}
			}
		}
		if len(why) > 0 {
			if len(said) > 1 {
				why = append([]message.Line{message.Say("desk.bad.line", message.ArgN("line", int(said[i].Line)))}, why...)
			}
			t.say(why...)
			return false
		}
		all, rest = append(all, e), rest || said[i].Reading.Rest
	}
	if rest {
		t.sayKey("desk.day.rest")
	}
	slices.SortFunc(all, func(a, b chart.Entry) int { return int(a.Night - b.Night) })
	f := &t.c.Form
	f.Order.Entry, f.Order.More = &all[0], all[1:]
	f.At, f.Nonce, f.Stage = f.At+1, t.nonce(), Waiting
	t.tell(flows.Target{Patient: f.Brief.Patient}, flows.Order{Actor: t.actor(), Op: flows.OrderBrief, Chat: t.c.ID, Text: f.Nonce,
		Entry: f.Order.Entry, More: f.Order.More})
	return false // the diary's answer goes on
}

// entryOf is a night as a line says it, or why it cannot be written; tonight is the
// newest night there is. The flow holds it to the patient's own clock once more.
func (t *turn) entryOf(said *flows.NightSaid, tonight civil.Date) (e chart.Entry, why []message.Line) {
	whose := &t.c.Form.Brief.Enrolment
	e.Night = said.Night
	n, dated, twice := 0, false, false
	named := chart.NoField // without an answer
	for _, tok := range said.Reading.Tokens {
		if tok.Field == chart.NoField || tok.Field >= chart.NumFields {
			continue
		}
		dated = dated || tok.Day.Kind != reading.NoDay || tok.Night != 0 && tok.Night != e.Night
		if tok.Value != chart.Unknown {
			twice = twice || e.V[tok.Field] != chart.Unknown && e.V[tok.Field] != tok.Value
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
	no := ""
	switch {
	case said.NoDate != "":
		return e, []message.Line{message.Say("desk.bad.date", message.ArgS("said", said.NoDate))}
	case len(said.Lost) > 0:
		for _, part := range said.Lost {
			why = append(why, message.Say("desk.bad.said", message.ArgS("said", part)))
		}
		return e, append(why, message.Say("desk.bad.again"))
	case n == 0 && named == chart.NoField || twice || said.Reading.Doubt != reading.NoDoubt:
		no = "desk.bad.day"
	case e.Night == 0 || dated:
		no = "desk.bad.nodate"
	case named != chart.NoField:
		return e, []message.Line{message.Say("desk.bad.part", message.ArgK("field", "field."+named.Row().Name))}
	case right && !whose.Appliance.TwoSided:
		no = "desk.bad.side"
	case right && !left:
		no = "desk.bad.sides"
	case e.Night > tonight || e.Night <= tonight-nightsKept || e.Night < whose.Plan.Fitted:
		no = "order.night.bad"
	default:
		return e, nil
	}
	return e, []message.Line{message.Say(no)}
}
