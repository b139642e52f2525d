package flows_test

import (
	"testing"
	"time"

	"duskdawn/flows"
)

// One usual night of an active patient: the evening's prompt, the evening in a
// line, the morning's prompt, and the morning in a line that confirms the
// setting. The readings are ready: reading is not part of flows.
var (
	eveningLine = flows.Reading{Tokens: []flows.Token{{Field: flows.Wrong, Value: flows.Num(flows.No)}}}
	morningLine = flows.Reading{Word: flows.WordStands, Tokens: []flows.Token{
		{Field: flows.SettingLeft, Value: flows.Num(0)}, {Field: flows.Worn, Value: flows.Num(flows.WornAll)}, {Field: flows.Snoring, Value: flows.Num(6)},
		{Field: flows.Pain, Value: flows.Num(0)}, {Field: flows.Guide, Value: flows.Num(flows.Yes)}, {Field: flows.BiteMinutes, Value: flows.Num(5)}}}
)

func benchPatient(b *testing.B) (flows.Practice, flows.Patient) {
	k := start(b, func(p *flows.Patient) { p.Plan.Limits.Ceiling = 4 })
	for range 30 {
		k.to(k.now.Date, 21, 30)
		k.say("No problem tonight")
		k.to(k.now.Date+1, 7, 0)
		k.say("it stands, all night, snore 6, pain 0, bite guide used, bite back after 5 min")
	}
	return k.pr, k.p
}

// BenchmarkPatientNight is two prompts and two one-line days through Next.
func BenchmarkPatientNight(b *testing.B) {
	pr, p := benchPatient(b)
	night := p.Course.Advice.Night
	step := func(w flows.Wall, body flows.Body) {
		e := flows.Event{At: time.Unix(int64(w.Date)*86400+int64(w.Clock)*60, 0), Wall: w, Office: w, Body: body}
		p, _ = flows.Next(pr, p, e)
	}
	b.ReportAllocs()
	for b.Loop() {
		night++
		p.Plan.Fitted, p.Course.Seen = night, night // never overlooked
		dusk, dawn := flows.Wall{Date: night, Clock: 1290}, flows.Wall{Date: night + 1, Clock: 420}
		step(dusk, flows.Due{Name: "evening", Scheduled: dusk})
		step(dusk, flows.Said{Chat: 1, Gen: 1, Text: "no problem", Reading: eveningLine, Wall: dusk})
		step(dawn, flows.Due{Name: "morning", Scheduled: dawn})
		step(dawn, flows.Said{Chat: 1, Gen: 1, Text: "all of it", Reading: morningLine, Wall: dawn})
	}
	if p.Course.Advice.Night != night || len(p.Escalations) > 3 {
		b.Fatalf("advice of %s on %s, %d escalations", p.Course.Advice.Night, night, len(p.Escalations))
	}
}
