package flows

import (
	"reflect"
	"strings"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

func TestEnrolmentMakesAnInvitedPatient(t *testing.T) {
	l := enrolled(t)
	p := l.p
	if p.Course.State != chart.Invited || p.Plan.Rev != 1 || p.Plan.By != "sclin" || p.Plan.ByName != "Dr A" ||
		p.Label != "K-17" {
		t.Fatalf("patient after enrolment: state %v, plan %d by %q", p.Course.State, p.Plan.Rev, p.Plan.By)
	}
	l.want(chatClin, "enrolled.done").want(chatClin, "enrolled.link").want(chatClin, "enrolled.waits").want(chatClin,
		"enrol.sum.start")
	var owns []string
	media := ""
	for _, x := range l.out {
		switch x := x.(type) {
		case Own:
			owns = append(owns, x.Kind+"="+x.Value)
		case Send:
			media += x.Msg.Media + " " + x.Msg.MediaOf
		}
	}
	if got := strings.Join(owns, " "); got != "label=K-17 code="+testCode {
		t.Errorf("owned %s", got)
	}
	if media != "qr https://t.me/ventana_bot?start="+testCode {
		t.Errorf("picture of %q", media)
	}
}

func TestEnrolmentIsAClinicians(t *testing.T) {
	for _, who := range []string{"sasst", "sgone", "nobody", ""} {
		l := newLife(t).on(Enrol{Enrolment: lifeEnrolment(), Actor: Actor{ID: who, Role: practice.Clinician}, Code: testCode,
			Chat: 5})
		if l.p.Course.State != chart.NoState || !l.logged("order.refused") {
			t.Errorf("%q enrolled a patient: state %v", who, l.p.Course.State)
		}
		l.want(5, "order.refused.role")
	}
}

func TestEnrolmentOutsideTheBoundsIsRefused(t *testing.T) {
	e := lifeEnrolment()
	e.Plan.Limits.Ceiling = 30 // 11.5 mm of a range of 8
	l := newLife(t).on(Enrol{Enrolment: e, Actor: Actor{ID: "sclin"}, Code: testCode, Chat: chatClin})
	if l.p.Course.State != chart.NoState {
		t.Fatal("a plan outside the range was taken")
	}
	l.want(chatClin, "enrolled.refused").want(chatClin, "enrol.bad.over")
}

func TestNothingStartsBeforeStaffConfirm(t *testing.T) {
	l := agreed(t)
	if l.p.Course.State != chart.Consented || l.p.Consent != ConsentVersion+".en" || l.p.Agreed != monday() {
		t.Fatalf("state %v, consent %q on %v", l.p.Course.State, l.p.Consent, l.p.Agreed)
	}
	l.want(0, "consent.wait").want(chatClin, "esc.head").want(chatAsst, "esc.head")
	if l.must(WhyConsent).Class != redflag.ClassN {
		t.Error("the confirmation is not asked as class N")
	}
	l.word(reading.WordToday).want(0, "tonight.notyet")
	l.order("sasst", Order{Op: OrderConfirm}).want(0, "begin.hello").want(chatAsst, "order.confirmed")
	if l.p.Course.State != chart.Settling || l.open(WhyConsent) != nil || l.p.Code != "" {
		t.Fatalf("state %v, code %q", l.p.Course.State, l.p.Code)
	}
	l.order("sclin", Order{Op: OrderConfirm}).want(chatClin, "order.confirm.none")
}

func TestCodeIsSingleUseAndEnds(t *testing.T) {
	bound := func(l *life, chat int64) (b Bound, ok bool) {
		for _, x := range l.out {
			if tell, is := x.(Tell); is && tell.To.Chat == chat {
				b, ok = tell.Body.(Bound)
			}
		}
		return b, ok
	}
	late := enrolled(t).later(CodeMinutes + 1).on(Join{Chat: chatPatient, Code: testCode, Gen: 1})
	if b, ok := bound(late, chatPatient); !ok || !b.Refused || late.p.Chat != 0 {
		t.Error("an expired code was taken")
	}
	wrong := enrolled(t).on(Join{Chat: chatPatient, Code: "07ZZZZZZZZZZZZ", Gen: 1})
	if b, ok := bound(wrong, chatPatient); !ok || !b.Refused || wrong.p.Chat != 0 {
		t.Error("another code was taken")
	}
	l := joined(t)
	if b, ok := bound(l, chatPatient); !ok || b.Patient != l.p.ID || b.Gen != l.p.Gen || l.p.Chat != chatPatient {
		t.Fatalf("bound %+v", b)
	}
	l.want(0, "join.hello").want(0, "consent.adult")
	l.on(Join{Chat: chatOther, Code: testCode, Gen: 1})
	if b, ok := bound(l, chatOther); !ok || !b.Refused || l.p.Chat != chatPatient {
		t.Error("a second chat was bound")
	}
	if l.must(WhySecond).Class != redflag.ClassN {
		t.Error("staff were not told of the second chat")
	}
	l.want(chatClin, "esc.head")
}

func TestUnderAgeAndDeclining(t *testing.T) {
	minor := joined(t).press("no")
	if minor.p.Chat != 0 || minor.p.Course.State != chart.Invited || minor.open(WhyMinor) == nil {
		t.Errorf("a minor was kept: chat %d, state %v", minor.p.Chat, minor.p.Course.State)
	}
	minor.want(chatPatient, "consent.minor")
	no := joined(t).press("yes").press("no")
	if no.p.Chat != 0 || no.p.Consent != "" || no.open(WhyDecline) == nil {
		t.Errorf("who declined was kept: chat %d", no.p.Chat)
	}
	no.want(chatPatient, "consent.declined")
	typed := joined(t).word(reading.WordYes)
	typed.want(0, "consent.agree").want(0, "consent.unwatched").want(0, "consent.cloud").want(0, "consent.emergency")
	if typed.word(reading.WordYes); typed.p.Course.State != chart.Consented {
		t.Errorf("typed answers: state %v", typed.p.Course.State)
	}
}

func TestAWrongPersonIsLetGo(t *testing.T) {
	l := agreed(t).order("sasst", Order{Op: OrderDeny})
	if l.p.Chat != 0 || l.p.Course.State != chart.Invited || l.p.Consent != "" {
		t.Fatalf("chat %d, state %v", l.p.Chat, l.p.Course.State)
	}
	l.want(chatPatient, "join.ended").want(chatAsst, "order.denied")
	self := joined(t).on(Tap{Chat: chatPatient, Gen: 1, Op: opPath, Arg: "notme", Nonce: "x"})
	if self.p.Chat == 0 {
		t.Fatal("a tap with another nonce counted")
	}
	self.press("notme")
	if self.p.Chat != 0 || self.must(WhyWrong).Class != redflag.ClassS {
		t.Error("'this is not me' did not let the chat go")
	}
}

func TestRebindLetsTheOldPhoneGo(t *testing.T) {
	l := active(t).order("sasst", Order{Op: OrderRebind, Code: "07NEWNEWNEWNEW"})
	old := l.p.Gen - 1
	if l.p.Chat != 0 || l.p.Course.State != chart.Settling {
		t.Fatalf("chat %d, state %v", l.p.Chat, l.p.Course.State)
	}
	l.want(chatPatient, "join.ended").want(chatAsst, "order.rebound")
	before := l.p
	l.on(Said{Chat: chatPatient, Gen: old, Text: "pain 9",
		Reading: reading.Reading{Tokens: []reading.Token{{Field: chart.Pain, Value: chart.Num(9)}}}})
	if !reflect.DeepEqual(before, l.p) {
		t.Error("the old phone changed something")
	}
	l.want(chatPatient, "join.notlinked")
	l.on(Join{Chat: chatOther, Code: "07NEWNEWNEWNEW", Gen: 1}).press("yes").press("yes")
	if l.p.Course.State != chart.Settling || l.open(WhyConsent) == nil {
		t.Fatalf("after joining again: state %v", l.p.Course.State)
	}
	l.word(reading.WordToday).want(0, "tonight.notyet")
	l.order("sclin", Order{Op: OrderConfirm}).want(0, "begin.again")
	if l.p.Course.State != chart.Settling || l.p.Sure != l.p.Gen {
		t.Errorf("state %v, sure of %d in %d", l.p.Course.State, l.p.Sure, l.p.Gen)
	}
}

func TestUnusedLinkReachesAPerson(t *testing.T) {
	l := enrolled(t)
	if at, ok := l.timer("unused"); !ok || !at.Office || at.At != (civil.Wall{Date: monday() + 1, Clock: 9 * 60}) {
		t.Fatalf("timer %+v", at)
	}
	l.now = civil.Wall{Date: monday() + 1, Clock: 9 * 60}
	l.on(Due{Name: "unused"})
	if l.must(WhyUnused).Class != redflag.ClassN {
		t.Error("nobody was told")
	}
}
