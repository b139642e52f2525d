package flows

import "testing"

// The position changes only when the patient confirms a move.
func TestPositionMovesByConfirmationOnly(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.next(Forward, 1, 18)
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
	k.next(Forward, 1, 18)
	k.tell(fine())
	k.c.Confirm(k.f, k.d-1, 0, 0)
	k.next(Forward, 1, 18)
}

// Last night's setting told only after tonight's advice.
func TestConfirmedLate(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.next(Forward, 1, 18)
	k.tell(fine())
	k.next(Stay, 0, 5)
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
	if e, _ := k.c.Entry(k.d - 2); k.c.Left != 1 || !e.V[SettingLeft].Is(0) {
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
	k.next(Forward, 1, 18)
	k.c.Answer(k.f, k.d, SettingLeft, Num(1), FromPatient)
	if k.c.Left != 1 || k.c.SetOn != k.d {
		t.Errorf("%d", k.c.Left)
	}
	k.c.Answer(k.f, k.d, SettingLeft, Unknown, FromUndo)
	if k.c.Left != 0 || k.c.Low != 0 || k.c.High != 1 || k.c.SetOn == k.d {
		t.Errorf("%d in %d..%d", k.c.Left, k.c.Low, k.c.High)
	}
	k.tell(fine())
	k.next(Stay, 0, 5)

	k = trial(t, func(_ *Plan, a *Appliance, _ *Baseline) { a.TwoSided, a.Offset = true, 1 })
	k.nights(3, fine())
	k.next(Forward, 1, 18)
	k.c.Answer(k.f, k.d, SettingLeft, Num(1), FromPatient)
	if k.c.SetOn == k.d {
		t.Error("one side of two was enough")
	}
	k.c.Answer(k.f, k.d, SettingRight, Num(2), FromPatient)
	if k.c.Left != 1 || k.c.Right != 2 || k.c.SetOn != k.d {
		t.Errorf("%d, %d", k.c.Left, k.c.Right)
	}
	k.d++
	k.c.Confirm(k.f, k.d, 1, 2) // before the evening's advice
	k.c.Answer(k.f, k.d, SettingRight, Skipped, FromUndo)
	if !k.c.InDoubt {
		t.Error("taken back before any advice: the count is in doubt")
	}
}

// Said twice the same evening: so it stands, and counts as moved.
func TestSaidTwice(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.next(Forward, 1, 18)
	k.confirm(3)
	if !k.c.InDoubt || k.c.High != 3 {
		t.Error("not in doubt")
	}
	k.confirm(3)
	if k.c.InDoubt || k.c.Low != 3 {
		t.Error("still in doubt")
	}
}

// Answers and nights out of range change nothing.
func TestAnswersOutOfRange(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	before := k.c.twin()
	for f, ns := range map[Field][]int{
		Worn: {-1, 3}, WornMinutes: {-1, 1441}, BiteMinutes: {1441}, GuideMinutes: {1441}, NotWorn: {0, 11}, Snoring: {-1, 11}, Pain: {11}, Sleepiness: {11},
		Reporter: {0, 5}, Gone: {0, 5}, Bite: {0, 5}, Where: {0, 6}, Woken: {2}, Guide: {2}, Nose: {2}, Pauses: {2}, Headache: {2}, Wrong: {2}, Driving: {4},
		SettingLeft: {-100, 1000}, SettingRight: {-100}, NoField: {1}, NumFields: {1}, 255: {1},
	} {
		for _, n := range ns {
			k.c.Answer(k.f, k.d-1, f, Num(n), FromPatient)
		}
	}
	k.c.Answer(k.f, k.d-60, Pain, Num(9), FromPatient)
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
	k.want(Forward, 1, 18)
	k.confirm(1)
	k.c.Answer(k.f, k.d-1, Guide, Num(No), FromPatient)
	if e, _ := k.c.Entry(k.d - 1); e.Late != 1<<Guide {
		t.Errorf("late %b", e.Late)
	}
	k.next(GoBack, 0, 12) // the step was told, and may have been made
	if k.a.Number != first.Number+1 || k.a.From != 1 || k.c.Advised != 0 {
		t.Errorf("%+v", k.a)
	}
	k.c.Answer(k.f, k.d-1, Guide, Num(Yes), FromUndo)
	if b := k.evening(); b != k.a || b.Action != GoBack || b.Number != first.Number+1 {
		t.Errorf("an undo made it more forward: %+v", b)
	}
	k.c.Answer(k.f, k.d-1, Pain, Num(9), FromPatient)
	k.next(LeaveOut, 0, 4)
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
	k.c.Answer(k.f, k.d-2, Pain, Num(6), FromPatient)
	k.c.Answer(k.f, k.d-2, Gone, Num(GoneMorning), FromPatient)
	if k.evening(); !k.a.Fired.Has(7) || k.a.Action != GoBack {
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
	k := trial(t, func(p *Plan, a *Appliance, _ *Baseline) {
		p.Limits.Interval, p.Limits.Settle, p.Limits.Ceiling = 14, 14, 20
		a.Step = 1000
	})
	k.nights(10, fine())
	for range 20 { // every other night
		k.night(told{Worn: WornNo})
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
	if k.evening(); k.a.Action != Stay || !k.a.Fired.Has(11) || k.c.N != 28 {
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
	k.c.reach(&k.f, k.d)
	v := k.c.look(&k.f, k.d)
	good := Advice{Night: k.d, Action: Forward, From: 2, To: 3, Plan: 1}
	if !v.guard(&good) {
		t.Fatal("refused a step that is due")
	}
	for name, change := range map[string]func(*Advice, *view){
		"two steps":          func(a *Advice, _ *view) { a.To = 4 },
		"no step":            func(a *Advice, _ *view) { a.To = 2 },
		"above the ceiling":  func(_ *Advice, v *view) { v.top = 2 },
		"below 0":            func(a *Advice, _ *view) { a.Action, a.To = GoBack, -1 },
		"back to further on": func(a *Advice, _ *view) { a.Action, a.To = GoBack, 2 },
		"back above the top": func(a *Advice, v *view) { a.Action, a.From, v.top = GoBack, 9, 2 },
		"another night":      func(a *Advice, _ *view) { a.Night++ },
		"another revision":   func(a *Advice, _ *view) { a.Plan = 2 },
		"not known where":    func(_ *Advice, v *view) { v.s.High = 3 },
		"nothing":            func(a *Advice, _ *view) { a.Action = NoAction },
		"pace": func(_ *Advice, v *view) {
			a := *v.f.Appliance
			a.Step = 600
			v.f = &Facts{Plan: v.f.Plan, Appliance: &a, Baseline: v.f.Baseline}
		},
		"no plan": func(a *Advice, v *view) {
			p := *v.f.Plan
			p.Rev, a.Plan = 0, 0
			v.f = &Facts{Plan: &p, Appliance: v.f.Appliance, Baseline: v.f.Baseline}
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
	k.c.Eve.Low = 0
	k.c.Low = 0 // not known to be at 1: no rule looks at it, the guard does
	k.evening()
	if !k.a.Breach || k.a.Action != Stay || k.a.To != 1 || k.c.Breaches != 1 || k.a.Reason != "reason.breach" {
		t.Fatalf("%+v", k.a)
	}
	k.desk("guard")
}

// The night that staff mean: in the morning the coming one, in the small hours
// the one that still goes on.
func TestComing(t *testing.T) {
	for clock, want := range map[Clock]Date{2 * 60: day0 - 1, 10 * 60: day0, 13 * 60: day0, 23 * 60: day0} {
		if got := (Plan{}).Coming(Wall{day0, clock}); got != want {
			t.Errorf("%v: %v, want %v", clock, got, want)
		}
	}
	if got := (Plan{Boundary: 18 * 60}).Coming(Wall{day0, 17 * 60}); got != day0 {
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
		"order back":          {k.c.Order(k.f, k.d, 1), RefuseBack},
		"resume what runs":    {k.c.Resume(), RefuseNone},
	} {
		if x[0] != x[1] {
			t.Errorf("%s: %q, want %q", name, x[0], x[1])
		}
	}
	if k.c.Left != 2 || k.c.State != Stepping {
		t.Error("something changed")
	}
	k.c.walk(Resting)
	if r := k.c.Order(k.f, k.d, 5); r != RefuseState {
		t.Errorf("ordered on out of a rest: %q", r)
	}
	k.c.walk(Stepping)
	k.c.Hear(k.f, Wall{k.d, 1200}, FTooth, "")
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
	k.c.Hear(k.f, Wall{k.d, 1200}, FLocked|FChest, "")
	if k.c.Release(k.f, k.d, "chest", 2) != Done || k.c.State != Stopped {
		t.Error(k.c.State)
	}
	if k.c.ReleaseHere(k.f, k.d, "jaw.locked") != Done || k.c.State != Resting || !k.c.Doubled || k.c.Arrived != k.d {
		t.Errorf("%v", k.c.State)
	}
	for _, s := range []State{Holding, Testing, Steady, Recall} { // others keep their state
		k := trial(t)
		k.c.walk(s)
		k.c.Hear(k.f, Wall{k.d, 1200}, FLocked, "")
		if k.c.State != Stopped || k.c.ReleaseHere(k.f, k.d, "") != Done || k.c.State != s {
			t.Errorf("%v became %v", s, k.c.State)
		}
	}
}

// A visit starts counts anew, a settling one too, and voids tonight's advice.
func TestVisitRestartsCounts(t *testing.T) {
	k := trial(t, func(_ *Plan, a *Appliance, _ *Baseline) { a.TwoSided, a.Offset = true, 1 })
	k.nights(2, fine())
	k.evening()
	if k.c.Visit(k.f, k.d, 3) != Done || k.c.Right != 4 || k.c.Advice.Action != NoAction {
		t.Errorf("%+v", k.c.Advice)
	}
	k.next(Stay, 3, 10)
	k.confirm(3)
	k.tell(fine())
	k.nights(2, fine())
	if k.c.State != Settling {
		t.Errorf("settle nights before the visit counted: %v", k.c.State)
	}
	k.forward(4)
	k.night(fine(told{Pain: 6, Gone: GoneMorning}))
	k.next(GoBack, 3, 7)
	k.c.Visit(k.f, k.d, 2)
	if k.c.State != Resting || k.c.RestFrom != k.d {
		t.Errorf("%v", k.c.State)
	}
}
