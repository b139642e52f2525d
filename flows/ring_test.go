package flows

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// Sixteen are kept; one more grows the newest open one of its class, be it the oldest
// of all, or of its reason whatever the day.
func TestAFullListGrowsWhatIsThere(t *testing.T) {
	fill := func(l *life, classes ...redflag.Class) *life {
		for i, class := range classes {
			l.p.EscCount++
			l.p.Escalations = append(l.p.Escalations, Escalation{N: l.p.EscCount, Class: class, Reason: "r" + number(int32(i)),
				Raised: civil.Wall{Date: monday() - 9}, Times: 1, Count: 1, Rings: 1})
		}
		return l
	}
	n, s := redflag.ClassN, redflag.ClassS
	broken := reading.Reading{Features: reading.FBroken}
	l := active(t)
	held := len(l.p.Escalations)
	for range 14 - held {
		fill(l, n)
	}
	l.say("a piece came off", broken).say("my lip is numb", reading.Reading{Features: reading.FNumb})
	if esc := l.must("piece.broken"); len(l.p.Escalations) != 16 || esc.Times != 1 || esc.Count != 1 {
		t.Fatalf("%d open, %+v", len(l.p.Escalations), esc)
	}
	l.say("my jaw is locked", reading.Reading{Features: reading.FLocked})
	esc := l.must("numb")
	if len(l.p.Escalations) != 16 || l.open("jaw.locked") != nil || esc.Times != 2 || esc.Count != 2 {
		t.Errorf("%d open, %+v", len(l.p.Escalations), esc)
	}
	for _, at := range []int{0, 15} { // wherever the one of its class stands
		l := active(t)
		l.p.Escalations = nil
		classes := slices.Repeat([]redflag.Class{n}, 16)
		classes[at] = s
		fill(l, classes...).say("a piece came off", broken)
		if len(l.p.Escalations) != 16 || l.p.Escalations[at].Times != 2 {
			t.Errorf("at %d: %d open, %+v", at, len(l.p.Escalations), l.p.Escalations[at])
		}
	}
}

// Of all quotes together 8,000 bytes are kept: of the longest the end goes, the oldest first, and of each something stays.
func TestQuotesTogether(t *testing.T) {
	for size, cut := range map[int]int{1000: 0, 1001: 8, 1200: 8, 1500: 8} {
		p := Patient{}
		for range 8 {
			p.Escalations = append(p.Escalations, Escalation{Quote: strings.Repeat("q", size)})
		}
		(&turn{p: &p}).fitQuotes()
		all, short := 0, 0
		for _, esc := range p.Escalations {
			all += len(esc.Quote)
			if strings.HasSuffix(esc.Quote, "…") {
				short++
			}
		}
		if all > quoteAll || short > cut || p.Escalations[0].Quote == "" || !utf8.ValidString(p.Escalations[0].Quote) {
			t.Errorf("%d bytes each: %d kept, %d cut", size, all, short)
		}
	}
	p := Patient{Escalations: []Escalation{{Quote: strings.Repeat("ä", 3000)}, {Quote: strings.Repeat("q", 3000)}}}
	if (&turn{p: &p}).fitQuotes(); len(p.Escalations[0].Quote) > 4000 || !utf8.ValidString(p.Escalations[0].Quote) || len(p.Escalations[1].Quote) != 3000 {
		t.Errorf("%d and %d bytes", len(p.Escalations[0].Quote), len(p.Escalations[1].Quote))
	}
}

// Of two texts that are put together 200 signs are kept: the newer whole, of the older
// the end goes, or all of it where not two signs have room.
func TestWordsPutTogether(t *testing.T) {
	q := func(n int) string { return strings.Repeat("q", n) }
	for _, x := range []struct{ old, words, want string }{
		{"older", q(195), "o… / " + q(195)}, {"older", q(196), q(196)}, {q(97), "w" + q(99), q(97) + " / w" + q(99)},
		{q(98), "w" + q(99), q(96) + "… / w" + q(99)}, {"it came / it grew", "it grew / help", "it came / it grew / help"},
		{"a cough", "cough / help", "a cough / cough / help"},
	} {
		if got := joinWords(x.old, x.words, quoteMost); got != x.want {
			t.Errorf("%d and %d: %q", len(x.old), len(x.words), got)
		}
	}
}

// A practice without hours has a day for what can wait for a working day.
func TestADayWithoutHours(t *testing.T) {
	l := active(t)
	l.pr.Hours = lifePractice().Hours
	for d := range l.pr.Hours {
		l.pr.Hours[d] = nil
	}
	l.say("a tooth is loose", reading.Reading{Features: reading.FTooth})
	esc := l.must("tooth.loose")
	at, ok := l.timer(ringName(esc.N))
	if esc.Deadline != l.time()+24*60*60 || !ok || at.At != (civil.Wall{Date: l.now.Date + 1, Clock: l.now.Clock}) {
		t.Errorf("until %d, timer %+v", esc.Deadline-l.time(), at)
	}
}

// A flag that nobody takes rings everyone at the end of the day; from the next opening
// on after 15, 30 and 180 minutes, and then each office morning.
func TestAFlagThatNobodyTakes(t *testing.T) {
	l := active(t).say("a tooth is loose", reading.Reading{Features: reading.FTooth})
	esc := l.must("tooth.loose")
	name := ringName(esc.N)
	at, ok := l.timer(name)
	if !ok || at.At != (civil.Wall{Date: monday(), Clock: 17 * 60}) || esc.Deadline != l.time()+7*60*60 {
		t.Fatalf("%+v, until %d", at, esc.Deadline-l.time())
	}
	l.now = civil.Wall{Date: monday(), Clock: 17 * 60}
	l.on(Due{Name: name}).want(chatOff, "esc.again")
	l.now = civil.Wall{Date: monday() + 1, Clock: 9 * 60}
	if at, ok := l.timer(name); !ok || at.At != l.now {
		t.Fatalf("%+v", at)
	}
	for i, pause := range []int{15, 30, 180} {
		l.on(Due{Name: name}).want(chatOff, "esc.again")
		if at, ok := l.timer(name); !ok || at.After != pause {
			t.Fatalf("ring %d: %+v, want %d minutes", i, at, pause)
		}
		l.later(pause)
	}
	l.now.Clock = 14 * 60 // the office is open again after noon
	l.on(Due{Name: name})
	if at, ok := l.timer(name); !ok || at.At != (civil.Wall{Date: monday() + 2, Clock: 9 * 60}) {
		t.Errorf("%+v", at)
	}
}

// What is no flag rings those on duty, and everyone at the end of the day; from then on
// it is a line of the digest.
func TestACardThatNobodyTakes(t *testing.T) {
	l := active(t).word(reading.WordCall)
	name := ringName(l.must(WhyCall).N)
	l.now = civil.Wall{Date: monday(), Clock: 17 * 60}
	l.on(Due{Name: name}).want(chatOff, "esc.again")
	l.now = civil.Wall{Date: monday() + 1, Clock: 9 * 60}
	l.on(Due{Name: name}).wantNot(chatOff, "esc.again").wantNot(chatAsst, "esc.again")
}

// Where nobody can be reached the patient is told so twice, and no more.
func TestNobodyIsToldTwice(t *testing.T) {
	l := active(t)
	l.pr.Staff = nil
	l.say("a piece came off", reading.Reading{Features: reading.FBroken}).want(0, "when.nobody")
	name := ringName(l.must("piece.broken").N)
	l.later(60).on(Due{Name: name}).want(0, "when.nobody")
	l.later(15).on(Due{Name: name}).wantNot(0, "when.nobody")
}

// Everyone who is rung second sees the picture, too; who is rung again has it.
func TestThePictureOfTheSecondRing(t *testing.T) {
	l := active(t).sends("photo", 41, "my jaw is locked", reading.Reading{Rest: true, Features: reading.FLocked})
	name := ringName(l.must("jaw.locked").N)
	ref := "photo " + Media{Chat: chatPatient, Message: 41}.Ref()
	l.later(60).on(Due{Name: name})
	only(t, l.copies(chatOff), ref)
	l.later(15).on(Due{Name: name})
	only(t, l.copies(chatOff))
}

// A same-day flag of a closed office that nobody is left to ring for waits for the
// opening, but where a call of the day may be made again well before it.
func TestTheCallOfTheNight(t *testing.T) {
	for _, x := range []struct {
		left, after int // minutes until a call may be made; 0 for the opening
	}{{1, 1}, {0, 0}, {-5, 0}, {11*60 - 1, 11*60 - 1}, {11 * 60, 0}, {13 * 60, 0}} {
		l := active(t)
		l.pr.Staff = nil
		l.now.Clock = 16 * 60
		l.say("a piece came off", reading.Reading{Features: reading.FBroken})
		l.now.Clock = 21 * 60 // twelve hours before the office opens
		esc := l.must("piece.broken")
		esc.CallAt = l.time() + int64(x.left)*60
		calls := esc.Calls
		l.on(Due{Name: ringName(esc.N)})
		at, ok := l.timer(ringName(esc.N))
		switch made := l.must("piece.broken").Calls > calls; {
		case made != (x.left <= 0), !ok, at.After != x.after:
			t.Errorf("%d minutes left: called %t, %+v", x.left, made, at)
		case x.after == 0 && at.At != (civil.Wall{Date: monday() + 1, Clock: 9 * 60}):
			t.Errorf("%d minutes left: %+v", x.left, at)
		}
	}
}

// What is routine in a list is closed by whoever swept it, the newest as the oldest; what
// came after the list was shown stays.
func TestSweepOfAList(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	for i := range int32(3) {
		l.p.Escalations = append(l.p.Escalations, Escalation{N: i + 1, Class: redflag.ClassR, Reason: WhyMile, Quiet: true,
			RaisedAt: l.time() + int64(i)})
	}
	l.order("sasst", Order{Op: OrderSweep, Flag: "calls", At: l.time() + 1})
	if len(l.p.Escalations) != 1 || l.p.Escalations[0].N != 3 {
		t.Errorf("%+v", l.p.Escalations)
	}
	l.order("sasst", Order{Op: OrderSweep, Flag: "calls", At: l.time() + 2})
	if len(l.p.Escalations) != 0 {
		t.Errorf("%+v", l.p.Escalations)
	}
}

// Words that wait are a card half an hour before the working day ends; what comes in its
// last hour, before the end of the next. Without hours they wait for four.
func TestWhenWordsBecomeACard(t *testing.T) {
	at := func(day civil.Date, clock civil.Clock) civil.Wall {
		return civil.Wall{Date: monday() + day, Clock: clock}
	}
	pr := lifePractice()
	for _, x := range []struct{ now, want civil.Wall }{
		{at(0, 15*60+59), at(0, 16*60+30)}, {at(0, 16*60), at(1, 16*60+30)}, {at(4, 16*60), at(7, 16*60+30)},
	} {
		if got := (&turn{pr: &pr, e: &Event{Office: x.now}}).readBy(); got != x.want {
			t.Errorf("at %v: %v, want %v", x.now, got, x.want)
		}
	}
	pr.Hours = practice.Practice{}.Hours
	if got := (&turn{pr: &pr, e: &Event{Office: at(0, 600)}}).readBy(); got != at(0, 600+4*60) {
		t.Errorf("without hours: %v", got)
	}
	l := active(t).say("the thing hums", reading.Reading{Rest: true})
	if esc := l.must(WhyMessage); !esc.Quiet || esc.Deadline != l.time()+7*60*60 {
		t.Errorf("until %d: %+v", esc.Deadline-l.time(), esc)
	}
}

// What a person has closed within four weeks is no news.
func TestSeenWithinFourWeeks(t *testing.T) {
	pr := lifePractice()
	for ago, want := range map[civil.Date]bool{0: true, 27: true, 28: false, 29: false} {
		p := Patient{Closed: []Deed{{Reason: "P17", By: "sclin", At: civil.Wall{Date: monday() - ago}}}}
		e := Event{Office: civil.Wall{Date: monday()}}
		if got := (&turn{pr: &pr, p: &p, e: &e}).seenLately("P17"); got != want {
			t.Errorf("%d days ago: %t", ago, got)
		}
	}
}

// A card that comes in the last hour of the day, of what is not an hour old, is not told
// again at its end, but the next morning.
func TestACardOfTheLastHour(t *testing.T) {
	for ago, want := range map[int64]civil.Wall{3600: {Date: monday(), Clock: 17 * 60},
		3599: {Date: monday() + 1, Clock: 9 * 60}} {
		l := active(t)
		l.now.Clock = 16*60 + 30
		l.p.Escalations = []Escalation{{N: 1, Class: redflag.ClassN, Reason: WhyMessage, Quiet: true, Raised: l.now,
			RaisedAt: l.time() - ago}}
		l.on(Due{Name: ringName(1)})
		if at, ok := l.timer(ringName(1)); !ok || at.At != want {
			t.Errorf("%d seconds old: %+v", ago, at)
		}
	}
}
