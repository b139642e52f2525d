package flows

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
)

// What grows rings the person who took it, and rings anew where it got worse.
func TestGrowing(t *testing.T) {
	l := active(t).say("the case is too small", reading.Reading{Rest: true})
	n := l.must(WhyMessage).N
	l.order("sasst", Order{Op: OrderAck, Esc: n}).say("and it smells", reading.Reading{Rest: true})
	l.want(chatAsst, "esc.more").wantNot(chatClin, "esc.more")
	l = active(t).say("piece came off", reading.Reading{Features: reading.FBroken}).say("another piece",
		reading.Reading{Features: reading.FBroken})
	l.want(chatClin, "esc.head")
	if esc := l.must("piece.broken"); esc.Times != 2 || esc.Rings != 2 {
		t.Errorf("grown to %+v", esc)
	}
}

// However much is open, an urgent flag is in front of a person and rings.
func TestEscalationsAreBounded(t *testing.T) {
	l := active(t)
	for day := range 30 {
		for bit := range 37 {
			l.say("words", reading.Reading{Features: 1 << bit})
			l.later(1)
		}
		l.now = civil.Wall{Date: monday() + civil.Date(day) + 1, Clock: 10 * 60}
	}
	if len(l.p.Escalations) > maxOpen+4 {
		t.Errorf("%d open escalations", len(l.p.Escalations))
	}
	for i := range l.p.Escalations {
		l.p.Escalations[i].AckBy = "sasst"
	}
	l.say("chest pain", reading.Reading{Features: reading.FChest}).want(0, "emergency.line").want(chatClin, "esc.head")
}

func TestGrantTestAndSetting(t *testing.T) {
	l := active(t)
	l.order("sclin", Order{Op: OrderGrant, To: 3, Has: true, Until: monday() + 200}).want(chatClin, "order.until.bad")
	l.order("sclin", Order{Op: OrderGrant, To: 3, Has: true, Until: monday() + 30}).want(chatClin, "order.granted").want(0,
		"told.granted")
	if l.p.Course.GrantTo != 3 || l.p.Course.GrantBy != "sclin" {
		t.Errorf("granted to %d by %q", l.p.Course.GrantTo, l.p.Course.GrantBy)
	}
	l.order("sclin", Order{Op: OrderSetting, To: 4, Has: true}).want(chatClin, "refuse.state")
	l.order("sclin", Order{Op: OrderTesting}).want(chatClin, "order.testing").want(0, "told.testing")
	if l.p.Course.State != chart.Testing {
		t.Fatalf("state %v", l.p.Course.State)
	}
	l.order("sclin", Order{Op: OrderSetting, To: 4, Has: true}).want(chatClin, "order.setting").want(0, "told.setting")
	if l.p.Course.State != chart.Stepping || l.p.Course.OrderTo != 4 {
		t.Errorf("state %v, ordered to %d", l.p.Course.State, l.p.Course.OrderTo)
	}
}

func TestNotesAndContacts(t *testing.T) {
	l := active(t).word(reading.WordCall)
	n := l.must(WhyCall).N
	l.order("sasst", Order{Op: OrderNote, Esc: n, Text: "no reply on the phone"}).want(chatAsst, "order.noted")
	if l.must(WhyCall).Notes != 1 || !l.logged("order.note") {
		t.Error("the note is not counted")
	}
	seen := l.p.Course.Seen
	l.later(1440*3).order("sasst", Order{Op: OrderContact, Text: "spoke"}).want(chatAsst, "order.contact")
	if l.p.Course.Seen != seen {
		t.Error("an assistant's contact restarted the clinician's clock")
	}
	l.order("sclin", Order{Op: OrderContact, Text: "spoke"})
	if l.p.Course.Seen != monday()+3 {
		t.Errorf("seen on %v", l.p.Course.Seen)
	}
}

// A flag that comes while tonight's advice stands replaces it by a more
// cautious one, and the patient hears the setting at once.
func TestFlagReplacesTonightsAdvice(t *testing.T) {
	l := active(t)
	l.now = civil.Wall{Date: monday(), Clock: 21 * 60}
	l.p.Course.Advise(l.p.Facts(&l.pr, &Event{}), monday())
	was := l.p.Course.Advice
	if was.Action != chart.Stay {
		t.Fatalf("advised %v on the first night", was.Action)
	}
	l.later(5).say("a piece came off", reading.Reading{Features: reading.FBroken}).want(0, "caution.piece.broken")
	now := l.p.Course.Advice
	if now.Action != chart.LeaveOut || now.Number != was.Number+1 {
		t.Fatalf("advice %+v after the flag", now)
	}
	noted := false
	for _, x := range l.out {
		if n, ok := x.(Note); ok && n.Entry.Action == chart.LeaveOut {
			noted = true
		}
	}
	if !noted {
		t.Error("the diary does not have the new advice")
	}
	for _, x := range l.out {
		if s, ok := x.(Send); ok && s.Chat == 0 && s.Lane == LaneReply {
			return
		}
	}
	t.Error("the patient was not told the setting")
}
