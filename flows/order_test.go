package flows

import (
	"reflect"
	"slices"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// Who may order what: an assistant what is not about wear, pain, teeth, bite or
// what was signed; a clinician all of it; nobody else anything.
func TestOrdersByRole(t *testing.T) {
	clinicians := map[OrderOp]bool{OrderRelease: true, OrderPlan: true, OrderGrant: true, OrderVisit: true,
		OrderStep: true, OrderTest: true,
		OrderTesting: true, OrderSetting: true, OrderSteady: true, OrderRecall: true, OrderEnd: true, OrderReopen: true}
	for op := OrderAck; op < NumOrders; op++ {
		for _, who := range []string{"sclin", "sasst", "sgone", "nobody", "owner", ""} {
			l := active(t)
			before := l.p
			l.order(who, Order{Op: op, Chat: 5})
			refused := l.logged("order.refused") && !l.logged("order."+op.String())
			want := who != "sclin" && (who != "sasst" || clinicians[op])
			if refused != want {
				t.Errorf("%v by %q: refused %v", op, who, refused)
			}
			if want && !reflect.DeepEqual(before, l.p) {
				t.Errorf("%v by %q was refused and changed something", op, who)
			}
			told := false
			for _, x := range l.out {
				s, sent := x.(Send)
				_, told2 := x.(Tell)
				told = told || sent && (s.Chat == 5 || op == OrderRebind) || told2
			}
			if !told && (op != OrderSweep && op != OrderHand || want) { // who sweeps a list, or hands over all, is answered once, by the chat
				t.Errorf("%v by %q got no answer", op, who)
			}
		}
	}
}

// Every order has a name of its own, a row, and somebody who may give it.
func TestOrdersHaveTheirRows(t *testing.T) {
	names := map[string]bool{}
	for op := OrderAck; op < NumOrders; op++ {
		if name := op.String(); name == "" || names[name] {
			t.Errorf("order %d has the name %q", op, name)
		}
		names[op.String()] = true
		if row := orders[op]; row.do == nil || row.least < practice.Assistant {
			t.Errorf("order %d has no row", op)
		}
	}
}

func TestOrdersBeforeAndAfter(t *testing.T) {
	for op := OrderAck; op < NumOrders; op++ {
		early := enrolled(t).order("sclin", Order{Op: op})
		if refused := early.logged("order.refused"); !orders[op].early && !refused {
			t.Errorf("%v before the course: refused %v", op, refused)
		}
		l := active(t).order("sclin", Order{Op: OrderEnd, Text: "moved away"})
		if l.p.Course.State != chart.Ended {
			t.Fatalf("state %v", l.p.Course.State)
		}
		l.order("sclin", Order{Op: op})
		if refused := l.logged("order.refused"); !orders[op].late && !refused {
			t.Errorf("%v after the end: refused %v", op, refused)
		}
	}
}

func TestSettingsStayInsideTheLimits(t *testing.T) {
	for _, op := range []OrderOp{OrderVisit, OrderGrant, OrderSetting} {
		for _, to := range []chart.Steps{-1, 7, 100} {
			l := active(t).order("sclin", Order{Op: op, To: to, Has: true, Text: "x"})
			l.want(chatClin, "order.setting.bad")
			if l.p.Course.High > 6 {
				t.Errorf("%v to %d was taken", op, to)
			}
		}
		active(t).order("sclin", Order{Op: op, Text: "x"}).want(chatClin, "order.setting.bad")
	}
}

func TestVisit(t *testing.T) {
	l := active(t).order("sclin", Order{Op: OrderVisit, To: 2, Has: true, Text: "adjusted"})
	l.want(chatClin, "order.visited").want(0, "told.visit")
	if l.p.Course.Left != 2 || l.p.Course.InDoubt {
		t.Errorf("stands at %d", l.p.Course.Left)
	}
	noted := false
	for _, x := range l.out {
		if n, ok := x.(Note); ok && n.Source == chart.FromStaff {
			noted = true
		}
	}
	if !noted {
		t.Error("the diary has no row of it")
	}
}

func TestPlanChange(t *testing.T) {
	l := active(t)
	plan := l.p.Plan
	plan.Limits.Ceiling, plan.Evening = 4, 20*60
	l.order("sclin", Order{Op: OrderPlan, Plan: &plan, Base: 7}).want(chatClin, "order.plan.stale")
	if l.p.Plan.Rev != 1 {
		t.Fatal("a change of an older revision was taken")
	}
	bad := plan
	bad.Limits.Interval = 1
	l.order("sclin", Order{Op: OrderPlan, Plan: &bad, Base: 1}).want(chatClin, "order.plan.bad")
	l.order("sclin", Order{Op: OrderPlan, Plan: &plan, Base: 1}).want(chatClin, "order.plan.done").want(0, "told.plan")
	p := l.p.Plan
	if p.Rev != 2 || p.By != "sclin" || p.ByName != "Dr A" || p.On != monday() || p.Limits.Ceiling != 4 ||
		p.Fitted != monday() {
		t.Errorf("plan %+v", p)
	}
	prompt, advice := false, false
	for _, x := range l.out {
		prompt = prompt || x == Effect(Withdraw{Key: "prompt"})
		advice = advice || x == Effect(Withdraw{Key: "advice"})
	}
	if !prompt || !advice {
		t.Error("what waits of the old revision is not withdrawn")
	}
}

func TestSleepTest(t *testing.T) {
	full := chart.SleepTest{On: monday(), Kind: "home sleep apnoea test", Rule: "1A", AHI10: chart.Num(61), By: "Dr S",
		Setting: 3, InPlace: true}
	for name, spoil := range map[string]func(*chart.SleepTest){
		"no interpreter": func(x *chart.SleepTest) { x.By = "" },
		"no date":        func(x *chart.SleepTest) { x.On = 0 },
		"in the future":  func(x *chart.SleepTest) { x.On = monday() + 1 },
		"no kind":        func(x *chart.SleepTest) { x.Kind = "" },
		"no rule":        func(x *chart.SleepTest) { x.Rule = "" },
		"no result":      func(x *chart.SleepTest) { x.AHI10 = chart.Unknown },
		"beyond travel":  func(x *chart.SleepTest) { x.Setting = 99 },
	} {
		x := full
		spoil(&x)
		l := active(t).order("sclin", Order{Op: OrderTest, Test: &x}).want(chatClin, "order.test.bad")
		if len(l.p.Tests) != 0 {
			t.Errorf("%s: recorded", name)
		}
	}
	l := active(t)
	l.order("sclin", Order{Op: OrderSteady}).want(chatClin, "order.steady.none")
	l.order("sclin", Order{Op: OrderTest, Test: &full}).want(chatClin, "order.tested").want(0, "told.test")
	if len(l.p.Tests) != 1 || l.open(WhyTest) == nil {
		t.Fatalf("tests %v", l.p.Tests)
	}
	l.order("sclin", Order{Op: OrderSteady, Sure: true}).want(chatClin, "order.steady").want(0, "told.steady") // the test was at 3, it stands at 0
	if l.p.Course.State != chart.Steady || l.open(WhyTest) != nil || l.open(WhyLetter) == nil {
		t.Errorf("state %v", l.p.Course.State)
	}
	// Verified on a day: the yearly recall falls due a year later (worked
	// example: 2026-05-10 to 2027-05-10, month ends clamped).
	if l.p.Review != monday().AddMonths(6) || l.p.ReviewKind != mileHalf {
		t.Errorf("next milestone %v", l.p.Review)
	}
	l.order("sclin", Order{Op: OrderRecall})
	if l.p.Course.State != chart.Recall {
		t.Errorf("state %v", l.p.Course.State)
	}
}

func TestEndAndReopen(t *testing.T) {
	l := active(t).order("sclin", Order{Op: OrderEnd}).want(chatClin, "order.text")
	l.order("sclin", Order{Op: OrderEnd, Text: "not tolerated"}).want(chatClin, "order.ended").want(0, "told.ended")
	if l.p.Course.State != chart.Ended || l.open(WhyLetter) == nil {
		t.Fatalf("state %v", l.p.Course.State)
	}
	l.say("my tooth hurts", reading.Reading{Rest: true}).want(0, "ended.passed")
	if l.open(WhyAfter) == nil {
		t.Error("words after the end reach nobody")
	}
	l.word(reading.WordData).want(0, "data.here")
	l.order("sclin", Order{Op: OrderReopen}).want(chatClin, "order.reopened").want(0, "told.reopened")
	if l.p.Course.State != chart.Settling || !l.p.Course.InDoubt {
		t.Errorf("state %v, in doubt %v", l.p.Course.State, l.p.Course.InDoubt)
	}
}

func TestTranscribe(t *testing.T) {
	l := active(t)
	l.now = civil.Wall{Date: monday() + 1, Clock: 10 * 60}
	var e chart.Entry
	e.Night = monday()
	e.V[chart.Worn], e.V[chart.Pain], e.V[chart.Snoring] = chart.Num(chart.WornAll), chart.Num(9), chart.Num(4)
	l.order("sasst", Order{Op: OrderTranscribe, Entry: &e}).want(chatAsst, "order.transcribed")
	if !slices.ContainsFunc(l.out, func(x Effect) bool {
		n, ok := x.(Note)
		return ok && n.Entry.Night == monday() && n.Source == chart.Transcribed
	}) {
		t.Errorf("the diary does not say who told it: %+v", l.out)
	}
	got, _ := l.p.Course.Entry(monday())
	if !got.V[chart.Pain].Is(9) || !got.V[chart.Snoring].Is(4) {
		t.Errorf("entry %v", got.V)
	}
	if l.p.Course.State != chart.Stopped {
		t.Errorf("pain 9 by telephone: state %v", l.p.Course.State)
	}
	e.Night = monday() + 5
	l.order("sasst", Order{Op: OrderTranscribe, Entry: &e}).want(chatAsst, "order.night.bad")
	l.order("sasst", Order{Op: OrderTranscribe}).want(chatAsst, "order.night.bad")
	l.order("sasst", Order{Op: OrderTranscribe, Entry: &chart.Entry{Night: monday()}}).want(chatAsst, "order.night.empty")
}

func TestHold(t *testing.T) {
	l := active(t).order("sasst", Order{Op: OrderHold}).want(chatAsst, "order.held").want(0, "told.held")
	if !l.p.Held {
		t.Fatal("not held")
	}
	l.order("sasst", Order{Op: OrderHold}).want(chatAsst, "order.already")
	l.order("sasst", Order{Op: OrderResume}).want(chatAsst, "order.unheld").want(0, "told.unheld")
	if l.p.Held {
		t.Error("still held")
	}
}

func TestMilestones(t *testing.T) {
	l := active(t)
	seen := map[uint8]civil.Date{}
	for range 9 {
		at, ok := l.timer("mile")
		if !ok || !at.Office {
			t.Fatalf("no next milestone after %v", seen)
		}
		seen[l.p.ReviewKind] = l.p.Review
		l.now = at.At
		l.on(Due{Name: "mile"})
	}
	// First night, 7, 30 and 90 days; 6 and 12 months and each year, by the
	// calendar (2 November 2026).
	for kind, want := range map[uint8]civil.Date{mileFirst: monday() + 1, mileWeek: monday() + 7, mileMonth: monday() + 30,
		mileQuarter: monday() + 90,
		mileHalf:    civil.DateOf(2027, 5, 2), mileYear: civil.DateOf(2027, 11, 2), mileYear + 1: civil.DateOf(2028, 11, 2)} {
		if seen[kind] != want {
			t.Errorf("milestone %d on %v, want %v", kind, seen[kind], want)
		}
	}
}

func TestPlanEnd(t *testing.T) {
	l := active(t)
	l.now = civil.Wall{Date: l.p.Plan.Ends + 1, Clock: civil.Noon}
	l.on(Due{Name: "planend"}).want(0, "planend.told")
	if l.open(WhyPlanEnd) == nil {
		t.Error("the desk was not told")
	}
	l.word(reading.WordToday).want(0, "tonight.ended")
	plan := l.p.Plan
	plan.Ends += 30
	l.order("sclin", Order{Op: OrderPlan, Plan: &plan, Base: 1}).want(chatClin, "order.plan.done")
	if l.open(WhyPlanEnd) != nil {
		t.Error("a new plan leaves it open")
	}
}

// A grant is what the reviews of a limit, and of steps that do not help, wait for.
func TestAGrantEndsTheReviews(t *testing.T) {
	l := active(t)
	for i, reason := range []string{"P16", "P17", "P09"} {
		l.p.Escalations = append(l.p.Escalations, Escalation{N: int32(i + 70), Reason: reason, Class: redflag.ClassN})
	}
	l.order("sclin", Order{Op: OrderGrant, To: 2, Has: true, Text: "looked at"}).want(chatClin, "order.granted")
	for reason, open := range map[string]bool{"P16": false, "P17": false, "P09": true} {
		if (l.open(reason) != nil) != open {
			t.Errorf("%s: open %v", reason, !open)
		}
	}
}
