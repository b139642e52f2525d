package flows

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// night plays the evening of a day without an answer.
func (l *life) night(day civil.Date) *life {
	l.now = civil.Wall{Date: monday() + day, Clock: 21 * 60}
	l.on(Due{Name: "evening", Scheduled: l.now})
	l.now = l.now.Add(RemindAfter)
	return l.on(Due{Name: "commit", Scheduled: l.now})
}

func tells(f chart.Field, n int) reading.Reading {
	return reading.Reading{Tokens: []reading.Token{{Field: f, Value: chart.Num(n)}}}
}

// Who wears it in a night for which a flag has it left out hears each time that it stays
// out; staff hear of it once, and of no nights left out, which the diary would deny.
func TestWornThoughItWasToBeLeftOut(t *testing.T) {
	l := active(t).say("jaw locked", reading.Reading{Features: reading.FLocked})
	for d := range civil.Date(6) {
		l.night(d)
		l.now = civil.Wall{Date: monday() + d + 1, Clock: 10 * 60}
		l.say("worn all night", tells(chart.Worn, chart.WornAll)).want(0, "out.worn").want(0, "out.stays").want(0, "out.call")
		if x := l.must(WhyWorn); x.Class != redflag.ClassN || int(x.Times) != int(d)+1 || x.Told != "out.worn" {
			t.Errorf("morning %d: %+v", d, x)
		}
		if n := l.cards(chatClin) + l.cards(chatAsst); (n > 0) != (d == 0) {
			t.Errorf("morning %d: %d cards", d, n)
		}
		if x := l.open(WhyLeftOut); x != nil {
			t.Errorf("morning %d: left out nights over worn ones: %+v", d, x)
		}
	}
	l.say("not worn", tells(chart.Worn, chart.WornNo)).wantNot(0, "out.worn")

	l = active(t).night(0)
	l.now = civil.Wall{Date: monday() + 1, Clock: 8 * 60}
	l.say("worn all night", tells(chart.Worn, chart.WornAll)).wantNot(0, "out.worn")
}

// An emergency's own reply has one act. What follows it says that it stays out until the
// practice has looked: the evening, tonight's setting on request, the morning and its answer.
func TestAfterAnEmergencyItIsSaidToStayOut(t *testing.T) {
	l := active(t).say("my chest hurts", reading.Reading{Features: reading.FChest}).wantNot(0, "out.stays")
	l.word(reading.WordToday).want(0, "tonight.out").want(0, "out.stays")
	l.now = civil.Wall{Date: monday(), Clock: 21 * 60}
	l.on(Due{Name: "evening", Scheduled: l.now}).want(0, "advice.out").want(0, "out.stays")
	l.now = civil.Wall{Date: monday() + 1, Clock: 7*60 + 30}
	l.on(Due{Name: "morning", Scheduled: l.now}).want(0, "emergency.morning").want(0, "out.stays")
	l.press("yes").want(0, "emergency.over").want(0, "out.stays")
}

// Words that are passed on may ask whether to wear it: while a flag has it left out, the
// answer says that it stays out, once a day beside small talk.
func TestPassedWordsAreToldThatItStaysOut(t *testing.T) {
	l := active(t).say("which setting tonight?", reading.Reading{}).want(0, "pass.told").wantNot(0, "out.stays")
	l.say("jaw locked", reading.Reading{Features: reading.FLocked})
	l.say("shall I wear it?", reading.Reading{}).want(0, "pass.told").want(0, "out.stays")
	l.say("shall I?", reading.Reading{}).want(0, "pass.told").want(0, "out.stays")
	l.say("good night", reading.Reading{Calm: true}).want(0, "pass.told").wantNot(0, "out.stays")
	l.say("can I use it?", reading.Reading{Calm: true}).want(0, "out.stays")
	l.say("how do I put it in?", reading.Reading{Word: reading.WordHow, Topic: reading.HowPutIn}).want(0, "out.stays").wantNot(0, "howto.putin")
	l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
	l.say("and tonight?", reading.Reading{}).want(0, "out.stays")
}

// A release after which it may be worn again says so; one that lifted no leaving out, or
// after which another flag still has it out, does not.
func TestReleasedItMayBeWornAgain(t *testing.T) {
	l := active(t).say("jaw locked", reading.Reading{Features: reading.FLocked})
	l.order("sclin", Order{Op: OrderRelease, Flag: "jaw.locked", Text: "seen"}).want(0, "told.released").want(0, "told.worn")
	l = active(t).say("bite is off", reading.Reading{Features: reading.FBiteOff})
	l.order("sclin", Order{Op: OrderRelease, Flag: "bite.changed", Text: "seen"}).want(0, "told.released").wantNot(0, "told.worn")
	l = active(t).say("jaw locked", reading.Reading{Features: reading.FLocked}).say("numb", reading.Reading{Features: reading.FNumb})
	l.order("sclin", Order{Op: OrderRelease, Flag: "jaw.locked", Text: "seen"}).want(0, "tonight.out").wantNot(0, "told.worn")
}

// A check-in's answer on another day is none to what was asked about a danger.
func TestAnAnswerOfTheDayRaisesNoDangerOfAnotherDay(t *testing.T) {
	l := active(t).say("perhaps my chest", unsure(reading.DangerChest)).word(reading.WordEarlier)
	l.must("chest")
	l.night(0)
	before := l.p.EscCount
	l.now = civil.Wall{Date: monday() + 1, Clock: 8 * 60}
	l.say("not worn", tells(chart.Worn, chart.WornNo))
	if l.p.EscCount != before {
		t.Errorf("%+v", l.p.Escalations)
	}
}

// An arranged test is told with its date where there is one.
func TestTheTestIsToldWithItsDate(t *testing.T) {
	l := active(t).order("sclin", Order{Op: OrderTesting, Until: monday() + 9}).want(0, "told.testing.on").wantNot(0, "told.testing")
	if l.p.TestOn != monday()+9 {
		t.Errorf("%v", l.p.TestOn)
	}
}

// After a release of the day the card has what the patient was told, not the advice of the
// evening before; with the next evening's advice it has that.
func TestACardHasWhatWasToldLast(t *testing.T) {
	l := active(t).say("jaw locked", reading.Reading{Features: reading.FLocked})
	l.night(0)
	if a, ahead := l.p.Ahead(&l.pr); ahead || l.p.Course.Advice.Action != chart.LeaveOut {
		t.Fatalf("before: %+v, advice %+v", a, l.p.Course.Advice)
	}
	l.now = civil.Wall{Date: monday() + 1, Clock: 12 * 60}
	l.order("sclin", Order{Op: OrderRelease, Flag: "jaw.locked", Text: "seen"}).want(0, "told.worn")
	if a, ahead := l.p.Ahead(&l.pr); !ahead || a.Action == chart.LeaveOut || a.Night != monday()+1 || a.To != l.p.Course.Left {
		t.Errorf("after: %v %+v", ahead, a)
	}
	l.night(1)
	if a, ahead := l.p.Ahead(&l.pr); ahead {
		t.Errorf("after the evening: %+v", a)
	}
}
