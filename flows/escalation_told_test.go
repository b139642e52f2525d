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
