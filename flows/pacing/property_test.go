package pacing

import (
	"reflect"
	"slices"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// The promises of the pacing table on random diaries: whatever a patient, or
// staff, say and do.

// Position never leaves the limits for any sequence of events; at most one step
// a night; pace; no advance on an unknown night or under an open flag; every
// stay that repeats reaches a person; advice is a function of stored state.
func TestPropertyLimits(t *testing.T) {
	longest := 0
	each(t, func(t dice) {
		k := anyCourse(t)
		moved := map[civil.Date]chart.Steps{}
		alone, busy := 0, t.IntN(2) == 0
		var stood chart.Steps
		nights := (10 + t.IntN(70-(10)+1))
		for range nights {
			if (busy || t.IntN(30) == 0) && k.staff(t) {
				alone = 0
			}
			open := k.c.Open()
			before := k.c.twin()
			shown := k.c.Preview(k.f, k.d)
			a, rs := k.c.Advise(k.f, k.d)
			k.r = rs
			if shown.Number = a.Number; shown != a {
				t.Fatalf("preview %+v, advice %+v", shown, a)
			}
			top := k.f.top()
			switch {
			case a.Breach || k.c.Breaches > 0:
				t.Fatalf("the guard refused what the table gave: %+v", a)
			case a.Action == chart.NoAction || a.Reason == "" || a.Rule == 0:
				t.Fatalf("no advice: %+v", a)
			case a.To < 0, a.Action != chart.LeaveOut && a.To > top:
				t.Fatalf("outside 0..%d: %+v", top, a)
			case a.Action == chart.GoBack && a.To >= a.From:
				t.Fatalf("back to further on: %+v", a)
			}
			if a.Action == chart.Forward {
				last, ok := before.Entry(k.d - 1)
				worn, _ := last.Worn(240)
				switch {
				case !ok || !worn || !last.V[chart.Pain].Known():
					t.Fatalf("an advance on an unknown night: %+v", last)
				case open:
					t.Fatalf("an advance under an open flag: %v", before.Flags)
				case a.To != before.Left+1 || before.Low != before.High:
					t.Fatalf("%d to %d from %d..%d", before.Left, a.To, before.Low, before.High)
				}
				sum := chart.Steps(1)
				for n := civil.Date(1); n < 7; n++ {
					sum += moved[k.d-n]
				}
				if chart.Micrometres(sum)*k.f.Appliance.Step > chart.TopPace {
					t.Fatalf("%d steps of %d micrometres in 7 nights", sum, k.f.Appliance.Step)
				}
			}
			// Every stay that repeats reaches a person: on the fourteenth evening without a
			// confirmed move, a notice or an act of the desk, whatever the rows were.
			if alone++; len(rs) > 0 || k.c.State > chart.Resting {
				alone = 0
			} else if alone >= 14 {
				t.Fatalf("%d evenings, the last of %s, and nobody knows", alone, a.Rule.ID())
			}
			longest = max(longest, alone)
			if k.c.State < chart.Settling {
				t.Fatalf("state %v", k.c.State)
			}
			left, right := k.c.Left, k.c.Right
			k.reply(t, a)
			if k.c.Left != left || k.c.Right != right {
				alone = 0
			}
			if e, _ := k.c.Entry(k.d); e.V[chart.SettingLeft].Known() { // what was said, visits included
				at := furthest(&e, &k.f)
				moved[k.d] = max(at-stood, 0)
				stood = at
			}
			if k.tell0(anyNight(t)) {
				alone = 0
			}
		}
	})
	if longest != 13 {
		t.Errorf("the longest time alone was %d evenings", longest)
	}
}

// worsen draws an answer of a night that is worse than what it holds.
func worsen(t dice, e chart.Entry) (f chart.Field, v chart.Answer, ok bool) {
	f = []chart.Field{chart.Worn, chart.Pain, chart.Gone, chart.Woken, chart.Guide, chart.BiteMinutes,
		chart.NotWorn}[t.IntN(7)]
	old := e.V[f]
	if (0 + t.IntN(3-(0)+1)) == 0 {
		// Not knowing is worse than what is easy, never better than what is sore.
		easy := f == chart.Worn && old.Is(chart.WornAll) || f == chart.Pain && old.Is(0) || f == chart.Guide &&
			old.Is(chart.Yes) || f == chart.BiteMinutes && old.Known() && old.N() <= 45
		return f, chart.Unknown, easy
	}
	switch f {
	case chart.Worn:
		v = chart.Num(chart.WornNo)
		return f, v, old.Is(chart.WornAll)
	case chart.NotWorn:
		return f, chart.Num(chart.ReasonPain), old == chart.Unknown
	case chart.Woken:
		return f, chart.Num(chart.Yes), !old.Is(chart.Yes)
	case chart.Guide:
		return f, chart.Num(chart.No), old.Is(chart.Yes)
	case chart.Pain:
		v = chart.Num((0 + t.IntN(10-(0)+1)))
	case chart.Gone:
		v = chart.Num((1 + t.IntN(4-(1)+1)))
	case chart.BiteMinutes:
		v = chart.Num(pick(t, 10, 45, 46, 60, 61, 299, 300, chart.BiteNot))
	}
	return f, v, old.Known() && v.N() > old.N()
}

// A worse answer of last night never gives a more forward advice.
func TestPropertyWorseIsNeverForward(t *testing.T) {
	compared := 0
	each(t, func(t dice) {
		k := anyCourse(t)
		k.run(t)
		e, ok := k.c.Entry(k.d - 1)
		if !ok {
			return
		}
		f, v, ok := worsen(t, e)
		if !ok {
			return
		}
		worse := k.c.twin()
		worse.Answer(k.f, k.d-1, f, v, chart.FromPatient)
		a, _ := k.c.Advise(k.f, k.d)
		b, _ := worse.Advise(k.f, k.d)
		compared++
		if moreForward(b, a) {
			t.Fatalf("field %d from %d to %d: %v to %d by %s became %v to %d by %s (fired %b, %b)", f, e.V[f], v, a.Action, a.To,
				a.Rule.ID(), b.Action, b.To, b.Rule.ID(), a.Fired, b.Fired)
		}
	})
	if compared == 0 {
		t.Error("nothing was compared")
	}
}

// An answer changed or withdrawn after the advice never makes that evening's
// advice more forward and lifts no state, flag, go-back or rest.
func TestPropertyUndoIsNeverForward(t *testing.T) {
	each(t, func(t dice) {
		k := anyCourse(t)
		k.run(t)
		a := k.evening0()
		k.reply(t, a)
		for range 1 + t.IntN(4-(1)+1) {
			before := k.c.twin()
			night := k.d - civil.Date((0 + t.IntN(5-(0)+1)))
			f := chart.Field((1 + t.IntN(int(chart.NumFields)-1)))
			v := chart.Answer((0 + t.IntN(12-(0)+1)))
			k.c.Answer(k.f, night, f, v, chart.FromUndo)
			b := k.evening0()
			if moreForward(b, a) {
				t.Fatalf("%+v became %+v", a, b)
			}
			if b != a && b.Number != a.Number+1 {
				t.Fatalf("number %d after %d", b.Number, a.Number)
			}
			if b == before.Advice && k.c.OnPath() != before.OnPath() {
				t.Fatalf("an undo took the state from %v to %v", before.OnPath(), k.c.OnPath())
			}
			if before.OnPath() == chart.Resting && k.c.OnPath() != chart.Resting && k.c.OnPath() != chart.Holding {
				t.Fatalf("an undo ended a rest: %v", k.c.OnPath())
			}
			for _, x := range before.Flags {
				if !slices.ContainsFunc(k.c.Flags, func(y redflag.Flag) bool { return y.ID == x.ID && !x.Class.Worse(y.Class) }) &&
					len(k.c.Flags) < mostFlags {
					t.Fatalf("an undo lifted %s", x.ID)
				}
			}
			if k.c.Advised > max(before.Advised, a.To) {
				t.Fatalf("advised %d after %d", k.c.Advised, before.Advised)
			}
			a = b
		}
	})
}

// reports are the answers whose loss the table may read as more room: the reports of
// P13, P14 and P17, and what is asked once a week.
var reports = map[chart.Field]bool{chart.Snoring: true, chart.Reporter: true, chart.Unusual: true, chart.Worn: true,
	chart.WornMinutes: true, chart.Sleepiness: true, chart.Driving: true, chart.Pauses: true, chart.Headache: true,
	chart.HeadacheDays: true, chart.New: true}

// An answer taken back before an advice rested on it leaves the course that it would be
// had it never been given, to the last byte, but for the flag that it raised: that stays.
func TestPropertyUndoneIsNeverSaid(t *testing.T) {
	same := 0
	each(t, func(t dice) {
		k := anyCourse(t)
		k.run(t)
		k.reply(t, k.evening0())
		f := chart.Field(1 + t.IntN(int(chart.NumFields)-1))
		if f.Row().Kind == chart.Setting { // where it stands by the patient's word goes on standing there, perhaps
			return
		}
		never := &bench{c: k.c.twin(), d: k.d, f: k.f}
		old := k.c.Nights[k.c.index(k.d)].V[f]
		r := f.Row()
		if len(k.c.Answer(k.f, k.d, f, chart.Num(r.Least+t.IntN(r.Most-r.Least+1)), chart.FromPatient)) > 0 {
			return
		}
		if len(k.c.Answer(k.f, k.d, f, old, chart.FromUndo)) > 0 {
			return
		}
		for range 2 {
			if !reflect.DeepEqual(k.c, never.c) {
				t.Fatalf("%s said and taken back:\n%+v\nnever said:\n%+v", f.Row().Name, k.c, never.c)
			}
			m := anyNight(t)
			k.tell0(m)
			never.tell0(m)
			to := k.evening0().To
			never.evening0()
			k.confirm(to)
			never.confirm(to)
			same++
		}
	})
	if same < 500 {
		t.Errorf("%d evenings were compared", same)
	}
}

// An answer taken back after an advice rested on it: on the first evening on which the
// two courses part, the one without it is not the further forward. Reports, and whether
// a night was worn, are apart, as the table has it.
func TestPropertyUndoneIsNotAhead(t *testing.T) {
	parted := 0
	each(t, func(t dice) {
		k := anyCourse(t)
		k.run(t)
		k.reply(t, k.evening0())
		night := k.d - civil.Date(1+t.IntN(3))
		e, ok := k.c.Entry(night)
		f := chart.Field(1 + t.IntN(int(chart.NumFields)-1))
		if !ok || !e.V[f].Known() || reports[f] || f.Row().Kind == chart.Setting {
			return
		}
		stands := &bench{c: k.c.twin(), d: k.d, f: k.f}
		k.c.Answer(k.f, night, f, chart.Unknown, chart.FromUndo)
		if a, b := stands.evening0(), k.evening0(); moreForward(b, a) {
			t.Fatalf("the same evening: %+v, and without %s %+v", a, f.Row().Name, b)
		}
		for range 20 {
			m := anyNight(t)
			k.tell0(m)
			stands.tell0(m)
			a, b := stands.evening0(), k.evening0()
			if a.Action != b.Action || a.To != b.To {
				if parted++; moreForward(b, a) {
					t.Fatalf("%s of night %d: with it %+v (%v), without %+v (%v)", f.Row().Name, night, a, stands.c.State, b, k.c.State)
				}
				return
			}
			if a.Action != chart.LeaveOut {
				k.confirm(a.To)
				stands.confirm(a.To)
			}
		}
	})
	if parted == 0 {
		t.Error("no course parted")
	}
}

// Whatever is thrown at it, a course stays whole: no panic, bounded, and the
// guard refuses nothing.
func TestPropertyAnything(t *testing.T) {
	each(t, func(t dice) {
		k := anyCourse(t)
		for range 1 + t.IntN(80-(1)+1) {
			night := k.d + civil.Date((-40 + t.IntN(40-(-40)+1)))
			n := chart.Steps(t.Uint32())
			switch 0 + t.IntN(9-(0)+1) {
			case 0, 1, 2:
				k.c.Answer(k.f, night, chart.Field(t.Uint32()), chart.Answer(t.Uint32()), chart.Source(n))
			case 3:
				k.c.Confirm(k.f, night, n, chart.Steps(t.Uint32()))
			case 4:
				k.c.Advise(k.f, night)
			case 5:
				k.c.Preview(k.f, night)
			case 6:
				k.c.Hear(k.f, civil.Wall{Date: night, Clock: civil.Clock(n)}, reading.Features(t.Uint64()),
					string(rune(t.Uint32())))
			case 7:
				k.staff(t)
			case 8:
				k.f = []Facts{k.f, {}, {Plan: k.f.Plan}, {Appliance: k.f.Appliance, Doubt: true}}[t.IntN(4)]
			case 9:
				k.d += civil.Date((0 + t.IntN(3-(0)+1)))
				_ = []Refusal{k.c.End(), k.c.Reopen(night), k.c.Steady(night), k.c.Recall(night), k.c.Testing(night)}[0]
			}
			if len(k.c.Flags) > mostFlags || int(k.c.N) > len(k.c.Nights) || k.c.Breaches > 0 {
				t.Fatalf("%d flags, %d nights, %d breaches", len(k.c.Flags), k.c.N, k.c.Breaches)
			}
			for i := 1; i < int(k.c.N); i++ {
				if k.c.Nights[i].Night != k.c.Nights[i-1].Night+1 {
					t.Fatalf("nights %v and %v side by side", k.c.Nights[i-1].Night, k.c.Nights[i].Night)
				}
			}
		}
	})
}

// Every state has a way out that a person can name.
func TestEveryStateHasAWayOut(t *testing.T) {
	k := trial(t)
	k.forward(2)
	if k.c.Tested(k.d, 2) != Done || k.c.State != chart.Testing {
		t.Fatal(k.c.State)
	}
	if k.c.Recall(k.d) != RefuseState {
		t.Error("recall before steady")
	}
	if k.c.Steady(k.d) != Done || k.c.State != chart.Steady || k.c.TestAt != 2 || k.c.TestOn != k.d {
		t.Error(k.c.State)
	}
	if k.c.Recall(k.d) != Done || k.c.State != chart.Recall {
		t.Error(k.c.State)
	}
	if k.c.Order(k.f, k.d, 4) != Done || k.c.State != chart.Stepping {
		t.Error(k.c.State)
	}
	if k.c.Pause() != Done || k.c.State != chart.Paused || k.c.Resume() != Done || k.c.State != chart.Stepping {
		t.Error(k.c.State)
	}
	k.c.Pause()
	k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, reading.FLocked, "locked")
	if k.c.State != chart.Stopped {
		t.Error("a flag does not show over a pause")
	}
	if k.c.ReleaseHere(k.f, k.d, "jaw.locked") != Done || k.c.State != chart.Paused || k.c.OnPath() != chart.Resting {
		t.Errorf("%v over %v", k.c.State, k.c.OnPath())
	}
	k.c.Resume()
	if k.c.End() != Done || k.c.State != chart.Ended || k.c.End() != RefuseNone || k.c.Pause() != RefuseState {
		t.Error(k.c.State)
	}
	for _, r := range []Refusal{k.c.Testing(k.d), k.c.Tested(k.d, 1), k.c.Steady(k.d), k.c.Recall(k.d)} {
		if r != RefuseState {
			t.Errorf("done after the end: %q", r)
		}
	}
	if k.c.Reopen(k.d) != Done || k.c.State != chart.Resting {
		t.Error(k.c.State)
	}
	if k.c.Resume() != RefuseNone {
		t.Error("resumed what ran")
	}
	k.c.Pause()
	if k.c.Reopen(k.d) != Done || k.c.State != chart.Resting {
		t.Error(k.c.State)
	}
}

// Steady needs a recorded test: nobody marks a position as proved otherwise.
func TestSteadyNeedsATest(t *testing.T) {
	k := trial(t)
	if k.c.Steady(k.d) != RefuseNone || k.c.State != chart.Settling {
		t.Error(k.c.State)
	}
	if k.c.Testing(k.d) != Done || k.c.Steady(k.d) != RefuseNone {
		t.Error(k.c.State)
	}
}
