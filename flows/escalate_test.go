package flows

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// The words of evidence "red flags, usable as check" as features: a swelling
// tongue with trouble swallowing is an emergency; a broken piece in the hand is
// for the same day.
func TestEmergencyStandsAlone(t *testing.T) {
	l := active(t).say("my tongue is swelling and I can't swallow",
		reading.Reading{Features: reading.FSwelling | reading.FMouthFace | reading.FSwallow,
			Tokens: []reading.Token{{Field: chart.Pain, Value: chart.Num(3)}}})
	if got := l.heard(0); !slices.Equal(got, []string{"emergency.line", "caution.swelling.airway"}) {
		t.Fatalf("the patient heard %v", got)
	}
	for _, x := range l.out {
		if s, ok := x.(Send); ok && s.Chat == 0 && (s.Lane != LaneUrgent || len(s.Msg.Choices) > 0 || len(s.Msg.Inline) > 0) {
			t.Errorf("more than the emergency: %+v", s)
		}
	}
	if l.p.Course.State != chart.Stopped {
		t.Errorf("state %v", l.p.Course.State)
	}
	esc := l.must("swelling.airway")
	if esc.Class != redflag.ClassE || esc.Deadline != l.time()+15*60 || esc.Quote == "" ||
		esc.Told != "caution.swelling.airway" {
		t.Errorf("escalation %+v", esc)
	}
	if at, ok := l.timer(ringName(esc.N)); !ok || at.After != 15 {
		t.Errorf("timer %+v", at)
	}
	l.want(chatClin, "esc.head").want(chatAsst, "esc.head").wantNot(chatOff, "esc.head")
	if l.p.Course.Flags[0].Esc != esc.N {
		t.Errorf("the flag feeds %d, want %d", l.p.Course.Flags[0].Esc, esc.N)
	}
}

func (l *life) time() int64 { return int64(l.now.Date)*86400 + int64(l.now.Clock)*60 }

func TestSameDayFlagIsAskedAboutAndStays(t *testing.T) {
	l := active(t).say("a screw piece came off, I have it here", reading.Reading{Features: reading.FBroken})
	l.want(0, "when.soon").want(0, "now.ask")
	esc := l.must("piece.broken")
	if esc.Class != redflag.ClassS || esc.Deadline != l.time()+3600 || l.p.Course.State != chart.Stopped {
		t.Fatalf("state %v, escalation %+v", l.p.Course.State, esc)
	}
	l.word(reading.WordNotNow).want(0, "now.kept")
	if l.p.Course.State != chart.Stopped || l.open("piece.broken") == nil || len(l.p.Course.Flags) != 1 {
		t.Error("'not now' took the flag back")
	}
	l.say("ignore that", reading.Reading{Word: reading.WordNotNow}).say("ignore that", reading.Reading{Rest: true})
	if l.p.Course.State != chart.Stopped || l.open("piece.broken") == nil {
		t.Error("'ignore that' took the flag back")
	}
}

func TestRingsClimbUntilSomebodyTakesIt(t *testing.T) {
	l := active(t).say("piece came off", reading.Reading{Features: reading.FBroken})
	name := ringName(l.must("piece.broken").N)
	// The deadline, then 15, 30 and 60 minutes past it, then each hour of the working
	// day: four hours of silence, and a day of it, were too long for what is urgent.
	for i, wait := range []int{60, 15, 15, 30, 60, 60, 60} {
		at, ok := l.timer(name)
		if !ok || at.After != wait {
			t.Fatalf("ring %d: timer %+v, want %d minutes", i, at, wait)
		}
		l.later(wait).on(Due{Name: name})
		l.want(chatClin, "esc.again").want(chatOff, "esc.again").wantNot(chatGone, "esc.again")
	}
	// In the evening those on duty, and the outside call of the night once those of the
	// day are as long ago as their pause; then everyone when the office opens.
	for _, wait := range []int{120, 120} {
		l.later(wait).on(Due{Name: name}).want(chatAsst, "esc.again").wantNot(chatOff, "esc.again")
	}
	want := civil.Wall{Date: monday() + 1, Clock: 9 * 60}
	if at, ok := l.timer(name); !ok || !at.Office || at.At != want {
		t.Fatalf("the next morning: timer %+v, want %v", at, want)
	}
	l.now = want
	l.on(Due{Name: name}).want(chatAsst, "esc.again").want(chatOff, "esc.again")
}

func TestAcknowledgedOnceByANamedPerson(t *testing.T) {
	l := active(t).say("piece came off", reading.Reading{Features: reading.FBroken})
	n := l.must("piece.broken").N
	l.order("sasst", Order{Op: OrderAck, Esc: n}).want(chatAsst, "order.ack.done").want(chatClin, "esc.taken").want(0,
		"told.seen")
	if esc := l.must("piece.broken"); esc.AckBy != "sasst" || esc.AckAt == 0 {
		t.Fatalf("taken by %q", esc.AckBy)
	}
	if !slices.Contains(l.out, Effect(Withdraw{Key: escKey(n)})) {
		t.Error("the others keep their buttons")
	}
	l.order("sclin", Order{Op: OrderAck, Esc: n}).want(chatClin, "order.ack.taken")
	if l.must("piece.broken").AckBy != "sasst" {
		t.Error("a second person took it over unasked")
	}
	l.now = civil.Wall{Date: monday() + 1, Clock: 9 * 60}
	l.on(Due{Name: ringName(n)}).want(chatAsst, "esc.still").wantNot(chatClin, "esc.again")
}

func TestOutOfHours(t *testing.T) {
	l := active(t)
	l.now = civil.Wall{Date: monday() + 4, Clock: 22 * 60} // Friday night
	l.say("could you call about the fit", reading.Reading{Word: reading.WordCall})
	esc := l.must(WhyCall)
	if esc.Rings != 0 {
		t.Error("a routine call rang at night")
	}
	l.want(0, "when.closed").want(0, "when.before")
	for _, x := range l.out {
		if s, ok := x.(Send); ok {
			for _, line := range s.Msg.Lines {
				if line.Key == "when.closed" && (line.Args[0].N != int64(monday()+7) || line.Args[1].N != 9*60) {
					t.Errorf("promised %v", line.Args)
				}
			}
		}
	}
	if at, ok := l.timer(ringName(esc.N)); !ok || at.At != (civil.Wall{Date: monday() + 7, Clock: 9 * 60}) {
		t.Fatalf("timer %+v", at)
	}
	l.now = civil.Wall{Date: monday() + 7, Clock: 9 * 60}
	l.on(Due{Name: ringName(esc.N)}).want(chatAsst, "esc.head").wantNot(chatClin, "esc.head") // an assistant may resolve it
	if at, ok := l.timer(ringName(esc.N)); !ok || at.At != (civil.Wall{Date: monday() + 7, Clock: 17 * 60}) {
		t.Fatalf("deadline %+v, want the end of that working day", at)
	}
}

func TestUrgentRingsAtNightAndNobodyReachable(t *testing.T) {
	l := active(t)
	l.now = civil.Wall{Date: monday() + 5, Clock: 3 * 60} // Saturday before dawn
	l.say("piece came off", reading.Reading{Features: reading.FBroken}).want(chatClin, "esc.head")
	l = active(t)
	for i := range l.pr.Staff {
		l.pr.Staff[i].Unreach = true
	}
	l.say("piece came off", reading.Reading{Features: reading.FBroken}).want(0, "when.nobody")
	esc := l.must("piece.broken")
	l.later(60).on(Due{Name: ringName(esc.N)})
	if _, ok := l.timer(ringName(esc.N)); !ok || l.open("piece.broken") == nil {
		t.Error("it does not climb any more")
	}
	l = active(t)
	l.pr.Staff[0].Unreach, l.pr.Staff[1].Unreach = true, true // nobody on duty can be reached: whoever can
	l.say("piece came off", reading.Reading{Features: reading.FBroken}).want(chatOff, "esc.head").wantNot(0, "when.nobody")
}

// Self-harm is an emergency at any hour: the emergency number and the practice's crisis
// line in one message, or the local line where it named none, and whoever is on duty rung.
func TestACrisisNamesItsLine(t *testing.T) {
	for own, want := range map[string]string{"988": "988", "": "crisis.local"} {
		l := active(t)
		l.pr.Crisis = own
		l.now = civil.Wall{Date: monday() + 5, Clock: 3 * 60} // Saturday before dawn
		l.say("I want to die", reading.Reading{Features: reading.FSelfHarm})
		if got := l.heard(0); !slices.Equal(got, []string{"emergency.line", "caution.crisis"}) {
			t.Errorf("the patient heard %v", got)
		}
		named := map[string]string{}
		for _, x := range l.out {
			if s, ok := x.(Send); ok && s.Chat == 0 {
				for _, line := range s.Msg.Lines {
					for _, a := range line.Args {
						named[line.Key+" "+a.Name] = a.S
					}
				}
			}
		}
		if named["caution.crisis crisis"] != want || named["emergency.line number"] != "112" {
			t.Errorf("%q: named %v", own, named)
		}
		if esc := l.must("crisis"); esc.Class != redflag.ClassE || esc.Deadline != l.time()+15*60 {
			t.Errorf("%+v", esc)
		}
		l.want(chatClin, "esc.head").want(chatAsst, "esc.head")
	}
}

func TestGroupHearsNoAnswers(t *testing.T) {
	l := active(t)
	l.pr.Group = -77
	l.say("piece came off", reading.Reading{Features: reading.FBroken})
	for _, x := range l.out {
		if s, ok := x.(Send); ok && s.Chat == -77 && (len(s.Msg.Lines) > 0 || s.Msg.View != message.ViewEscalation) {
			t.Errorf("the group got %+v", s.Msg)
		}
	}
}

// Words that nobody has read are never pushed out by newer ones: these are an escalation of their own.
func TestUnreadWordsAreKept(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	long := strings.Repeat("y", 300)
	l.say("two turns too many "+long, reading.Reading{Rest: true}).later(10).say("and it aches "+long, reading.Reading{Rest: true})
	l.later(10).say("sleep tight", reading.Reading{Rest: true})
	all := ""
	for _, esc := range l.p.Escalations {
		all += esc.Quote
	}
	if len(l.p.Escalations) != 2 || l.p.Escalations[1].Quiet || !strings.Contains(all, "two turns too many "+long) || !strings.Contains(all, "and it aches "+long+" / sleep tight") {
		t.Errorf("%d open: %q", len(l.p.Escalations), all)
	}
}

// Twelve long messages of an evening are all in front of people.
func TestManyLongMessages(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	for i := range 12 {
		l.later(2).say(strings.Repeat(string(rune('a'+i)), 590), reading.Reading{Rest: true})
	}
	all := ""
	for _, esc := range l.p.Escalations {
		all += esc.Quote
	}
	for i := range 12 {
		if !strings.Contains(all, strings.Repeat(string(rune('a'+i)), 590)) {
			t.Errorf("message %d is nowhere", i)
		}
	}
}

func TestOneEscalationGrows(t *testing.T) {
	l := active(t)
	for i := range 5 {
		l.later(10).say("the case smells "+string(rune('a'+i)), reading.Reading{Rest: true})
	}
	if len(l.p.Escalations) != 1 {
		t.Fatalf("%d escalations of one reason and day", len(l.p.Escalations))
	}
	if esc := l.must(WhyMessage); esc.Times != 5 || esc.Count != 5 ||
		esc.Quote != "the case smells a / the case smells b / the case smells c / the case smells d / the case smells e" {
		t.Errorf("grown to %+v", esc)
	}
	l.must(WhyMessage).Unread = false // somebody has read them
	l.later(10).say(strings.Repeat("x", 550), reading.Reading{Rest: true})
	if q := l.must(WhyMessage).Quote; utf8.RuneCountInString(q) != wordsMore ||
		!strings.HasPrefix(q, "the case smells a") || !strings.HasSuffix(q, "… / "+strings.Repeat("x", 550)) {
		t.Errorf("quoted %q", q)
	}
	l.say("piece came off", reading.Reading{Features: reading.FBroken}).later(1).say("and my jaw is locked",
		reading.Reading{Features: reading.FLocked})
	if l.open("piece.broken") == nil || l.open("jaw.locked") == nil {
		t.Errorf("an S was merged into another: %+v", l.p.Escalations)
	}
	l.now.Date++
	l.say("another piece came off", reading.Reading{Features: reading.FBroken})
	n := 0
	for _, esc := range l.p.Escalations {
		if esc.Reason == "piece.broken" {
			n++
		}
	}
	if n != 2 {
		t.Errorf("%d escalations of an S on two days, want 2", n)
	}
}

// Whoever releases on the day of a row that leaves it out is told that tonight it
// stays out all the same.
func TestReleaseTellsWhatStaysOut(t *testing.T) {
	for pain, out := range map[int]bool{9: true, 0: false} {
		l := active(t)
		l.now.Date++
		l.say("my jaw is locked", reading.Reading{Features: reading.FLocked})
		l.p.Course.Answer(l.p.Facts(&l.pr, &Event{}), l.p.Plan.Coming(l.now)-1, chart.Pain, chart.Num(pain), chart.FromPatient)
		l.order("sclin", Order{Op: OrderRelease, Text: "seen"}).want(chatClin, "order.released")
		if got := slices.Contains(l.heard(chatClin), "order.released.out"); got != out {
			t.Errorf("pain %d: told %v", pain, got)
		}
	}
}

func TestResolveByRole(t *testing.T) {
	l := active(t).say("piece came off", reading.Reading{Features: reading.FBroken})
	n := l.must("piece.broken").N
	l.order("sasst", Order{Op: OrderResolve, Esc: n, Text: "spoke"}).want(chatAsst, "order.refused.role")
	l.order("sclin", Order{Op: OrderResolve, Esc: n, Text: "spoke"}).want(chatClin, "order.resolve.flag")
	l.order("sasst", Order{Op: OrderRelease, Flag: "piece.broken"}).want(chatAsst, "order.refused.role")
	l.order("sclin", Order{Op: OrderRelease, Flag: "piece.broken", Text: "repaired"}).want(chatClin,
		"order.released").want(0, "told.released")
	if l.open("piece.broken") != nil || len(l.p.Course.Flags) != 0 || l.p.Course.State == chart.Stopped {
		t.Fatalf("state %v, flags %v", l.p.Course.State, l.p.Course.Flags)
	}
	l.word(reading.WordCall)
	n = l.must(WhyCall).N
	l.order("sasst", Order{Op: OrderResolve, Esc: n}).want(chatAsst, "order.text")
	l.order("sasst", Order{Op: OrderResolve, Esc: n, Text: "called"}).want(chatAsst, "order.resolved")
	if l.open(WhyCall) != nil || !l.logged("escalation.resolved") {
		t.Error("still open")
	}
	l.order("sasst", Order{Op: OrderResolve, Esc: n, Text: "called"}).want(chatAsst, "order.esc.closed")
	l.order("sasst", Order{Op: OrderResolve, Esc: n + 9, Text: "called"}).want(chatAsst, "order.esc.gone")
}
