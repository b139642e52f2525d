package flows

import (
	"slices"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// The bounds of the cards, one step to either side of each.

// The number of an item holds that of its patient; behind the last one they begin anew.
func TestNumbersOfItems(t *testing.T) {
	p := Patient{Number: 12}
	for n, want := range map[int32]int32{-1: -1, 0: 0, 1: 12001, 2: 12002, 999: 12999, 1000: 12001, 1998: 12999, 1999: 12001} {
		if got := p.Headline(n); got != want || n > 0 && NumberOf(got) != 12 {
			t.Errorf("item %d goes by %d, want %d", n, got, want)
		}
	}
	if (&Patient{}).Headline(7) != 7 || NumberOf(12999) != 12 || NumberOf(13000) != 13 {
		t.Error("without a number of its patient, or at the bound of one")
	}
}

// Cards are counted for a week and a day, forty counts at most.
func TestCardsAreCountedForAWeek(t *testing.T) {
	count := func(p *Patient, day civil.Date, reason string) {
		(&turn{p: p, e: &Event{Office: civil.Wall{Date: day}}}).counted(practice.Staff{ID: "a"}, &Escalation{Class: redflag.ClassN, Reason: reason}, "x")
	}
	for ago, kept := range map[civil.Date]int{7: 2, 8: 1} {
		var p Patient
		count(&p, 100-ago, "P05")
		if count(&p, 100, "P05"); len(p.Carded) != kept {
			t.Errorf("of %d days ago: %d counts", ago, len(p.Carded))
		}
	}
	var p Patient
	for i := range 45 {
		if count(&p, 100, string(rune('A'+i))); len(p.Carded) != min(i+1, 40) {
			t.Fatalf("after %d cards: %d counts", i+1, len(p.Carded))
		}
	}
	if p.Carded[0].Reason != "F" || p.Carded[39].N != 1 {
		t.Errorf("%+v", p.Carded[0])
	}
}

// The newest twenty-four cards that reached a chat are remembered.
func TestCardsThatAreRemembered(t *testing.T) {
	p := Patient{}
	for i := range int32(26) {
		p.Escalations = []Escalation{{N: i + 1}}
		(&turn{p: &p, e: &Event{}, pr: &practice.Practice{}}).cardShown(Delivered{Key: escKey(i + 1), Chat: 5, Message: 9})
		if len(p.Shown) != int(min(i+1, 24)) {
			t.Fatalf("after %d cards: %d", i+1, len(p.Shown))
		}
	}
}

// What stop means is chosen by its number, and by no other.
func TestStopByNumber(t *testing.T) {
	for n := range 6 {
		l := active(t).word(reading.WordStop)
		if l.p.Talk.Ask != AskStop {
			t.Fatal("nothing was asked")
		}
		l.say("", reading.Reading{Bare: chart.Num(n)})
		chosen := slices.ContainsFunc(l.out, func(e Effect) bool {
			s, ok := e.(Send)
			return ok && slices.ContainsFunc(s.Msg.Lines, func(x message.Line) bool {
				return x.Key == "stop.messages" || x.Key == "stop.turning" || x.Key == "stop.treatment"
			})
		})
		if chosen != (n >= 1 && n <= 3) {
			t.Errorf("%d: chosen %v", n, chosen)
		}
	}
}

// Answers that cannot be had any more after a whole day are told to people, after less
// they are not.
func TestGapOfADay(t *testing.T) {
	for minutes, told := range map[int32]bool{24*60 - 1: false, 24 * 60: true} {
		if l := active(t).on(Gap{Minutes: minutes}); (l.open(WhyGap) != nil) != told {
			t.Errorf("%d minutes: %+v", minutes, l.p.Escalations)
		}
	}
}
