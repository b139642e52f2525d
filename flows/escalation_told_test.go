package flows

import (
	"slices"
	"strings"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// What an E or S flag tells the patient counts as told when the chat has it, and
// not before; an emergency takes back whatever else waits for that chat.
func TestACautionIsToldWhenItIsDelivered(t *testing.T) {
	l := active(t).say("my tongue is swelling and I can't swallow",
		reading.Reading{Features: reading.FSwelling | reading.FMouthFace | reading.FSwallow,
			Tokens: []reading.Token{{Field: chart.Pain, Value: chart.Num(3)}}})
	esc := l.must("swelling.airway")
	number := strings.TrimPrefix(escKey(esc.N), "esc.")
	key := ""
	for _, x := range l.out {
		if s, ok := x.(Send); ok && s.Chat == 0 {
			key = s.Key
		}
	}
	if !strings.HasPrefix(key, KeyTold) || esc.Heard || !l.p.Undelivered(number) {
		t.Fatalf("key %q, %+v", key, esc)
	}
	for _, k := range []string{keySaid, keyPath, "prompt", "advice"} {
		if !slices.Contains(l.out, Effect(Withdraw{Key: k})) {
			t.Errorf("%s is not taken back", k)
		}
	}
	if slices.Contains(l.out, Effect(Withdraw{Key: key})) {
		t.Error("the caution itself is taken back")
	}
	l.on(Delivered{Key: toldKey(esc.N + 1)})
	if l.must("swelling.airway").Heard {
		t.Error("another message counts for it")
	}
	l.on(Delivered{Key: key})
	if !l.must("swelling.airway").Heard || l.p.Undelivered(number) {
		t.Error("it was delivered")
	}
	if len(l.heard(0))+len(l.heard(chatClin)) > 0 {
		t.Error("somebody is told of it")
	}
	l.say("still cannot swallow", reading.Reading{Features: reading.FSwelling | reading.FMouthFace | reading.FSwallow})
	if l.must("swelling.airway").Heard {
		t.Error("what is told again was not delivered yet")
	}
}

// What the patient was told stays as it was said, whatever is raised afterwards: the
// caution's own words of wear, the emergency number, and when somebody calls.
func TestWhatWasToldIsKeptAsSaid(t *testing.T) {
	l := active(t).say("I nearly fell asleep at the wheel this morning", reading.Reading{Features: reading.FWheelNear})
	said := func(reason string) string { return strings.Join(l.must(reason).Words.Keys, " ") }
	value := func(reason, name string) string {
		for _, a := range l.must(reason).Words.Args {
			if a.Name == name {
				return a.S
			}
		}
		return ""
	}
	first := l.must("driving.nearly").Words
	if got := said("driving.nearly"); !strings.HasPrefix(got, "caution.driving when.") || value("driving.nearly", "wear") != "caution.wear.keep" {
		t.Fatalf("kept: %s, wear %q", got, value("driving.nearly", "wear"))
	}
	l.say("my tongue is swelling and I can't breathe well", reading.Reading{Features: reading.FSwelling | reading.FMouthFace | reading.FSwallow})
	if got := said("swelling.airway"); got != "emergency.line caution.swelling.airway" || value("swelling.airway", "number") != "112" {
		t.Errorf("kept: %s, number %q", got, value("swelling.airway", "number"))
	}
	if l.pr.Emergency = "911"; !slices.Equal(l.must("driving.nearly").Words.Args, first.Args) || value("swelling.airway", "number") != "112" {
		t.Error("what was said is not what it was")
	}
	if l.p.Course.WearKey() == "caution.wear.keep" {
		t.Fatal("nothing changed, so nothing was tried")
	}
}

// Of two dangers in one text the emergency alone is said: of the other nothing is
// kept but what was said before.
func TestWhatAnEmergencyLeftUnsaid(t *testing.T) {
	l := active(t).say("a tooth is loose", reading.Reading{Features: reading.FTooth})
	before := *l.must("tooth.loose")
	if before.Told == "" || len(before.Words.Keys) == 0 {
		t.Fatalf("%+v", before)
	}
	l.say("the tooth is loose and I cannot breathe", reading.Reading{Features: reading.FTooth | reading.FBreath})
	if x := l.must("tooth.loose"); x.Told != before.Told || x.Via != before.Via || !slices.Equal(x.Words.Keys, before.Words.Keys) {
		t.Errorf("%+v, before %+v", x, before)
	}
	l = active(t).say("the tooth is loose and I cannot breathe", reading.Reading{Features: reading.FTooth | reading.FBreath})
	if x := l.must("tooth.loose"); x.Told != "" || len(x.Words.Keys) > 0 {
		t.Errorf("never said, and kept: %+v", x)
	}
}

// The words about all that is open take a bounded room: the newest stay.
func TestWordsHaveABound(t *testing.T) {
	p := Patient{}
	for range maxOpen {
		p.Escalations = append(p.Escalations, Escalation{Words: Words{Keys: []string{strings.Repeat("k", 399)}}})
	}
	(&turn{p: &p}).fitWords()
	kept := 0
	for _, x := range p.Escalations {
		kept += len(x.Words.Keys)
	}
	if kept != 6 || len(p.Escalations[maxOpen-1].Words.Keys) == 0 || len(p.Escalations[0].Words.Keys) > 0 {
		t.Errorf("%d kept", kept)
	}
}
