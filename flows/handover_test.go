package flows

import (
	"slices"
	"testing"

	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// Whoever has taken something urgent and goes off duty with nothing noted has it no
// more: within the hour it rings for those on duty. What was dealt with, and what
// nobody else could take, stays.
func TestHandedOverAtTheShiftsEnd(t *testing.T) {
	for name, x := range map[string]struct {
		change func(*vigil)
		rings  []string
	}{
		"nothing noted": {func(*vigil) {}, []string{"Thu 18:00 clin asst off"}},
		"an outcome": {func(v *vigil) {
			v.on(Order{Op: OrderNote, Esc: v.must("breath").N, Text: "seen", Actor: Actor{ID: "sasst"}})
		}, nil},
		"nobody else": {func(v *vigil) { v.pr.Staff[0].OffDuty = true }, nil},
	} {
		v := vigilAt(t, "2026-11-05 16:00", nil).emergency()
		v.on(Order{Op: OrderAck, Esc: v.must("breath").N, Actor: Actor{ID: "sasst"}, Chat: chatAsst})
		x.change(v)
		v.until("2026-11-05 17:30")
		v.pr.Staff[1].OffDuty = true
		v.seen = nil
		got := v.until("2026-11-05 18:10")
		if !slices.Equal(got, x.rings) {
			t.Errorf("%s: %v, want %v", name, got, x.rings)
		}
		if held := v.must("breath").AckBy != ""; held != (x.rings == nil) {
			t.Errorf("%s: held by %q", name, v.must("breath").AckBy)
		}
	}
}

// A removed person's work below S rings for the others on the next morning.
func TestWorkOfWhoLeft(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
	n := l.desk(practice.Assistant, redflag.ClassN, WhyLetter, "").N
	l.order("sclin", Order{Op: OrderAck, Esc: n})
	l.pr.Staff = slices.Clone(l.pr.Staff)
	for i := range l.pr.Staff {
		l.pr.Staff[i].Removed = l.pr.Staff[i].Removed || l.pr.Staff[i].ID == "sclin"
	}
	at, _ := l.timer(ringName(n))
	l.now = at.At
	if l.on(Due{Name: at.Name, Arg: at.Arg}); l.cards(chatAsst) != 1 || l.must(WhyLetter).AckBy != "" {
		t.Errorf("%d cards, held by %q", l.cards(chatAsst), l.must(WhyLetter).AckBy)
	}
}

// What somebody has taken another takes over by an order of its own, and the first
// hears of it; to take it as if it were free does nothing.
func TestTakeOver(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	n := l.desk(practice.Assistant, redflag.ClassN, WhyMessage, "words").N
	l.desk(practice.Assistant, redflag.ClassN, WhyCall, "call me")
	l.order("sasst", Order{Op: OrderAck, Esc: n}).want(0, "told.seen")
	if l.order("sclin", Order{Op: OrderAck, Esc: n}).want(chatClin, "order.ack.taken"); l.must(WhyMessage).AckBy != "sasst" {
		t.Error("taken from under them")
	}
	l.order("sclin", Order{Op: OrderTake, Esc: n}).want(chatClin, "order.ack.done").want(chatAsst, "esc.overtaken").wantNot(0, "told.seen")
	if l.must(WhyMessage).AckBy != "sclin" {
		t.Errorf("held by %q", l.must(WhyMessage).AckBy)
	}
	l.order("sclin", Order{Op: OrderTake, Esc: n}).wantNot(chatAsst, "esc.overtaken")
	l.order("sasst", Order{Op: OrderTake, Esc: 99}).want(chatAsst, "order.esc.gone")
}

// A call that was promised for today and is not recorded rings at the day's end for
// whoever has it, and the next morning for everyone on duty; a contact ends it.
func TestAPromisedCallRingsAgain(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 4, Clock: 10 * 60}
	n := l.desk(practice.Assistant, redflag.ClassN, WhyCall, "call me").N
	l.order("sasst", Order{Op: OrderAck, Esc: n})
	at, _ := l.timer(ringName(n))
	if l.now = at.At; at.At != (civil.Wall{Date: monday() + 4, Clock: 17 * 60}) {
		t.Fatalf("it is looked at %v", at.At)
	}
	l.on(Due{Name: at.Name, Arg: at.Arg}).want(chatAsst, "esc.promised").wantNot(chatClin, "esc.promised")
	at, _ = l.timer(ringName(n))
	if l.now = at.At; at.At != (civil.Wall{Date: monday() + 7, Clock: 9 * 60}) {
		t.Fatalf("then at %v", at.At)
	}
	if l.on(Due{Name: at.Name, Arg: at.Arg}); l.cards(chatAsst) != 1 || l.cards(chatClin) != 1 || l.must(WhyCall).AckBy != "" {
		t.Errorf("%d and %d cards, held by %q", l.cards(chatAsst), l.cards(chatClin), l.must(WhyCall).AckBy)
	}
	if l.order("sasst", Order{Op: OrderContact, Text: "called"}); l.open(WhyCall) != nil {
		t.Error("the call that was made is open")
	}
	// one recorded in time rings no more
	l = active(t)
	l.p.Escalations = nil
	n = l.desk(practice.Assistant, redflag.ClassN, WhyMessage, "words").N
	l.order("sasst", Order{Op: OrderAck, Esc: n})
	if at, _ := l.timer(ringName(n)); at.Arg != "" {
		t.Errorf("no call was promised: %+v", at)
	}
}

// Whether an item can be resolved is told before any words are typed.
func TestResolveIsRefusedAtOnce(t *testing.T) {
	stale := func(l *life) (b Brief) {
		for _, x := range l.out {
			if tell, ok := x.(Tell); ok {
				if is, ok := tell.Body.(Brief); ok {
					b = is
				}
			}
		}
		return b
	}
	l := active(t)
	l.p.Escalations = nil
	n := l.desk(practice.Clinician, redflag.ClassN, WhyReview, "").N
	l.p.Escalations[0].Quiet = false
	l.order("sasst", Order{Op: OrderBrief, Esc: n, Flag: "resolve", Text: "nonce"}).want(chatAsst, "order.refused.role")
	if !stale(l).Stale {
		t.Error("the form goes on")
	}
	if l.order("sclin", Order{Op: OrderBrief, Esc: n, Flag: "resolve", Text: "nonce"}); stale(l).Stale || stale(l).Ask != "nonce" {
		t.Errorf("%+v", stale(l))
	}
	l.order("sasst", Order{Op: OrderBrief, Esc: 77, Flag: "resolve", Text: "nonce"}).want(chatAsst, "order.esc.gone")
	l = active(t)
	l.p.Escalations = nil
	l.p.Course.Flags = []redflag.Flag{{ID: "bite.late", Class: redflag.ClassN}}
	n = l.desk(practice.Clinician, redflag.ClassN, "bite.late", "").N
	l.order("sclin", Order{Op: OrderBrief, Esc: n, Flag: "resolve", Text: "nonce"}).want(chatClin, "order.resolve.flag")
}
