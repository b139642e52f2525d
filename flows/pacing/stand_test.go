package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
)

// The position changes only when the patient confirms a move.
func TestPositionMovesByConfirmationOnly(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.next(chart.Forward, 1, 18)
	if k.c.Left != 0 || k.c.Low != 0 || k.c.High != 1 {
		t.Errorf("%d in %d..%d", k.c.Left, k.c.Low, k.c.High)
	}
	k.confirm(1)
	if k.c.Left != 1 || k.c.Low != 1 || k.c.High != 1 || k.c.Arrived != k.d {
		t.Errorf("%d in %d..%d", k.c.Left, k.c.Low, k.c.High)
	}
}

// "It is still at 0", the morning after: the step is offered again.
func TestStillThere(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.next(chart.Forward, 1, 18)
	k.tell(fine())
	k.c.Confirm(k.f, k.d-1, 0, 0)
	k.next(chart.Forward, 1, 18)
}

// Last night's setting told only after tonight's advice.
func TestConfirmedLate(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.next(chart.Forward, 1, 18)
	k.tell(fine())
	k.next(chart.Stay, 0, 5)
	k.c.Confirm(k.f, k.d-1, 1, 1)
	if k.c.Left != 1 || k.c.InDoubt || k.c.Eve.Left != 1 {
		t.Errorf("%+v", k.c.Eve)
	}
	if a := k.evening(); a.To != 0 || a.Number != 5 {
		t.Errorf("a late confirmation changed tonight's advice: %+v", a)
	}
	k.tell(fine())
	if k.evening(); k.a.Fired.Has(6) {
		t.Errorf("%+v", k.a)
	}
	// Something older than what is known changes the diary alone.
	k.confirm(1)
	k.c.Confirm(k.f, k.d-2, 0, 0)
	if e, _ := k.c.Entry(k.d - 2); k.c.Left != 1 || !e.V[chart.SettingLeft].Is(0) {
		t.Errorf("%d", k.c.Left)
	}
	k.c.Confirm(k.f, k.d-100, 0, 0)
	if k.c.Left != 1 {
		t.Error("a night long gone moved it")
	}
}

// A typed setting counts as a confirmation, and can be taken back.
func TestTypedSetting(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.next(chart.Forward, 1, 18)
	k.c.Answer(k.f, k.d, chart.SettingLeft, chart.Num(1), chart.FromPatient)
	if k.c.Left != 1 || k.c.SetOn != k.d {
		t.Errorf("%d", k.c.Left)
	}
	k.c.Answer(k.f, k.d, chart.SettingLeft, chart.Unknown, chart.FromUndo)
	if k.c.Left != 0 || k.c.Low != 0 || k.c.High != 1 || k.c.SetOn == k.d {
		t.Errorf("%d in %d..%d", k.c.Left, k.c.Low, k.c.High)
	}
	k.tell(fine())
	k.next(chart.Stay, 0, 5)

	k = trial(t, func(_ *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.TwoSided, a.Offset = true, 1 })
	k.nights(3, fine())
	k.next(chart.Forward, 1, 18)
	k.c.Answer(k.f, k.d, chart.SettingLeft, chart.Num(1), chart.FromPatient)
	if k.c.SetOn == k.d {
		t.Error("one side of two was enough")
	}
	k.c.Answer(k.f, k.d, chart.SettingRight, chart.Num(2), chart.FromPatient)
	if k.c.Left != 1 || k.c.Right != 2 || k.c.SetOn != k.d {
		t.Errorf("%d, %d", k.c.Left, k.c.Right)
	}
	k.d++
	k.c.Confirm(k.f, k.d, 1, 2) // before the evening's advice
	k.c.Answer(k.f, k.d, chart.SettingRight, chart.Skipped, chart.FromUndo)
	if !k.c.InDoubt {
		t.Error("taken back before any advice: the count is in doubt")
	}
}

// Said on two evenings running: so it stands, and counts as moved; said twice on
// one evening it does not.
func TestSaidTwice(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.next(chart.Forward, 1, 18)
	k.confirm(3)
	if !k.c.InDoubt || k.c.High != 3 {
		t.Error("not in doubt")
	}
	k.confirm(3)
	if !k.c.InDoubt || k.c.Left != 0 || k.c.Low != 0 {
		t.Error("said twice on one evening it stands")
	}
	k.tell(fine())
	k.next(chart.GoBack, 1, 6)
	k.confirm(3)
	if k.c.InDoubt || k.c.Low != 3 || k.c.Left != 3 || k.c.Arrived != k.d {
		t.Error("still in doubt")
	}
}

// Answers and nights out of range change nothing.
func TestAnswersOutOfRange(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	before := k.c.twin()
	for f, ns := range map[chart.Field][]int{
		chart.Worn: {-1, 3}, chart.WornMinutes: {-1, 1441}, chart.BiteMinutes: {1441}, chart.GuideMinutes: {1441}, chart.NotWorn: {0, 12}, chart.Snoring: {-1, 11}, chart.Pain: {11}, chart.Sleepiness: {11},
		chart.Reporter: {0, 5}, chart.Gone: {0, 5}, chart.Bite: {0, 5}, chart.Where: {0, 6}, chart.Woken: {2}, chart.Guide: {2}, chart.Nose: {2}, chart.Pauses: {2}, chart.Headache: {2}, chart.Wrong: {2}, chart.Driving: {4},
		chart.SettingLeft: {-100, 1000}, chart.SettingRight: {-100}, chart.NoField: {1}, chart.NumFields: {1}, 255: {1},
	} {
		for _, n := range ns {
			k.c.Answer(k.f, k.d-1, f, chart.Num(n), chart.FromPatient)
		}
	}
	k.c.Answer(k.f, k.d-60, chart.Pain, chart.Num(9), chart.FromPatient)
	if k.c.Nights != before.Nights || len(k.c.Flags) > 0 {
		t.Error("something was taken")
	}
	if _, ok := k.c.Entry(k.d - 60); ok {
		t.Error("a night that is not remembered")
	}
	if _, ok := new(Course).Entry(k.d); ok {
		t.Error("a night of nobody")
	}
}

// An answer after the advice is marked as late; only a more cautious advice
// replaces the one in force, with the next number.
func TestLateAnswers(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	first := k.evening()
	k.want(chart.Forward, 1, 18)
	k.confirm(1)
	k.c.Answer(k.f, k.d-1, chart.Guide, chart.Num(chart.No), chart.FromPatient)
	if e, _ := k.c.Entry(k.d - 1); e.Late != 1<<chart.Guide {
		t.Errorf("late %b", e.Late)
	}
	k.next(chart.GoBack, 0, 12) // the step was told, and may have been made
	if k.a.Number != first.Number+1 || k.a.From != 1 || k.c.Advised != 0 {
		t.Errorf("%+v", k.a)
	}
	k.c.Answer(k.f, k.d-1, chart.Guide, chart.Num(chart.Yes), chart.FromUndo)
	if b := k.evening(); b != k.a || b.Action != chart.GoBack || b.Number != first.Number+1 {
		t.Errorf("an undo made it more forward: %+v", b)
	}
	k.c.Answer(k.f, k.d-1, chart.Pain, chart.Num(9), chart.FromPatient)
	k.next(chart.LeaveOut, 0, 4)
	// An evening that is over is not advised again.
	k.tell(fine())
	k.evening()
	k.d--
	if a := k.evening(); a.Night != k.d+1 {
		t.Errorf("%+v", a)
	}
}

// A sore morning told only later still leads back.
func TestSoreToldLate(t *testing.T) {
	k := trial(t)
	k.forward(3)
	k.nights(1, fine())
	k.night(fine())
	k.c.Answer(k.f, k.d-2, chart.Pain, chart.Num(6), chart.FromPatient)
	k.c.Answer(k.f, k.d-2, chart.Gone, chart.Num(chart.GoneMorning), chart.FromPatient)
	if k.evening(); !k.a.Fired.Has(7) || k.a.Action != chart.GoBack {
		t.Errorf("%+v", k.a)
	}
	k.confirm(k.a.To)
	k.tell(fine())
	if k.evening(); k.a.Fired.Has(7) {
		t.Errorf("counted twice: %+v", k.a)
	}
}

// What leaves the window of nights is folded, and counts on.
func TestLongCourse(t *testing.T) {
	k := trial(t, func(p *chart.Plan, a *chart.Appliance, _ *chart.Baseline) {
		p.Limits.Interval, p.Limits.Settle, p.Limits.Ceiling = 14, 14, 20
		a.Step = 1000
	})
	k.nights(10, fine())
	for range 20 { // every other night
		k.night(told{chart.Worn: chart.WornNo})
		k.night(fine())
	}
	if k.c.Began != day0 || k.c.N != 28 {
		t.Errorf("%v, %d", k.c.Began, k.c.N)
	}
	if k.c.Left == 0 {
		t.Errorf("settle nights were forgotten: %+v", k.a)
	}
	at, _, ok := k.c.lastGood(&k.f)
	if !ok || at != k.c.Left {
		t.Errorf("last good %d, %v", at, ok)
	}
	k.d += 400 // a year of silence
	if k.evening(); k.a.Action != chart.Stay || !k.a.Fired.Has(11) || k.c.N != 28 {
		t.Errorf("%+v", k.a)
	}
	if _, on, ok := k.c.lastGood(&k.f); !ok || on > k.d-400 {
		t.Error("the last comfortable night was forgotten")
	}
	if old := k.c.Preview(k.f, k.d-300); old != k.c.Advice {
		t.Errorf("%+v", old)
	}
}

// The guard knows nothing of the rules, and refuses what breaks a limit.
func TestGuard(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.nights(2, fine())
	k.c.Reach(&k.f, k.d)
	v := k.c.assess(k.f, k.d)
	good := chart.Advice{Night: k.d, Action: chart.Forward, From: 2, To: 3, Plan: 1}
	if !v.guard(&good) {
		t.Fatal("refused a step that is due")
	}
	for name, change := range map[string]func(*chart.Advice, *assessment){
		"two steps":          func(a *chart.Advice, _ *assessment) { a.To = 4 },
		"no step":            func(a *chart.Advice, _ *assessment) { a.To = 2 },
		"above the ceiling":  func(_ *chart.Advice, v *assessment) { v.top = 2 },
		"below 0":            func(a *chart.Advice, _ *assessment) { a.Action, a.To = chart.GoBack, -1 },
		"back to further on": func(a *chart.Advice, _ *assessment) { a.Action, a.To = chart.GoBack, 2 },
		"back above the top": func(a *chart.Advice, v *assessment) { a.Action, a.From, v.top = chart.GoBack, 9, 2 },
		"another night":      func(a *chart.Advice, _ *assessment) { a.Night++ },
		"another revision":   func(a *chart.Advice, _ *assessment) { a.Plan = 2 },
		"not known where":    func(_ *chart.Advice, v *assessment) { v.s.High = 3 },
		"nothing":            func(a *chart.Advice, _ *assessment) { a.Action = chart.NoAction },
		"pace": func(_ *chart.Advice, v *assessment) {
			a := *v.f.Appliance
			a.Step = 600
			v.f = Facts{Plan: v.f.Plan, Appliance: &a, Baseline: v.f.Baseline}
		},
		"no plan": func(a *chart.Advice, v *assessment) {
			p := *v.f.Plan
			p.Rev, a.Plan = 0, 0
			v.f = Facts{Plan: &p, Appliance: v.f.Appliance, Baseline: v.f.Baseline}
		},
	} {
		a, w := good, v
		change(&a, &w)
		if w.guard(&a) {
			t.Errorf("%s: %+v passed", name, a)
		}
	}
}

// A breach changes nothing, goes to the desk and is counted.
func TestBreach(t *testing.T) {
	k := trial(t)
	k.forward(1)
	k.nights(2, fine())
	k.c.Freed = 0
	k.c.Arrived = 0
	k.c.Eve.Low, k.c.Eve.High = 0, 0
	k.c.Low, k.c.High = 0, 0 // not known to be at 1: no rule looks at it, the guard does
	k.evening()
	if !k.a.Breach || k.a.Action != chart.Stay || k.a.To != 1 || k.c.Breaches != 1 || k.a.Reason != "reason.breach" {
		t.Fatalf("%+v", k.a)
	}
	k.desk("guard")
}

// The night that staff mean: in the morning the coming one, in the small hours
// the one that still goes on.
func TestComing(t *testing.T) {
	for clock, want := range map[civil.Clock]civil.Date{2 * 60: day0 - 1, 10 * 60: day0, 13 * 60: day0, 23 * 60: day0} {
		if got := (chart.Plan{}).Coming(civil.Wall{Date: day0, Clock: clock}); got != want {
			t.Errorf("%v: %v, want %v", clock, got, want)
		}
	}
	if got := (chart.Plan{Boundary: 18 * 60}).Coming(civil.Wall{Date: day0, Clock: 17 * 60}); got != day0 {
		t.Errorf("a night worker: %v", got)
	}
}

// Staff acts outside their limits are refused and change nothing.
func TestActsRefused(t *testing.T) {
	k := trial(t)
	k.forward(2)
	for name, x := range map[string][2]Refusal{
		"visit above":         {k.c.Visit(k.f, k.d, 11), RefuseLimits},
		"visit below":         {k.c.Visit(k.f, k.d, -1), RefuseLimits},
		"visit long ago":      {k.c.Visit(k.f, k.d-90, 1), RefuseNone},
		"release nothing":     {k.c.Release(k.f, k.d, "", 0), RefuseNone},
		"release above":       {k.c.Release(k.f, k.d, "", 11), RefuseLimits},
		"release what is not": {k.c.ReleaseHere(k.f, k.d, "chest"), RefuseNone},
		"grant nothing":       {k.c.Grant(k.f, k.d, 0, 0, ""), RefuseLimits},
		"order above":         {k.c.Order(k.f, k.d, 11), RefuseLimits},
		"order to here":       {k.c.Order(k.f, k.d, 2), RefuseBack},
		"resume what runs":    {k.c.Resume(), RefuseNone},
	} {
		if x[0] != x[1] {
			t.Errorf("%s: %q, want %q", name, x[0], x[1])
		}
	}
	if k.c.Left != 2 || k.c.State != chart.Stepping {
		t.Error("something changed")
	}
	k.c.walk(chart.Resting)
	if r := k.c.Order(k.f, k.d, 5); r != RefuseState {
		t.Errorf("ordered on out of a rest: %q", r)
	}
	k.c.walk(chart.Stepping)
	k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, reading.FTooth, "")
	if r := k.c.Step(k.f, k.d); r != RefuseFlag {
		t.Errorf("stepped under a flag: %q", r)
	}
	k.c.Flags = nil
	k.f.Plan.Limits.Ceiling = 2
	if r := k.c.Step(k.f, k.d); r != RefuseLimits {
		t.Errorf("stepped over the ceiling: %q", r)
	}
	var none Course
	for _, r := range []Refusal{none.Testing(1), none.Tested(1, 0), none.Steady(1), none.Recall(1), none.Pause()} {
		if r != RefuseState {
			t.Errorf("before the first night: %q", r)
		}
	}
}

// A release of one flag of two: still stopped, then resting with counts at
// zero and the interval doubled.
func TestReleaseOneOfTwo(t *testing.T) {
	k := trial(t)
	k.forward(3)
	k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, reading.FLocked|reading.FChest, "")
	if k.c.Release(k.f, k.d, "chest", 2) != Done || k.c.State != chart.Stopped {
		t.Error(k.c.State)
	}
	if k.c.ReleaseHere(k.f, k.d, "jaw.locked") != Done || k.c.State != chart.Resting || !k.c.Doubled ||
		k.c.Arrived != k.d {
		t.Errorf("%v", k.c.State)
	}
	for _, s := range []chart.State{chart.Holding, chart.Testing, chart.Steady, chart.Recall} { // others keep their state
		k := trial(t)
		k.c.walk(s)
		k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, reading.FLocked, "")
		if k.c.State != chart.Stopped || k.c.ReleaseHere(k.f, k.d, "") != Done || k.c.State != s {
			t.Errorf("%v became %v", s, k.c.State)
		}
	}
}

// A visit starts counts anew, a settling one too, and voids tonight's advice.
func TestVisitRestartsCounts(t *testing.T) {
	k := trial(t, func(_ *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.TwoSided, a.Offset = true, 1 })
	k.nights(2, fine())
	k.evening()
	if k.c.Visit(k.f, k.d, 3) != Done || k.c.Right != 4 || k.c.Advice.Action != chart.NoAction {
		t.Errorf("%+v", k.c.Advice)
	}
	k.next(chart.Stay, 3, 10)
	k.confirm(3)
	k.tell(fine())
	k.nights(2, fine())
	if k.c.State != chart.Settling {
		t.Errorf("settle nights before the visit counted: %v", k.c.State)
	}
	k.forward(4)
	k.night(fine(told{chart.Pain: 6, chart.Gone: chart.GoneMorning}))
	k.next(chart.GoBack, 3, 7)
	k.c.Visit(k.f, k.d, 2)
	if k.c.State != chart.Resting || k.c.RestFrom != k.d {
		t.Errorf("%v", k.c.State)
	}
}
