package flows

import (
	"testing"
	"time"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
)

// BenchmarkNext is one quick answer of an active patient through the flow.
func BenchmarkNext(b *testing.B) {
	pr := lifePractice()
	p := Patient{ID: "07TESTTESTTESTTEST"}
	now := civil.Wall{Date: monday(), Clock: 10 * 60}
	on := func(body Body) {
		p, _ = Next(pr, p, Event{At: time.Unix(int64(now.Date)*86400, 0), Wall: now, Office: now, Body: body})
	}
	on(Enrol{Enrolment: lifeEnrolment(), Actor: Actor{ID: "sclin"}, Code: testCode, Chat: chatClin})
	on(Join{Chat: chatPatient, Code: testCode, Gen: 1})
	for range 2 {
		on(Tap{Chat: chatPatient, Gen: p.Gen, Op: opPath, Arg: "yes", Nonce: p.Talk.Nonce})
	}
	on(Order{Actor: Actor{ID: "sclin"}, Op: OrderConfirm})
	now = civil.Wall{Date: monday() + 1, Clock: 7*60 + 31}
	e := Event{At: time.Unix(int64(now.Date)*86400, 0), Wall: now, Office: now,
		Body: Said{Chat: chatPatient, Gen: p.Gen, Text: "Pain 2", Reading: reading.Reading{Tokens: []reading.Token{{Field: chart.Pain, Value: chart.Num(2)}}}}}
	b.ReportAllocs()
	for b.Loop() {
		if q, out := Next(pr, p, e); len(out) == 0 || q.ID == "" {
			b.Fatal("no answer")
		}
	}
}
