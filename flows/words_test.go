package flows

import (
	"slices"
	"testing"

	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// babble says words that nobody understands.
func (l *life) babble(text string) { l.say(text, reading.Reading{Rest: true}) }

// planned reports whether the practice was told that words wait.
func (l *life) planned() bool {
	return slices.ContainsFunc(l.out, func(x Effect) bool {
		tell, ok := x.(Tell)
		m, is := tell.Body.(Manage)
		return ok && is && m.Op == ManageWords && tell.To.Practice
	})
}

// Words that were not understood wait to be read with those of others, grow as one,
// and are a card for the assistants half an hour before the working day ends, for
// everyone at its end.
func TestWordsWaitToBeRead(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
	l.babble("the cat sat on it")
	esc := l.must(WhyMessage)
	if !esc.Quiet || !esc.Unread || l.cards(chatAsst)+l.cards(chatClin) > 0 || !l.planned() || ListOf(esc.Reason) != "words" {
		t.Fatalf("%+v, planned %v", esc, l.planned())
	}
	at, _ := l.timer(ringName(esc.N))
	l.pr.Round = l.time() + 7200
	if l.later(5).babble("again"); l.planned() {
		t.Error("what is planned is planned again")
	}
	l.pr.Round = 0
	l.later(15)
	if l.babble("and the dog"); len(l.p.Escalations) != 1 || l.must(WhyMessage).Quote != "the cat sat on it / again / and the dog" ||
		l.must(WhyMessage).GrewAt != l.time() || !l.planned() {
		t.Errorf("%+v", l.p.Escalations)
	}
	l.now = civil.Wall{Date: monday() + 1, Clock: 16*60 + 30}
	if at.At != l.now {
		t.Fatalf("a card at %v", at.At)
	}
	if l.on(Due{Name: at.Name}); l.cards(chatAsst) != 1 || l.cards(chatClin) != 0 || l.must(WhyMessage).Quiet {
		t.Errorf("%d and %d cards", l.cards(chatAsst), l.cards(chatClin))
	}
	next, _ := l.timer(ringName(esc.N))
	if l.now = next.At; next.At != (civil.Wall{Date: monday() + 1, Clock: 17 * 60}) {
		t.Errorf("everyone at %v", next.At)
	}
	if l.on(Due{Name: at.Name}); l.cards(chatAsst) != 1 || l.cards(chatClin) != 1 {
		t.Errorf("%d and %d cards", l.cards(chatAsst), l.cards(chatClin))
	}
}

// Too late for the last reading of the day they are read on the next, and the
// patient is told so; on a Friday that is Monday.
func TestWordsOfTheLastHour(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 4, Clock: 16*60 + 10}
	l.babble("the cat sat on it")
	l.want(0, "when.next")
	if at, _ := l.timer(ringName(l.must(WhyMessage).N)); at.At != (civil.Wall{Date: monday() + 7, Clock: 16*60 + 30}) {
		t.Errorf("a card at %v", at.At)
	}
}

// Of somebody with a flag, or with something urgent or perhaps a danger open, words
// are a card at once; so are a call for help, a picture and what "something is
// wrong" asked for.
func TestWordsThatDoNotWait(t *testing.T) {
	for name, change := range map[string]func(*life){
		"a flag": func(l *life) { l.p.Course.Flags = []redflag.Flag{{ID: "bite.late", Class: redflag.ClassN}} },
		"urgent": func(l *life) {
			l.p.Escalations = []Escalation{{N: 90, Class: redflag.ClassS, Reason: "piece.broken", AckBy: "sasst"}}
		},
		"perhaps a danger": func(l *life) {
			l.p.Escalations = []Escalation{{N: 90, Class: redflag.ClassN, Reason: "cough", Unsure: true, AckBy: "sasst"}}
		},
	} {
		l := active(t)
		l.p.Escalations = nil
		l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
		change(l)
		if l.babble("the cat sat on it"); l.cards(chatAsst) != 1 || l.must(WhyMessage).Quiet {
			t.Errorf("%s: %d cards", name, l.cards(chatAsst))
		}
	}
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
	l.babble("the cat sat on it")
	l.later(5)
	if l.say("help", reading.Reading{Word: reading.WordHelp}); l.cards(chatAsst) != 1 {
		t.Error("a call for help waits")
	}
}

// What lasts is a card once; when a person has closed it, the same is a line for
// four weeks. What comes as news is a card each time.
func TestWhatLastsIsACardOnce(t *testing.T) {
	for _, why := range []string{pacing.P13.ID(), pacing.P16.ID(), "sleepy.high"} {
		l := active(t)
		l.p.Escalations = nil
		l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
		if esc := l.desk(practice.Clinician, redflag.ClassN, why, ""); esc.Quiet {
			t.Errorf("%s waits at first", why)
		}
		l.order("sclin", Order{Op: OrderResolve, Esc: l.must(why).N, Text: "seen"})
		l.now.Date += 7
		if esc := l.desk(practice.Clinician, redflag.ClassN, why, ""); !esc.Quiet || l.cards(chatClin) > 0 {
			t.Errorf("%s is a card again", why)
		}
		l.p.Escalations = nil
		l.now.Date += seenDays
		if esc := l.desk(practice.Clinician, redflag.ClassN, why, ""); esc.Quiet {
			t.Errorf("%s is no card after four weeks", why)
		}
	}
	for _, why := range []string{"bite.late", "new.tablets", pacing.P07.ID(), WhyCall} {
		l := active(t)
		l.p.Escalations = nil
		l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
		l.p.Closed = []Deed{{N: 1, By: "sclin", At: l.now, Reason: why}}
		if esc := l.desk(practice.Clinician, redflag.ClassN, why, ""); esc.Quiet {
			t.Errorf("%s waits", why)
		}
	}
	l := active(t)
	l.p.Closed = []Deed{{N: 1, By: "patient", At: l.now, Reason: pacing.P13.ID()}}
	if esc := l.desk(practice.Clinician, redflag.ClassN, pacing.P13.ID(), ""); esc.Quiet {
		t.Error("what no person has looked at waits")
	}
}

// Cards are counted by day, person and reason, for a week; the answer to one's own
// tap is none.
func TestCardsAreCounted(t *testing.T) {
	l := active(t)
	l.p.Escalations, l.p.Carded = nil, nil
	l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
	n := l.desk(practice.Assistant, redflag.ClassN, WhyCall, "call me").N
	want := []Carded{{Day: monday() + 1, Who: "sasst", Reason: WhyCall, N: 1}}
	if !slices.Equal(l.p.Carded, want) {
		t.Fatalf("%+v", l.p.Carded)
	}
	l.now.Clock = 17 * 60
	l.on(Due{Name: ringName(n)})
	l.order("sasst", Order{Op: OrderAck, Esc: n})
	got := map[string]int16{}
	for _, c := range l.p.Carded {
		got[c.Who] += c.N
	}
	if got["sasst"] != 2 || got["sclin"] != 1 {
		t.Errorf("%+v", l.p.Carded)
	}
	l.desk(practice.Clinician, redflag.ClassS, "piece.broken", "")
	if c := l.p.Carded[len(l.p.Carded)-1]; !c.Urgent || c.Reason != "piece.broken" {
		t.Errorf("%+v", c)
	}
	l.now.Date += cardedDays
	if l.desk(practice.Clinician, redflag.ClassS, "jaw.locked", ""); slices.ContainsFunc(l.p.Carded, func(c Carded) bool { return c.Day <= monday()+1 }) {
		t.Errorf("%+v", l.p.Carded)
	}
	for range 3 * cardedMost {
		l.p.Escalations = nil
		l.desk(practice.Clinician, redflag.ClassS, "reason "+number(l.p.EscCount), "")
		l.later(1)
	}
	if len(l.p.Carded) > cardedMost {
		t.Errorf("%d counts", len(l.p.Carded))
	}
}

// What came up within the hour before the day ends rings again in the morning: so
// soon it would be the same again.
func TestRaisedLateRingsInTheMorning(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	for clock, want := range map[civil.Clock]civil.Wall{15 * 60: {Date: monday() + 1, Clock: 17 * 60}, 16*60 + 1: {Date: monday() + 2, Clock: 9 * 60}} {
		l.p.Escalations = nil
		l.now = civil.Wall{Date: monday() + 1, Clock: clock}
		n := l.desk(practice.Assistant, redflag.ClassN, WhyCall, "call me").N
		if at, _ := l.timer(ringName(n)); at.At != want {
			t.Errorf("raised at %d it rings again at %v", clock, at.At)
		}
	}
}

// The bounds of what waits, to the minute and day: the last reading of a day, the card
// of what nobody read, the deadline, four weeks, and the two cards of an item.
func TestBoundsOfWaiting(t *testing.T) {
	wednesday := monday() + 2
	for clock, want := range map[civil.Clock]civil.Wall{15*60 + 59: {Date: wednesday, Clock: 16*60 + 30}, 16 * 60: {Date: wednesday + 1, Clock: 16*60 + 30}} {
		l := active(t)
		l.p.Escalations = nil
		l.now = civil.Wall{Date: wednesday, Clock: clock}
		l.babble("the cat sat on it")
		esc := l.must(WhyMessage)
		if at, _ := l.timer(ringName(esc.N)); at.At != want {
			t.Errorf("said at %d, a card at %v", clock, at.At)
		}
		if end := want.Add(wordsCard); esc.Deadline != l.time()+minutesTo(l.now, end)*60 {
			t.Errorf("said at %d, due %d s later", clock, esc.Deadline-l.time())
		}
	}
	l := active(t)
	l.p.Escalations, l.pr.Hours = nil, [7][]practice.Span{}
	l.now = civil.Wall{Date: wednesday, Clock: 10 * 60}
	l.babble("the cat sat on it")
	if at, _ := l.timer(ringName(l.must(WhyMessage).N)); at.At != l.now.Add(4*60) {
		t.Errorf("without hours a card at %v", at.At)
	}
	for days, waits := range map[civil.Date]bool{27: true, 28: false} {
		l := active(t)
		l.p.Escalations = nil
		l.now = civil.Wall{Date: wednesday, Clock: 10 * 60}
		l.p.Closed = []Deed{{N: 1, By: "sclin", At: civil.Wall{Date: wednesday - days}, Reason: pacing.P13.ID()}}
		if esc := l.desk(practice.Clinician, redflag.ClassN, pacing.P13.ID(), ""); esc.Quiet != waits {
			t.Errorf("closed %d days ago it waits: %v", days, esc.Quiet)
		}
	}
	// shown at once and at the day's end, it is a line of the digest from then on
	l = active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: wednesday, Clock: 10 * 60}
	n := l.desk(practice.Assistant, redflag.ClassN, WhyBounce, "").N
	var rung []civil.Wall
	for range 6 {
		at, set := l.timer(ringName(n))
		if !set {
			break
		}
		l.now = at.At
		if l.on(Due{Name: at.Name, Arg: at.Arg}); l.cards(chatAsst) > 0 {
			rung = append(rung, l.now)
		}
	}
	if len(rung) != 1 || rung[0] != (civil.Wall{Date: wednesday, Clock: 17 * 60}) {
		t.Errorf("rang again at %v", rung)
	}
	// words of the second in which the list goes out are planned for the next
	l = active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: wednesday, Clock: 10 * 60}
	l.pr.Round = l.time()
	if l.babble("the cat sat on it"); !l.planned() {
		t.Error("nobody reads what came with the list")
	}
	// a list closes the newest of what is open as well
	l = active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: wednesday, Clock: 10 * 60}
	l.desk(practice.Assistant, redflag.ClassN, pacing.P12.ID(), "")
	l.desk(practice.Assistant, redflag.ClassN, pacing.P14.ID(), "")
	if l.order("sasst", Order{Op: OrderSweep, Flag: "routine", At: l.time()}); len(l.p.Escalations) != 0 {
		t.Errorf("%+v", l.p.Escalations)
	}
}
