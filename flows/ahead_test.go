package flows

import (
	"slices"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"

	"github.com/google/go-cmp/cmp"
)

func dateIn(lines []message.Line, key string) civil.Date {
	for _, l := range lines {
		for _, a := range l.Args {
			if l.Key == key && a.Name == "date" {
				return civil.Date(a.N)
			}
		}
	}
	return 0
}

func says(lines []message.Line, key string) bool {
	for _, l := range lines {
		if l.Key == key {
			return true
		}
	}
	return false
}

// From the first night the date of the ceiling, lived through by the rules, is the one
// that the form reckons (Summarise), for any limits.
func TestAheadAgreesWithTheForm(t *testing.T) {
	for _, l := range []chart.Limits{{Ceiling: 6, Settle: 3, Interval: 3, Pace: 1000}, {Ceiling: 8, Settle: 7, Interval: 2, Pace: 500},
		{Ceiling: 4, Settle: 14, Interval: 7, Pace: 1000}, {Ceiling: 1, Settle: 1, Interval: 14, Pace: 250}} {
		tt := aheadTurn(t)
		e := BriefOf(tt.p, "").Enrolment
		w := e.Plan.Limits
		w.Ceiling, w.Settle, w.Interval, w.Pace = l.Ceiling, l.Settle, l.Interval, l.Pace
		e.Plan.Limits, e.Plan.Ends = w, e.Plan.Fitted+300
		want := enrol.Summarise(e).On
		if got := dateIn(tt.ahead(e.Plan), "ahead.ceiling"); got != want {
			t.Errorf("%+v: %s, the form says %s", l, got, want)
		}
	}
}

// A preview leaves no trace, and tells what becomes of what is open.
func TestAheadOfOrders(t *testing.T) {
	tt := aheadTurn(t)
	c := &tt.p.Course
	c.GrantTo, c.OrderTo, c.Freed, c.Limited, c.Limit = 6, 5, 2, true, 1
	tt.p.Held = true
	before := *tt.p
	plan := tt.p.Plan
	plan.Limits.Ceiling = 3
	lines := tt.ahead(plan)
	for _, key := range []string{"ahead.tonight", "ahead.grant.cut", "ahead.order.cut", "ahead.freed", "ahead.comfort", "ahead.held"} {
		if !says(lines, key) {
			t.Errorf("%s is not told: %v", key, lines)
		}
	}
	if d := cmp.Diff(before, *tt.p); d != "" {
		t.Errorf("a preview left a trace: %s", d)
	}
	if tt.p.Held, c.GrantTo, c.OrderTo, c.Freed, c.Limited = false, 0, 0, 0, false; !says(tt.ahead(plan), "ahead.none") {
		t.Error("nothing is open")
	}
	tt.p.Escalations = []Escalation{{N: 1, Class: redflag.ClassN, Reason: WhyMile}, {N: 2, Class: redflag.ClassN, Reason: WhyMessage, Unread: true},
		{N: 3, Class: redflag.ClassN, Reason: "bite.changed"}, {N: 4, Class: redflag.ClassE, Reason: "chest", Quote: "my chest hurts", Unsure: true}}
	for n := range tt.p.Escalations { // the worst comes first, then what comes next to it
		want := []string{"flag.chest.name", "flag.bite.changed.name", "desk.reason.message", "desk.reason.milestone"}[n]
		lines = tt.ahead(plan)
		if i := slices.IndexFunc(lines, func(l message.Line) bool { return l.Key == "ahead.waiting" }); i < 0 || says(lines, "ahead.none") ||
			lines[i].Args[0].N != int64(4-n) || lines[i].Args[2].S != want || says(lines, "desk.card.quote") != (n == 0) {
			t.Errorf("%d: %v", n, lines)
		}
		worst := slices.IndexFunc(tt.p.Escalations, func(x Escalation) bool { return ReasonKey(x.Reason) == want })
		tt.p.Escalations = slices.Delete(tt.p.Escalations, worst, worst+1)
	}
	c.GrantTo, c.OrderTo = 6, 5
	plan.Ends = tt.coming() + 1
	plan.Limits.Ceiling = 6
	if lines = tt.ahead(plan); !says(lines, "ahead.ceiling.never") || !says(lines, "ahead.grant") || !says(lines, "ahead.order") {
		t.Errorf("%v", lines)
	}
	tt.p.Course.State = chart.Invited
	if lines = tt.ahead(plan); len(lines) != 1 || lines[0].Key != "ahead.idle" {
		t.Errorf("%v", lines)
	}
}

// Who is let go on in a hold of everything is held again in the next one.
func TestHeldIn(t *testing.T) {
	for _, c := range []struct {
		pr   practice.Practice
		p    Patient
		want bool
	}{
		{practice.Practice{}, Patient{}, false}, {practice.Practice{Held: true}, Patient{}, true}, // stored before holds were counted
		{practice.Practice{Held: true, HoldN: 2}, Patient{Let: 2}, false}, {practice.Practice{Held: true, HoldN: 3}, Patient{Let: 2}, true},
		{practice.Practice{Held: true, HoldN: 2}, Patient{Let: 2, Held: true}, true}, {practice.Practice{HoldN: 2}, Patient{Held: true}, true},
	} {
		if got := c.p.HeldIn(&c.pr); got != c.want {
			t.Errorf("%+v in %+v: %v", c.p.Let, c.pr, got)
		}
	}
}

// aheadTurn is a turn of somebody on the first evening.
func aheadTurn(t *testing.T) *turn {
	l := active(t)
	return &turn{p: &l.p, pr: &l.pr, e: &Event{Wall: l.now, Office: l.now}}
}

// In a hold of everything an assistant lets nobody go on; a clinician does, one by one.
func TestLetGoOn(t *testing.T) {
	l := active(t)
	l.pr.Held, l.pr.HoldN = true, 3
	l.order("sasst", Order{Op: OrderResume}).want(chatAsst, "order.refused.role")
	if !l.p.HeldIn(&l.pr) {
		t.Fatal("an assistant let somebody go on")
	}
	l.order("sclin", Order{Op: OrderResume}).want(chatClin, "order.unheld.one").want(0, "told.unheld")
	if l.p.HeldIn(&l.pr) {
		t.Fatal("still held")
	}
	l.order("sclin", Order{Op: OrderResume}).want(chatClin, "order.already")
	l.order("sasst", Order{Op: OrderHold}).want(chatAsst, "order.held")
	if !l.p.HeldIn(&l.pr) {
		t.Error("not held again")
	}
}

// A revision keeps its author, who looked a second time, when, and what differs; of
// many the newest.
func TestRevisions(t *testing.T) {
	l := active(t)
	l.pr.Staff = append(l.pr.Staff, practice.Staff{ID: "ssecond", Label: "Dr B", Role: practice.Clinician})
	for n := range int32(8) {
		plan := l.p.Plan
		plan.Limits.Interval, plan.Evening = int16(3+n%4), civil.Clock(1200+n)
		l.order("sclin", Order{Op: OrderPlan, Plan: &plan, Base: n + 1, Second: "ssecond"}).want(chatClin, "order.plan.done")
	}
	if n := len(l.p.Revisions); n != keepRevisions {
		t.Fatalf("%d kept", n)
	}
	r := l.p.Revisions[keepRevisions-1]
	if r.Rev != 9 || r.By != "Dr A" || r.Second != "Dr B" || r.At != l.now || len(r.Changes) != 2 || r.Changes[0].Was != "5" ||
		r.Changes[0].Now != "6" || r.Changes[1].Now != "20:07" {
		t.Errorf("%+v", r)
	}
	if body := l.p.Revisions[0]; body.Rev != 4 {
		t.Errorf("%+v", body)
	}
}

// Hours move within the half of the day that was signed, however often, and a
// signature takes them as they stand.
func TestHoursMove(t *testing.T) {
	l := active(t)
	was := l.p.Plan
	move := func(evening, morning civil.Clock) *life {
		return l.order("sasst", Order{Op: OrderMove, Evening: evening, Morning: morning})
	}
	move(20*60+1, 6*60+15+1).want(chatAsst, "order.moved").want(0, "told.hours")
	if p := l.p.Plan; p.Rev != was.Rev || p.Evening != 20*60 || p.Morning != 6*60+15 || p.Signed() != was {
		t.Fatalf("%+v", p)
	}
	for range 3 {
		move(0, 3*60+1).want(chatAsst, "order.hours.bad") // the evening's half, by the hours that were signed
		move(8*60+1, 0).want(chatAsst, "order.hours.bad")
		move(13*60+1, 11*60+59+1).want(chatAsst, "order.moved")
	}
	if l.p.Plan.Signed() != was {
		t.Errorf("%+v", l.p.Plan)
	}
	move(was.Evening+1, was.Morning+1)
	if l.p.Plan != was {
		t.Errorf("%+v", l.p.Plan)
	}
	move(20*60+1, 0)
	plan := l.p.Plan
	plan.Limits.Interval = 5
	l.order("sclin", Order{Op: OrderPlan, Plan: &plan, Base: 1}).want(chatClin, "order.plan.done")
	if p := l.p.Plan; p.Evening != 20*60 || p.Signed().Evening != 20*60 {
		t.Errorf("%+v", p)
	}
}
