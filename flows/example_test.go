package flows_test

import (
	"fmt"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// An invented patient in the first week: the evening's timer fires and the
// evening's question is asked; the morning's text is saved and read back.
func ExampleNext() {
	fitted := civil.DateOf(2026, time.March, 2)
	plan := chart.Plan{Rev: 1, On: fitted, Fitted: fitted, Ends: fitted + 90,
		Evening: 21*60 + 30, Morning: 7 * 60, Limits: chart.Limits{Ceiling: 10, Settle: 7,
			Interval: 3, RestMornings: 3, Target: 3, Loud: 7, WornMinutes: 240, Pace: 1000, ContactDays: 90}}
	p := flows.Patient{ID: "07EXAMPLE", Plan: plan, Chat: 5, Gen: 1, Sure: 1,
		Appliance: chart.Appliance{Step: 250, Travel: 20},
		Baseline:  chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual, Start: 4000}}
	var pr practice.Practice
	p.Course.Begin(p.Facts(&pr, &flows.Event{}), fitted)

	on := func(date civil.Date, hour civil.Clock, body flows.Body) {
		var effects []flows.Effect
		wall := civil.Wall{Date: date, Clock: hour * 60}
		p, effects = flows.Next(pr, p, flows.Event{At: time.Unix(1772500000, 0), Wall: wall, Office: wall, Body: body})
		for _, effect := range effects {
			switch effect := effect.(type) {
			case flows.Send:
				for _, line := range effect.Msg.Lines {
					fmt.Println("tell", line.Key)
				}
			case flows.SetTimer:
				fmt.Println("timer", effect.Name, effect.At.Date, effect.At.Clock)
			case flows.Note:
				fmt.Println("diary", effect.Entry.Night)
			}
		}
	}
	on(fitted, 22, flows.Due{Name: "evening", Scheduled: civil.Wall{Date: fitted, Clock: plan.Evening}})
	fmt.Println("- the next morning")
	on(fitted+1, 8, flows.Said{Chat: 5, Gen: 1, Message: 1, Text: "worn all night, pain 2",
		Wall: civil.Wall{Date: fitted + 1, Clock: 8 * 60}, Reading: reading.Reading{Tokens: []reading.Token{
			{Field: chart.Worn, Value: chart.Num(chart.WornAll)}, {Field: chart.Pain, Value: chart.Num(2)}}}})
	// Output:
	// timer evening 2026-03-03 21:30
	// tell prompt.evening
	// tell ask.wrong
	// timer commit 2026-03-02 23:15
	// diary 2026-03-02
	// - the next morning
	// tell saved.head
	// tell label.worn.2
	// tell label.pain
	// diary 2026-03-02
}
