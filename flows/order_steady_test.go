package flows

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// tested is a patient whose newest test counts; change makes it doubtful.
func tested(t *testing.T, change func(*life, *chart.SleepTest)) *life {
	l := active(t)
	x := chart.SleepTest{On: monday() + 8, Kind: "polysomnography", Rule: "3 % or arousal", AHI10: chart.Num(48), By: "Dr F",
		InPlace: true, Setting: l.p.Course.Left}
	l.p.Plan.Goal10 = chart.Num(50)
	l.now = civil.Wall{Date: monday() + 9, Clock: 10 * 60}
	change(l, &x)
	return l.order("sclin", Order{Op: OrderTest, Test: &x})
}

// Steady is done at once where the test was here, after the last move and within the plan's goal, which is reached at 5
// an hour and passed at 5.1; else the clinician is told what speaks against it, and it takes a yes to that.
func TestSteadyAsksWhereTheTestLeavesADoubt(t *testing.T) {
	for doubt, change := range map[string]func(*life, *chart.SleepTest){
		"":                    func(*life, *chart.SleepTest) {},
		"order.doubt.setting": func(l *life, x *chart.SleepTest) { x.Setting++ },
		"order.doubt.moved":   func(l *life, x *chart.SleepTest) { l.p.Course.Arrived = x.On },
		"order.doubt.goal":    func(l *life, x *chart.SleepTest) { x.AHI10 = chart.Num(51) },
		"order.doubt.noahi": func(l *life, x *chart.SleepTest) {
			x.AHI10, x.ODI10, x.ODIDrop = chart.Unknown, chart.Num(30), 3
		},
	} {
		l := tested(t, change)
		brief := BriefOf(&l.p, "steady")
		if x, _ := l.p.proof(); brief.Proof == nil || *brief.Proof != x {
			t.Errorf("%s: the form shows the test %+v", doubt, brief.Proof)
		}
		l.order("sclin", Order{Op: OrderSteady})
		if doubt == "" {
			if len(brief.Doubts) != 0 || l.p.Course.State != chart.Steady {
				t.Errorf("a test that fits: %v, doubts %v", l.p.Course.State, brief.Doubts)
			}
			continue
		}
		if len(brief.Doubts) != 1 || brief.Doubts[0].Key != doubt {
			t.Errorf("%s: the form shows %v", doubt, brief.Doubts)
		}
		l.want(chatClin, "order.steady.sure").want(chatClin, doubt).wantNot(0, "told.steady")
		if l.p.Course.State == chart.Steady {
			t.Errorf("%s: steady without a yes", doubt)
		}
		l.order("sclin", Order{Op: OrderSteady, Sure: true}).want(chatClin, "order.steady")
		if l.p.Course.State != chart.Steady || !l.logged("steady.sure") {
			t.Errorf("%s: a yes did not do it", doubt)
		}
	}
}

// From holding on the plan's last night ends nothing that is asked: the desk is told, and the patient is asked on.
func TestThePlansEndEndsSteppingAlone(t *testing.T) {
	for state := chart.Settling; state <= chart.Recall; state++ {
		l := active(t)
		l.p.Course.State = state
		l.p.Talk.Weekly, l.p.Talk.WeeklyA = monday(), monday()
		l.now = civil.Wall{Date: l.p.Plan.Ends + 1, Clock: 12 * 60}
		l.on(Due{Name: "planend"})
		if l.open(WhyPlanEnd) == nil {
			t.Errorf("%s: nobody is told", state)
		}
		stopped := false
		for _, x := range l.out {
			c, ok := x.(ClearTimer)
			stopped = stopped || ok && c.Name == "evening"
		}
		if stopped != (state < chart.Holding) {
			t.Errorf("%s: check-ins stopped: %v", state, stopped)
		}
		if state < chart.Holding {
			l.want(0, "planend.told")
			continue
		}
		l.wantNot(0, "planend.told")
		l.now = civil.Wall{Date: l.p.Plan.Ends + 8, Clock: 21 * 60}
		l.on(Due{Name: "evening", Scheduled: l.now}).want(0, "prompt.evening")
		if a := l.p.Course.Advice; a.Action == chart.Forward {
			t.Errorf("%s: %+v", state, a)
		}
	}
}

// The goal is the plan's own, and a blank: an index of 20 is within one of 20, above one of
// 10, and with none there is nothing to ask.
func TestTheGoalIsThePlansOwn(t *testing.T) {
	for goal, asks := range map[chart.Answer]bool{chart.Num(200): false, chart.Num(100): true, chart.Unknown: false} {
		l := tested(t, func(l *life, x *chart.SleepTest) { l.p.Plan.Goal10, x.AHI10 = goal, chart.Num(200) })
		l.order("sclin", Order{Op: OrderSteady})
		if (l.p.Course.State == chart.Steady) == asks {
			t.Errorf("a goal of %d, an index of 200: %v", goal, l.p.Course.State)
		}
	}
}
