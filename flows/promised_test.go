package flows

import (
	"testing"

	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// Who was promised a call for this morning is not told a later day for more words; once
// somebody has noted a contact, the next promise is of its own.
func TestTheEarlierPromiseStands(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 1, Clock: 22 * 60}
	l.say("a tooth is loose", reading.Reading{Features: reading.FTooth}).want(0, "when.closed")
	l.now = civil.Wall{Date: monday() + 2, Clock: 11 * 60}
	l.say("and it clicks", reading.Reading{}).want(0, "when.today").wantNot(0, "when.workday")
	l.order("sasst", Order{Op: OrderContact, Text: "called her"})
	l.later(30)
	l.say("one more thing", reading.Reading{}).want(0, "when.workday").wantNot(0, "when.today")
}

// Words that wait for a list are read, and nobody calls because of them: that is what is said.
func TestWordsAreRead(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 1, Clock: 22 * 60}
	l.say("sleep tight", reading.Reading{}).want(0, "when.list").wantNot(0, "when.closed")
	l.now = civil.Wall{Date: monday() + 2, Clock: 11 * 60}
	l.say("it rubs", reading.Reading{}).want(0, "when.read").wantNot(0, "when.today")
}

// A first promise is the usual one.
func TestAFirstPromiseIsTheUsual(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 1, Clock: 11 * 60}
	l.say("a tooth is loose", reading.Reading{Features: reading.FTooth}).want(0, "when.workday")
	l.later(30)
	l.say("and it clicks", reading.Reading{}).want(0, "when.workday").wantNot(0, "when.today")
}

// Whatever joins an item that a person has taken is unread until that person has read it;
// the patient's answer to the safety question does not read it for them.
func TestWhatJoinsATakenItemIsUnread(t *testing.T) {
	for _, why := range []string{pacing.P16.ID(), "tooth.loose"} {
		l := active(t)
		l.p.Escalations = nil
		n := l.desk(practice.NoRole, redflag.ClassN, WhyCall, "call me").N
		l.order("sclin", Order{Op: OrderAck, Esc: n})
		l.later(30)
		if l.desk(practice.Clinician, redflag.ClassN, why, ""); !l.must(why).Unread || !l.p.unread() {
			t.Errorf("%s: %+v", why, l.must(why))
		}
		l.word(reading.WordNone)
		if !l.must(why).Unread {
			t.Errorf("%s: the patient has read it", why)
		}
		l.order("sclin", Order{Op: OrderAck, Esc: n})
		if l.p.unread() {
			t.Errorf("%s: still unread", why)
		}
	}
}
