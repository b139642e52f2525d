package flows

import (
	"strings"
	"testing"

	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// "It has passed" stands on the card of what has, also where nothing asked for it; nothing is taken back by it.
func TestItHasPassedIsOnTheCard(t *testing.T) {
	for _, w := range []reading.Word{reading.WordNotNow, reading.WordOver} {
		l := active(t).say("I cannot breathe", reading.Reading{Sure: reading.SetOf(reading.DangerBreath)})
		if l.p.Talk.Ask == AskHow || l.p.Talk.Ask == AskNow {
			l.p.Talk.Ask = NoAsk
		}
		l.later(3).say("it has passed", reading.Reading{Word: w}).want(0, "now.kept")
		if esc := l.must("breath"); !strings.Contains(esc.Quote, "it has passed") || esc.Class != redflag.ClassE {
			t.Errorf("%+v", esc)
		}
	}
	active(t).say("it has passed", reading.Reading{Word: reading.WordNotNow}).want(0, "now.none").wantNot(0, "now.kept")
	l := active(t).say("blah", reading.Reading{Rest: true})
	if l.say("it has passed", reading.Reading{Word: reading.WordNotNow}).want(0, "now.kept"); !strings.Contains(l.must(WhyMessage).Quote, "it has passed") {
		t.Errorf("%+v", l.must(WhyMessage))
	}
}

// Words that say among others that it is over answer what is asked about a danger: neither is another danger heard in them, nor are they lost.
func TestOverAmongOtherWords(t *testing.T) {
	over := reading.Reading{Rest: true, Over: true, Unsure: reading.SetOf(reading.DangerSelfHarm)}
	l := active(t).say("so out of breath", unsure(reading.DangerBreath)).say("not now, that was this morning", over).want(0, "doubt.when")
	if esc := l.must("breath"); !strings.Contains(esc.Quote, "this morning") || len(l.p.Escalations) != 1 {
		t.Errorf("%+v", l.p.Escalations)
	}
	if l := active(t).say("not now, that was this morning", over); l.p.Talk.Ask != AskDanger { // nothing was asked: what is heard is
		t.Errorf("asked %v", l.p.Talk.Ask)
	}
}

// "It has passed" pushes none of the words out of a card that nobody has read.
func TestItHasPassedPushesNothingOut(t *testing.T) {
	words := strings.Repeat("blah ", 119) + "END"
	l := active(t).say(words, reading.Reading{Rest: true}).say("it has passed", reading.Reading{Word: reading.WordNotNow})
	if esc := l.must(WhyMessage); !strings.Contains(esc.Quote, "END") {
		t.Errorf("%q", esc.Quote)
	}
}
