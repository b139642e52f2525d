package flows

import (
	"slices"
	"testing"

	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// Whose holder has left rings with the word that it was somebody's, until it is taken.
func TestARingNamesWhoHadIt(t *testing.T) {
	for name, x := range map[string]struct {
		gone func(*practice.Staff)
		head string
	}{
		"removed":     {func(s *practice.Staff) { s.Removed = true }, "esc.left"},
		"unreachable": {func(s *practice.Staff) { s.Unreach = true }, "esc.dropped"},
	} {
		l := active(t).say("I cannot breathe", reading.Reading{Features: reading.FBreath})
		n := l.must("breath").N
		l.order("sasst", Order{Op: OrderAck, Esc: n})
		l.pr.Staff = slices.Clone(l.pr.Staff)
		x.gone(&l.pr.Staff[1])
		l.later(60).on(Due{Name: ringName(n), Arg: heldArg}).want(chatClin, x.head)
		l.later(15).on(Due{Name: ringName(n)}).want(chatClin, x.head)
		if had := l.must("breath").HadBy; had != "sasst" {
			t.Errorf("%s: had by %q", name, had)
		}
		if l.order("sclin", Order{Op: OrderAck, Esc: n}); l.must("breath").HadBy != "" {
			t.Errorf("%s: taken, and still had by another", name)
		}
	}
}

// Whoever takes it from its card has that card changed, and hears in one line whom to
// call; whoever has no card in the chat is sent one.
func TestTakingSendsOneCard(t *testing.T) {
	l := active(t).say("I cannot breathe", reading.Reading{Features: reading.FBreath})
	n := l.must("breath").N
	l.on(Delivered{Key: escKey(n), Chat: chatAsst, Message: 55})
	l.order("sasst", Order{Op: OrderAck, Esc: n}).want(chatAsst, "order.ack.done").want(chatAsst, "desk.card.phone")
	edits := 0
	for _, x := range l.out {
		if s, ok := x.(Send); ok && s.Chat == chatAsst && s.Msg.View != 0 {
			if edits++; s.Msg.Edit != 55 {
				t.Error("a second card")
			}
		}
	}
	if edits != 1 {
		t.Errorf("%d cards are changed", edits)
	}
	l.order("sclin", Order{Op: OrderTake, Esc: n}).want(chatClin, "order.ack.done").wantNot(chatClin, "desk.card.phone")
	if l.cards(chatClin) != 1 {
		t.Errorf("%d cards to who had none", l.cards(chatClin))
	}
}

// What joins an item is named in the head of the card, under the item's number.
func TestACardNamesWhatIsNew(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
	n := l.desk(practice.Assistant, redflag.ClassN, WhyCall, "call me").N
	l.later(5).say("a tooth is loose", reading.Reading{Features: reading.FTooth})
	l.want(chatClin, "esc.new").want(0, "caution.tooth.loose")
	l.order("sclin", Order{Op: OrderAck, Esc: n})
	l.later(5).say("my lip is numb", reading.Reading{Features: reading.FGap}).want(chatClin, "esc.new.yours")
}

// Of what one message raised nothing is new beside the rest.
func TestACardOfOneMessage(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
	l.say("my gum is swollen, and a sore of three weeks", reading.Reading{Features: reading.FGum | reading.FSwelling | reading.FUlcer})
	if n := len(l.p.Escalations); n != 2 {
		t.Fatalf("%d are raised", n)
	}
	l.want(chatClin, "esc.head").wantNot(chatClin, "esc.new")
}

// What nobody has taken by the day's end goes to everyone, on duty or not, also where it grew
// in the day and its card was shown again.
func TestDayEndIsEverybodys(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
	n := l.desk(practice.Assistant, redflag.ClassN, WhyCall, "call me").N
	end, _ := l.timer(ringName(n))
	l.later(60).desk(practice.Assistant, redflag.ClassN, WhyForward, "another")
	if x := l.must(WhyCall); x.Rings != 2 {
		t.Fatalf("rang %d times", x.Rings)
	}
	if at, set := l.timer(ringName(n)); set {
		end = at
	}
	l.now = end.At
	l.on(Due{Name: ringName(n), Arg: end.Arg}).want(chatAsst, "esc.again").want(chatClin, "esc.again").want(chatOff, "esc.again")
}
