package flows

import (
	"testing"

	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// What came up at night together rings once, when the office opens; where one of it is
// settled, the rest is no news to whoever saw both, and rings again as the day ends.
func TestWhatWasShownTogetherIsNoNewCard(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 1, Clock: 21*60 + 30}
	first := l.desk(practice.Assistant, redflag.ClassN, WhyCall, "call me").N
	rest := l.desk(practice.Clinician, redflag.ClassN, pacing.P07.ID(), "").N
	l.now = civil.Wall{Date: monday() + 2, Clock: 9 * 60}
	if l.on(Due{Name: ringName(first)}); l.cards(chatClin) != 1 || l.must(pacing.P07.ID()).Rings != 1 {
		t.Fatalf("%d cards when the office opens, %+v", l.cards(chatClin), l.p.Escalations)
	}
	l.later(60)
	l.order("sasst", Order{Op: OrderResolve, Esc: first, Text: "called"}).want(chatAsst, "order.resolved.rest")
	at, _ := l.timer(ringName(rest))
	if want := (civil.Wall{Date: monday() + 2, Clock: 17 * 60}); l.cards(chatClin) != 0 || at.At != want {
		t.Fatalf("%d cards, the rest rings at %v, want %v", l.cards(chatClin), at.At, want)
	}
	l.now = at.At
	if l.on(Due{Name: at.Name}); l.cards(chatClin) != 1 || l.cards(chatAsst) != 1 {
		t.Errorf("as the day ends: %d and %d cards", l.cards(chatClin), l.cards(chatAsst))
	}
}

// What joined while the office was closed has been seen by nobody: where the first of
// its item is settled before, it rings when the office opens.
func TestWhatJoinedAtNightRingsAtOpening(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 1, Clock: 11 * 60}
	first := l.desk(practice.Assistant, redflag.ClassN, WhyCall, "call me").N
	l.now.Clock = 21 * 60
	second := l.desk(practice.Clinician, redflag.ClassN, pacing.P16.ID(), "").N
	l.later(10)
	l.order("sasst", Order{Op: OrderResolve, Esc: first, Text: "called"})
	at, set := l.timer(ringName(second))
	if want := (civil.Wall{Date: monday() + 2, Clock: 9 * 60}); !set || at.At != want {
		t.Fatalf("rings at %+v, want %+v", at.At, want)
	}
	l.now = at.At
	if l.on(Due{Name: at.Name, Arg: at.Arg}); l.cards(chatClin) != 1 {
		t.Errorf("%d cards", l.cards(chatClin))
	}
}

// Whoever releases a flag hears that the rest of its item stays open.
func TestReleaseNamesTheRest(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
	l.say("a tooth is loose", reading.Reading{Rest: true, Sure: reading.SetOf(reading.DangerToothLoose)})
	l.order("sclin", Order{Op: OrderRelease, Flag: "tooth.loose", Text: "seen"}).wantNot(chatClin, "order.released.rest")
	l.say("a tooth is loose", reading.Reading{Rest: true, Sure: reading.SetOf(reading.DangerToothLoose)})
	l.later(5).desk(practice.Clinician, redflag.ClassN, pacing.P07.ID(), "")
	l.order("sclin", Order{Op: OrderRelease, Flag: "tooth.loose", Text: "seen"}).want(chatClin, "order.released.rest")
	if l.cards(chatClin) != 0 || l.open(pacing.P07.ID()) == nil {
		t.Errorf("%d cards, %+v", l.cards(chatClin), l.p.Escalations)
	}
}
