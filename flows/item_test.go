package flows

import (
	"testing"
	"time"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// desk puts something in front of people, as an event of now would.
func (l *life) desk(role practice.Role, class redflag.Class, reason, quote string) *Escalation {
	l.t.Helper()
	l.n++
	e := Event{ID: "e", At: time.Unix(l.time(), 0).UTC(), Wall: l.now, Office: l.now}
	l.p.unshare()
	var x turn
	x.start(&l.pr, &l.p, &e)
	x.toDeskFor(role, class, reason, quote)
	x.done()
	l.out = x.out.Effects()
	return l.must(reason)
}

// cards counts the cards of this event to a chat, edits apart.
func (l *life) cards(chat int64) (n int) {
	for _, x := range l.out {
		if s, ok := x.(Send); ok && s.Chat == chat && len(s.Key) > len(KeyCard) && s.Key[:len(KeyCard)] == KeyCard {
			n++
		}
	}
	return n
}

// Whatever goes to people is a card at once or when the office opens, or waits for
// the digest and is a card on the second working morning: nothing is dropped.
func TestEveryReasonIsACardOrWaits(t *testing.T) {
	type raised struct {
		class  redflag.Class
		reason string
	}
	var all []raised
	for _, why := range []string{WhyMessage, WhyCall, WhySilence, WhyBounce, WhyStop, WhyPause, WhyLeave, WhyConsent, WhyDecline,
		WhyMinor, WhyUnused, WhySecond, WhyWrong, WhyOther, WhyGap, WhyReview, WhyPlanEnd, WhyMile, WhyRecall, WhyTest, WhyLetter,
		WhyAfter, WhyLeftOut, WhyWorn, WhyCouple, WhyForward, "still", "fit", "guard"} {
		all = append(all, raised{redflag.ClassN, why})
	}
	for _, class := range []redflag.Class{redflag.ClassE, redflag.ClassS, redflag.ClassN, redflag.ClassR} {
		for id := pacing.P01; id <= pacing.P19; id++ {
			all = append(all, raised{class, id.ID()})
		}
		for _, row := range redflag.Rows() {
			all = append(all, raised{class, row.ID})
		}
	}
	for _, role := range []practice.Role{practice.Assistant, practice.Clinician} {
		for _, x := range all {
			l := active(t)
			l.p.Escalations = nil
			esc := l.desk(role, x.class, x.reason, "")
			waits := x.class == redflag.ClassR || x.class == redflag.ClassN && role == practice.Assistant && isNamed(x.reason)
			if n := l.cards(chatAsst) + l.cards(chatClin); esc.Quiet != waits || (n == 0) != waits {
				t.Errorf("%c %s for %v: waits %v, %d cards", x.class, x.reason, role, esc.Quiet, n)
			}
			if both := l.cards(chatAsst) > 0 && l.cards(chatClin) > 0; !waits && !both && x.class.Worse(redflag.ClassN) {
				t.Errorf("%c %s does not reach everyone on duty", x.class, x.reason)
			}
			if l.cards(chatClin) == 0 && !waits && mayResolve(x.reason) == practice.Clinician {
				t.Errorf("%s does not reach the clinician", x.reason)
			}
			at, set := l.timer(ringName(esc.N))
			if !set {
				t.Fatalf("%c %s: no timer", x.class, x.reason)
			}
			if !waits {
				continue
			}
			second := l.pr.NextMorning(l.pr.NextMorning(l.now))
			if at.At != second {
				t.Errorf("%s waits until %v, want %v", x.reason, at.At, second)
			}
			l.now = at.At
			if l.on(Due{Name: ringName(esc.N)}); l.cards(chatAsst)+l.cards(chatClin) == 0 || l.must(x.reason).Quiet {
				t.Errorf("%s is no card on the second working morning", x.reason)
			}
		}
	}
}

func isNamed(reason string) bool {
	switch reason {
	case "P05", "P10", "P11", "P12", "P14", WhySilence, WhyMile, WhyReview, WhyRecall, WhyTest:
		return true
	}
	return false
}

// What is open below S is one item: one card, one number, taken and resolved
// together; what needs a clinician stays.
func TestOneItemBelowS(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	first := l.desk(practice.Assistant, redflag.ClassN, WhyCall, "call me").N
	for _, why := range []string{WhyMessage, pacing.P16.ID()} {
		l.later(5)
		if l.desk(practice.Assistant, redflag.ClassN, why, "words"); l.cards(chatAsst)+l.cards(chatClin) != 1 {
			t.Errorf("%s: %d cards", why, l.cards(chatAsst)+l.cards(chatClin))
		}
		if _, set := l.timer(ringName(l.must(why).N)); set {
			t.Errorf("%s rings by itself", why)
		}
	}
	if l.desk(practice.Assistant, redflag.ClassN, pacing.P16.ID(), ""); l.cards(chatAsst) != 0 {
		t.Error("a reason repeats within the working day")
	}
	l.desk(practice.Assistant, redflag.ClassN, pacing.P10.ID(), "")
	if n := len(l.p.Item(l.must(WhyCall))); n != 4 || !l.p.Lead(l.must(WhyCall)) {
		t.Errorf("%d in the item", n)
	}
	l.order("sasst", Order{Op: OrderAck, Esc: first}).want(chatAsst, "order.ack.done")
	for i := range l.p.Escalations {
		if x := &l.p.Escalations[i]; x.AckBy != "sasst" {
			t.Errorf("%s is nobody's", x.Reason)
		}
	}
	l.order("sasst", Order{Op: OrderResolve, Esc: first, Text: "called"}).want(chatAsst, "order.resolved.rest")
	if len(l.p.Escalations) != 1 || l.open(pacing.P16.ID()) == nil {
		t.Errorf("%+v", l.p.Escalations)
	}
	// what is urgent is an item of its own
	l.desk(practice.Clinician, redflag.ClassS, "piece.broken", "")
	if x := l.must("piece.broken"); len(l.p.Item(x)) != 1 || x.AckBy != "" || l.cards(chatAsst) != 1 {
		t.Errorf("%+v", x)
	}
}

// A clinician's own row, more urgent words and another reason make a card of what
// waited.
func TestWhatWaitsCanGrow(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.desk(practice.Assistant, redflag.ClassN, pacing.P11.ID(), "")
	if l.desk(practice.Assistant, redflag.ClassN, pacing.P11.ID(), ""); l.cards(chatClin) != 0 {
		t.Error("the same again is a card")
	}
	if l.desk(practice.Clinician, redflag.ClassN, pacing.P11.ID(), ""); l.cards(chatAsst) != 1 {
		t.Error("seven nights in fourteen wait for a digest")
	}
	l = active(t)
	l.p.Escalations = nil
	l.desk(practice.NoRole, redflag.ClassR, WhyMessage, "thanks")
	if l.desk(practice.NoRole, redflag.ClassN, WhyMessage, "it hurts"); l.cards(chatAsst) != 1 {
		t.Error("words for people wait for a digest")
	}
}

// A list closes what was in it when it was shown, for whoever may.
func TestSweep(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.desk(practice.Assistant, redflag.ClassN, pacing.P12.ID(), "")
	l.desk(practice.Assistant, redflag.ClassN, WhySilence, "")
	l.desk(practice.Assistant, redflag.ClassN, WhyReview, "")
	shown := l.time()
	l.later(5)
	l.desk(practice.Assistant, redflag.ClassN, pacing.P14.ID(), "")
	for _, list := range []string{"routine", "review"} {
		l.order("sasst", Order{Op: OrderSweep, Flag: list, At: shown})
	}
	if l.open(pacing.P12.ID()) != nil || l.open(WhySilence) == nil || l.open(pacing.P14.ID()) == nil || l.open(WhyReview) == nil {
		t.Errorf("%+v", l.p.Escalations)
	}
	if d, ok := l.p.closedBy(l.p.EscCount - 3); !ok || d.By != "sasst" {
		t.Error("nobody knows who closed it")
	}
}

// A silence ends by itself when the patient says something, unless somebody has
// taken it.
func TestSilenceEnds(t *testing.T) {
	l := active(t)
	l.desk(practice.NoRole, redflag.ClassN, WhySilence, "")
	if l.say("hello", reading.Reading{Word: reading.WordThanks}); l.open(WhySilence) != nil {
		t.Error("still silent")
	}
	n := l.desk(practice.NoRole, redflag.ClassN, WhySilence, "").N
	l.order("sasst", Order{Op: OrderAck, Esc: n})
	if l.say("hello", reading.Reading{Word: reading.WordThanks}); l.open(WhySilence) == nil {
		t.Error("what a person has taken was closed behind them")
	}
}

// An item that grew over the weekend rings once when the office opens.
func TestWeekendRingsOnce(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	l.now = civil.Wall{Date: monday() + 5, Clock: 12 * 60}
	n := l.desk(practice.NoRole, redflag.ClassN, WhyCall, "call me").N
	l.later(300)
	l.desk(practice.NoRole, redflag.ClassN, WhyMessage, "please")
	if l.cards(chatAsst) != 0 {
		t.Error("it rings on a Saturday")
	}
	l.now = l.pr.NextMorning(l.now)
	total := 0
	for i := range l.p.Escalations {
		l.on(Due{Name: ringName(l.p.Escalations[i].N)})
		total += l.cards(chatAsst)
	}
	if total != 1 || n == 0 {
		t.Errorf("%d cards on Monday", total)
	}
}

// What asks a person to call is closed by no list, as long as that lasts.
func TestNoListClosesACall(t *testing.T) {
	l := active(t)
	l.p.Escalations = nil
	for _, id := range []string{pacing.P05.ID(), pacing.P10.ID(), pacing.P11.ID()} {
		l.desk(practice.Assistant, redflag.ClassN, id, "")
	}
	l.p.Course.Advice.Action, l.p.Course.Advice.Fired = chart.Stay, chart.Rules(0).With(pacing.P05)
	sweep := func() { l.order("sclin", Order{Op: OrderSweep, Flag: "routine", At: l.time()}) }
	if sweep(); l.open(pacing.P05.ID()) == nil || l.open(pacing.P10.ID()) == nil || l.open(pacing.P11.ID()) != nil {
		t.Errorf("%+v", l.p.Escalations)
	}
	l.p.Course.Advice.Fired = 0
	if sweep(); l.open(pacing.P05.ID()) != nil || l.open(pacing.P10.ID()) == nil {
		t.Errorf("the count is sure again: %+v", l.p.Escalations)
	}
}

// Missing nights that were told since are no card on the second morning, but stay a line;
// where one is missing still, they are.
func TestToldSinceIsNoCard(t *testing.T) {
	for _, told := range []bool{true, false} {
		l := active(t)
		l.p.Escalations = nil
		c := &l.p.Course
		c.N = 8
		for i := range 8 {
			e := chart.Entry{Night: monday() - 8 + civil.Date(i)}
			for f, v := range map[chart.Field]int{chart.Worn: chart.WornAll, chart.Pain: 0, chart.Bite: chart.BiteBoth, chart.Guide: chart.Yes} {
				e.V[f] = chart.Num(v)
			}
			if i == 4 && !told {
				e.V[chart.Worn] = chart.Unknown
			}
			c.Nights[i] = e
		}
		n := l.desk(practice.Assistant, redflag.ClassN, pacing.P11.ID(), "").N
		at, _ := l.timer(ringName(n))
		l.now = at.At
		l.on(Due{Name: at.Name, Arg: at.Arg})
		if x := l.must(pacing.P11.ID()); x.Quiet != told || (l.cards(chatAsst) == 0) != told {
			t.Errorf("told %v: %d cards, %+v", told, l.cards(chatAsst), x)
		}
		if next, set := l.timer(ringName(n)); told && (!set || next.At.Date <= at.At.Date) {
			t.Errorf("nobody looks again: %+v", next)
		}
	}
}

// A card's first line has the worst that the item holds, a flag's class too.
func TestACardIsHeadedByItsWorst(t *testing.T) {
	l := active(t)
	l.p.Escalations = []Escalation{{N: 1, Class: redflag.ClassR, Reason: WhyMessage}, {N: 2, Class: redflag.ClassR, Reason: "bite.changed"}}
	l.p.Course.Flags = []redflag.Flag{{ID: "bite.changed", Class: redflag.ClassN, Esc: 2}}
	if got := l.p.UrgentIn(&l.p.Escalations[0]); got != redflag.ClassN {
		t.Errorf("the item: %c", got)
	}
	if l.p.Escalations = l.p.Escalations[:1]; l.p.UrgentIn(&l.p.Escalations[0]) != redflag.ClassR || l.p.Urgent() != redflag.ClassN {
		t.Error("a flag of no item")
	}
}
