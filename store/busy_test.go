package store_test

import (
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/store"
)

// A patient about whom everything was said, and nothing resolved, still fits
// into the stored form: 28 nights with every answer, every red flag, long
// words, messages on many days.
func TestBusiestPatientFits(t *testing.T) {
	for name, fill := range map[string]string{"letters": "m", "two bytes": "ñ", "three bytes": "क",
		"symbols": "\U0001F600"} {
		t.Run(name, func(t *testing.T) { busiest(t, fill) })
	}
}

func busiest(t *testing.T, fill string) {
	labels := make([]string, 60)
	for i := range labels {
		labels[i] = strings.Repeat(fill, 12)
	}
	long := strings.Repeat("ñandú ", 60)
	pr := practice.Practice{Langs: []string{"en"}, Staff: []practice.Staff{{ID: "s1234567", Label: "Dr A",
		Role: practice.Clinician, Chat: 7}}}
	fitted := civil.DateOf(2026, time.November, 2)
	e := chart.Enrolment{
		Label: strings.Repeat(fill, 40), Lang: "en", Zone: "America/Argentina/ComodRivadavia", Phone: "+00 000 0000 0000",
		Physician: strings.Repeat(fill, 80), Adult: true,
		Appliance: chart.Appliance{Mechanism: strings.Repeat(fill, 60), StepWord: strings.Repeat(fill, 24), Step: 250, Forward: strings.Repeat(fill, 60), Travel: 59, Guide: true, GuideMin: 5, Labels: labels},
		Baseline: chart.Baseline{Max: 8000, Zero: chart.ZeroHabitual, Start: 4000, Reporter: chart.Num(1),
			Snoring: chart.Num(8), Drives: chart.Num(chart.Yes), Allergies: strings.Repeat(fill, 120),
			Pain: chart.Num(0), Sleepy: chart.Num(3), Headache: chart.Num(chart.No), Pauses: chart.Num(chart.No), Scores: []chart.Score{{Name: "Questionnaire", Total: 12, On: fitted}}},
		Plan: chart.Plan{Fitted: fitted, Ends: fitted + 90, Evening: 21 * 60, Morning: 7 * 60,
			Fallback: strings.Repeat(fill, 80),
			Limits:   chart.Limits{Ceiling: 6, Settle: 3, Interval: 3, RestMornings: 3, Target: 3, Loud: 7, WornMinutes: 240, Pace: 1000, ContactDays: 90}},
		Checklist: 1<<chart.NumChecks - 1,
	}
	p := flows.Patient{ID: "07ABCDEFGHJKMNPQ"}
	now := civil.Wall{Date: fitted, Clock: 10 * 60}
	most := 0
	on := func(b flows.Body) {
		at := time.Unix(int64(now.Date)*86400+int64(now.Clock)*60, 0).UTC()
		p, _ = flows.Next(pr, p, flows.Event{ID: "e", At: at, Wall: now, Office: now, Body: b,
			Seed: [16]byte{byte(now.Clock), byte(now.Date)}})
		buf, err := store.EncodePatient(&p)
		if err != nil {
			t.Fatal(err)
		}
		if most = max(most, len(buf)); len(buf) > store.MaxPatientBody {
			t.Fatalf("after %T on %v: %d bytes, at most %d; %d escalations, %d flags", b, now.Date, len(buf),
				store.MaxPatientBody, len(p.Escalations), len(p.Course.Flags))
		}
	}
	actor := flows.Actor{ID: "s1234567"}
	on(flows.Enrol{Enrolment: e, Actor: actor, Code: "07ABCDEFGHJKMN", Chat: 7})
	on(flows.Join{Chat: 9, Code: "07ABCDEFGHJKMN", Gen: 1})
	for range 2 {
		on(flows.Tap{Chat: 9, Gen: p.Gen, Op: "path", Arg: "yes", Nonce: p.Talk.Nonce})
	}
	on(flows.Order{Actor: actor, Op: flows.OrderConfirm})
	for night := range civil.Date(40) {
		var entry chart.Entry
		entry.Night = now.Date
		for f := chart.NoField + 1; f < chart.NumFields; f++ {
			entry.V[f] = chart.Num(1)
		}
		entry.V[chart.WornMinutes], entry.V[chart.BiteMinutes], entry.V[chart.GuideMinutes] = chart.Num(480), chart.Num(45),
			chart.Num(20)
		on(flows.Order{Actor: actor, Op: flows.OrderTranscribe, Entry: &entry})
		now.Clock++
		on(flows.Said{Chat: 9, Gen: p.Gen, Text: long, Reading: reading.Reading{Rest: true}})
		for bit := range 37 {
			if (int(night)+bit)%5 == 0 {
				on(flows.Said{Chat: 9, Gen: p.Gen, Text: long, Reading: reading.Reading{Features: 1 << bit}})
			}
		}
		on(flows.Said{Chat: 9, Gen: p.Gen, Text: long, Reading: reading.Reading{Word: reading.WordCall}})
		now.Date, now.Clock = now.Date+1, 10*60
	}
	t.Logf("at most %d of %d bytes", most, store.MaxPatientBody)
}
