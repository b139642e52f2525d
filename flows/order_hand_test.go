package flows

import (
	"slices"
	"testing"

	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// What somebody holds goes to a colleague on duty, who is sent the card and has it
// from then on; nobody hands over what another holds, nor to who is away.
func TestHandedOverToAColleague(t *testing.T) {
	l := active(t).say("I cannot breathe", reading.Reading{Features: reading.FBreath})
	n := l.must("breath").N
	hand := func(who, to string, esc int32) *life { return l.order(who, Order{Op: OrderHand, Esc: esc, For: to}) }
	hand("sclin", "sasst", n).want(chatClin, "order.hand.none")
	l.order("sclin", Order{Op: OrderAck, Esc: n})
	for _, away := range []string{"soff", "sgone", "sclin", "nobody", ""} {
		if hand("sclin", away, n).want(chatClin, "order.hand.away"); l.must("breath").AckBy != "sclin" {
			t.Fatalf("to %q: held by %q", away, l.must("breath").AckBy)
		}
	}
	hand("sclin", "sasst", n).want(chatClin, "order.hand.done").want(chatAsst, "esc.handed")
	if x := l.must("breath"); x.AckBy != "sasst" {
		t.Errorf("held by %q", x.AckBy)
	}
	if _, ok := l.timer(ringName(n)); !ok {
		t.Error("nobody looks whether they are still there")
	}
	if hand("sclin", "sasst", 0); len(l.heard(chatClin))+len(l.heard(chatAsst)) > 0 {
		t.Error("handed over by who holds nothing")
	}
	hand("sasst", "sclin", 0).want(chatClin, "esc.handed")
}

// Whoever is removed holds nothing from that moment: an emergency rings at once, what
// has time rings in office hours, and in the night it is told without a sound.
func TestWhatARemovedPersonHeld(t *testing.T) {
	remove := func(l *life) *life {
		l.pr.Staff = slices.Clone(l.pr.Staff)
		l.pr.Staff[1].Removed = true
		return l.on(StaffChange{Op: StaffRemove, Staff: practice.Staff{ID: "sasst"}})
	}
	l := active(t).say("I cannot breathe", reading.Reading{Features: reading.FBreath})
	n := l.must("breath").N
	l.order("sasst", Order{Op: OrderAck, Esc: n})
	remove(l).want(chatClin, "esc.left").want(chatOff, "esc.left").wantNot(chatAsst, "esc.left")
	if x := l.must("breath"); x.AckBy != "" || x.HadBy != "sasst" {
		t.Errorf("held by %q, had by %q", x.AckBy, x.HadBy)
	}
	if _, ok := l.timer(ringName(n)); !ok {
		t.Error("it does not ring on")
	}
	for clock, head := range map[civil.Clock]string{10 * 60: "esc.left", 23 * 60: "esc.left.quiet"} {
		l := active(t)
		l.p.Escalations = nil
		l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
		n := l.desk(practice.Assistant, redflag.ClassN, WhyCall, "call me").N
		l.order("sasst", Order{Op: OrderAck, Esc: n})
		l.now.Clock = clock
		remove(l).want(chatClin, head)
		if at, ok := l.timer(ringName(n)); l.must(WhyCall).AckBy != "" || !ok || !l.now.Before(at.At) {
			t.Errorf("at %v: held by %q, timer %+v", clock, l.must(WhyCall).AckBy, at)
		}
		if l.on(StaffChange{Op: StaffRemove, Staff: practice.Staff{ID: "sclin"}}); len(l.heard(chatClin)) > 0 {
			t.Error("somebody who holds nothing left, and it rings")
		}
	}
}
