package flows

import (
	"testing"

	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// When the practice gets back follows from the class that the card names: of N the next
// working day, over a weekend too; of S soon. A call that was asked for is promised for
// today, which the desk is held to.
func TestOnePromise(t *testing.T) {
	line := func(l *life, key string) (found message.Line) {
		t.Helper()
		for _, x := range l.out {
			if s, ok := x.(Send); ok && s.Chat == 0 {
				for _, line := range s.Msg.Lines {
					if line.Key == key {
						found = line
					}
				}
			}
		}
		return found
	}
	for day, next := range map[civil.Date]civil.Date{0: 1, 4: 7} { // Monday; Friday
		for _, r := range []reading.Features{reading.FTooth, reading.FWheelNear, reading.FGap} {
			l := active(t)
			l.now = civil.Wall{Date: monday() + day, Clock: 10 * 60}
			l.say("words", reading.Reading{Features: r}).wantNot(0, "when.today")
			got := line(l, "when.workday")
			esc := l.p.Escalations[len(l.p.Escalations)-1]
			date := civil.Date(0)
			for _, a := range got.Args {
				if a.Name == "date" {
					date = civil.Date(a.N)
				}
			}
			if esc.Class != redflag.ClassN || date != monday()+next {
				t.Errorf("%c on day %d: %s, promised for %v", esc.Class, day, esc.Reason, date)
			}
		}
	}
	active(t).say("piece came off", reading.Reading{Features: reading.FBroken}).want(0, "when.soon").wantNot(0, "when.workday")
	l := active(t).word(reading.WordCall).want(0, "when.today").wantNot(0, "when.workday")
	if x := l.must(WhyCall); x.Told != "call.told" || len(x.Words.Keys) != 2 {
		t.Errorf("a card does not say what was promised: %+v", x)
	}
}
