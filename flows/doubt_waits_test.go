package flows

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// doubted is a patient asked whether a danger was meant, at some time of a Tuesday, who
// leaves it unanswered for a quarter of an hour.
func doubted(t *testing.T, clock civil.Clock, d reading.Danger, change func(*life)) *life {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 1, Clock: clock}
	if change != nil {
		change(l)
	}
	l.say("is that sore to be like that?", unsure(d)).want(0, "doubt.ask")
	l.later(doubtMinutes).on(Due{Name: doubtName})
	return l
}

// What was perhaps a danger of class N, and was asked about without an answer, waits to
// be read with the words of others, its deadline the same; it holds the step, and is a
// card before the day ends.
func TestDoubtWaitsToBeRead(t *testing.T) {
	l := doubted(t, 10*60, reading.DangerUlcer, nil)
	esc := l.must("ulcer")
	if !esc.Quiet || !esc.Unsure || !esc.Unread || l.cards(chatClin)+l.cards(chatAsst) > 0 || !l.planned() || esc.List() != "words" {
		t.Fatalf("%+v, planned %v, cards %d and %d", esc, l.planned(), l.cards(chatClin), l.cards(chatAsst))
	}
	end := civil.Wall{Date: monday() + 1, Clock: 17 * 60}
	if esc.Deadline != l.time()+minutesTo(l.now, end)*60 {
		t.Errorf("due in %d s", esc.Deadline-l.time())
	}
	at, _ := l.timer(ringName(esc.N))
	if want := end.Add(-wordsCard); at.At != want {
		t.Fatalf("a card at %v, want %v", at.At, want)
	}
	l.now = at.At
	if l.on(Due{Name: at.Name}); l.must("ulcer").Quiet || l.cards(chatClin) != 1 || l.cards(chatAsst) != 1 {
		t.Errorf("before the day ends: %d and %d cards", l.cards(chatClin), l.cards(chatAsst))
	}
}

// A list closes no danger: each has a tap of its own.
func TestNoListClosesADoubt(t *testing.T) {
	l := doubted(t, 10*60, reading.DangerUlcer, nil)
	n := l.must("ulcer").N
	l.order("sclin", Order{Op: OrderSweep, Flag: "words", At: l.time()})
	l.must("ulcer")
	if l.order("sasst", Order{Op: OrderHarmless, Esc: n}); l.open("ulcer") != nil {
		t.Error("one tap does not close it")
	}
}

// Whatever is said of it then is a card at once: now, earlier, somebody else, the same
// again, and new words.
func TestDoubtThatIsAnsweredIsACard(t *testing.T) {
	for _, w := range []reading.Word{reading.WordNow, reading.WordEarlier, reading.WordNotWearer, reading.WordNotOver, reading.WordOver} {
		l := doubted(t, 10*60, reading.DangerUlcer, nil)
		if l.later(5).word(w); l.must("ulcer").Quiet || l.cards(chatClin) != 1 {
			t.Errorf("word %d: %+v, %d cards", w, l.must("ulcer"), l.cards(chatClin))
		}
	}
	l := doubted(t, 10*60, reading.DangerUlcer, nil)
	if l.later(5).say("that sore, as I said?", unsure(reading.DangerUlcer)); l.must("ulcer").Quiet || l.cards(chatClin) != 1 {
		t.Errorf("again: %+v, %d cards", l.must("ulcer"), l.cards(chatClin))
	}
	l = doubted(t, 10*60, reading.DangerUlcer, nil)
	if l.later(5).babble("the cat sat on it"); l.must(WhyMessage).Quiet || l.cards(chatAsst) != 1 {
		t.Error("words after it wait")
	}
}

// A card at once, as ever: what is more urgent, or may be, as a cough and a broken
// tooth; what changes what is worn tonight, or was at the wheel; what the safety question
// was about; somebody with a flag, something alone, or words open; what came too late for
// this day's last reading.
func TestDoubtThatDoesNotWait(t *testing.T) {
	for name, c := range map[string]struct {
		clock  civil.Clock
		danger reading.Danger
		row    string
		change func(*life)
	}{
		"class S":     {10 * 60, reading.DangerJawLocked, "jaw.locked", nil},
		"of a driver": {10 * 60, reading.DangerPauses, "pauses", func(l *life) { l.p.Baseline.Drives = chart.Num(chart.Yes) }},
		"perhaps choking": {10 * 60, reading.DangerUlcer, "ulcer", func(l *life) {
			l.p.Escalations = []Escalation{{N: 90, Class: redflag.ClassN, Reason: "cough", Unsure: true, AckBy: "sasst"}}
		}},
		"worn tonight":   {10 * 60, reading.DangerToothLoose, "tooth.loose", nil},
		"a broken tooth": {10 * 60, reading.DangerToothBroken, "tooth.broken", nil},
		"at the wheel":   {10 * 60, reading.DangerDriveNearly, "driving.nearly", func(l *life) { l.p.Baseline.Drives = chart.Num(chart.No) }},
		"a flag":         {10 * 60, reading.DangerUlcer, "ulcer", func(l *life) { l.p.Course.Flags = []redflag.Flag{{ID: "bite.late", Class: redflag.ClassN}} }},
		"something urgent": {10 * 60, reading.DangerUlcer, "ulcer", func(l *life) {
			l.p.Escalations = []Escalation{{N: 90, Class: redflag.ClassS, Reason: "piece.broken", AckBy: "sasst"}}
		}},
		"words that wait":     {10 * 60, reading.DangerUlcer, "ulcer", func(l *life) { l.babble("the cat sat on it") }},
		"after the last list": {15*60 + 46, reading.DangerUlcer, "ulcer", nil},
	} {
		l := doubted(t, c.clock, c.danger, c.change)
		if esc := l.must(c.row); esc.Quiet || l.cards(chatClin) != 1 {
			t.Errorf("%s: %+v, %d cards", name, esc, l.cards(chatClin))
		}
	}
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
	l.say("it all seems without hope?", unsure(reading.DangerLowMood)).later(doubtMinutes).on(Due{Name: doubtName})
	if esc := l.must("lowmood"); esc.Quiet {
		t.Errorf("low mood waits: %+v", esc)
	}
	x := turn{unanswered: true, p: &Patient{}, pr: &l.pr, e: &Event{Office: l.now}}
	if !x.doubtWaits("ulcer") || x.doubtWaits("cough") {
		t.Error("a cough waits, which may be a choking")
	}
}
