package flows

import (
	"testing"

	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// An old "No, not this person" closes no chat of a confirmed patient.
func TestOldDenyDoesNothing(t *testing.T) {
	l := agreed(t)
	made := l.p.MadeFor()
	l.order("sasst", Order{Op: OrderConfirm, Made: made}).want(chatAsst, "order.confirmed")
	if l.p.MadeFor() == made {
		t.Fatal("a confirmed patient is in the same state as before")
	}
	l.order("sclin", Order{Op: OrderDeny, Made: made}).want(chatClin, "order.stale.by")
	l.order("sclin", Order{Op: OrderDeny, Made: l.p.MadeFor()}).want(chatClin, "order.deny.sure")
	l.order("sclin", Order{Op: OrderDeny}).want(chatClin, "order.deny.sure")
	if l.p.Chat == 0 || l.p.Sure != l.p.Gen {
		t.Error("the chat was let go")
	}
	l.order("sclin", Order{Op: OrderConfirm, Made: made}).want(chatClin, "order.stale.by")
}

// Of two people at once the second hears who did it, and sees the card.
func TestSecondHearsWho(t *testing.T) {
	l := active(t)
	made := l.p.MadeFor()
	l.order("sasst", Order{Op: OrderHold, Made: made})
	l.order("sclin", Order{Op: OrderHold, Made: made}).want(chatClin, "order.stale.by")
	var named, card bool
	for _, x := range l.out {
		if s, ok := x.(Send); ok && s.Chat == chatClin {
			card = card || s.Msg.View == message.ViewCard
			for _, line := range s.Msg.Lines {
				for _, a := range line.Args {
					named = named || a.Name == "who" && a.S != ""
				}
			}
		}
	}
	if !named || !card || !l.p.Held {
		t.Errorf("named %v, card %v, held %v", named, card, l.p.Held)
	}
	l.order("sclin", Order{Op: OrderBrief, Chat: chatClin, Made: made, Text: "nonce"})
	for _, x := range l.out {
		if tell, ok := x.(Tell); ok && !tell.Body.(Brief).Stale {
			t.Error("a form of another state stays open")
		}
	}
}

// What moves by itself makes old buttons stale, too; what does not, does not.
func TestMovesCountStates(t *testing.T) {
	l := active(t)
	n := l.p.Moves
	l.order("sasst", Order{Op: OrderNote, Text: "called"})
	l.order("sasst", Order{Op: OrderContact, Text: "called"})
	if l.p.Moves != n {
		t.Error("a note moves a patient")
	}
	l.broken()
	if l.p.Moves == n {
		t.Error("a flag moves nobody")
	}
	l.order("sclin", Order{Op: OrderStep, Made: n + 1}).want(chatClin, "order.stale")
}

// A card that reached somebody is shown again when it is taken or closed.
func TestCardsAreShownAgain(t *testing.T) {
	l := active(t)
	l.broken()
	n := l.p.Escalations[len(l.p.Escalations)-1].N
	l.on(Delivered{Key: KeyCard + number(n), Chat: chatAsst, Message: 31})
	l.on(Delivered{Key: KeyCard + number(n), Chat: chatClin, Message: 32})
	l.on(Delivered{Key: KeyCard + number(n), Chat: chatClin, Message: 33})
	edits := func() (out []int64) {
		for _, x := range l.out {
			if s, ok := x.(Send); ok && s.Msg.Edit != 0 {
				if s.Msg.View != message.ViewEscalation || s.Msg.MediaOf != number(n) {
					t.Errorf("%+v", s)
				}
				out = append(out, s.Msg.Edit)
			}
		}
		return out
	}
	l.order("sasst", Order{Op: OrderAck, Esc: n})
	if got := edits(); len(got) != 2 || got[0] != 31 || got[1] != 33 {
		t.Errorf("taken: %v", got)
	}
	l.p.Course.Flags = nil
	l.order("sclin", Order{Op: OrderResolve, Esc: n, Text: "seen"})
	if got := edits(); len(got) != 2 || len(l.p.Shown) != 0 {
		t.Errorf("closed: %v, %v", got, l.p.Shown)
	}
	l.order("sasst", Order{Op: OrderNote, Esc: n, Text: "x"})
	l.on(Delivered{Key: KeyCard + number(n), Chat: chatAsst, Message: 40}) // it was on its way
	if got := edits(); len(got) != 1 || got[0] != 40 {
		t.Errorf("late: %v", got)
	}
	l.order("sasst", Order{Op: OrderAck, Esc: n}).want(chatAsst, "order.esc.closed")
}

// broken has a piece come off: a flag of class S.
func (l *life) broken() {
	l.say("a screw piece came off, I have it here", reading.Reading{Features: reading.FBroken})
	l.must("piece.broken")
}
