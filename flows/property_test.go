package flows

import (
	"slices"
	"testing"
)

// The promises of the pacing table on random diaries: whatever a patient, or
// staff, say and do.

// Position never leaves the limits for any sequence of events; at most one step
// a night; pace; no advance on an unknown night or under an open flag; every
// stay that repeats reaches a person; advice is a function of stored state.
func TestPropertyLimits(t *testing.T) {
	each(t, func(t dice) {
		k := anyCourse(t)
		moved := map[Date]Steps{}
		alone, seen := 0, false
		var stood Steps
		nights := (10 + t.IntN(70-(10)+1))
		for range nights {
			k.staff(t)
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
			case a.Action == NoAction || a.Reason == "" || a.Rule == 0:
				t.Fatalf("no advice: %+v", a)
			case a.To < 0, a.Action != LeaveOut && a.To > top:
				t.Fatalf("outside 0..%d: %+v", top, a)
			case a.Action == GoBack && a.To >= a.From:
				t.Fatalf("back to further on: %+v", a)
			}
			if a.Action == Forward {
				last, ok := before.Entry(k.d - 1)
				worn, _ := last.worn(240)
				switch {
				case !ok || !worn || !last.V[Pain].Known():
					t.Fatalf("an advance on an unknown night: %+v", last)
				case open:
					t.Fatalf("an advance under an open flag: %v", before.Flags)
				case a.To != before.Left+1 || before.Low != before.High:
					t.Fatalf("%d to %d from %d..%d", before.Left, a.To, before.Low, before.High)
				}
				sum := Steps(1)
				for n := Date(1); n < 7; n++ {
					sum += moved[k.d-n]
				}
				if Micrometres(sum)*k.f.Appliance.Step > TopPace {
					t.Fatalf("%d steps of %d micrometres in 7 nights", sum, k.f.Appliance.Step)
				}
			}
			// Every stay that repeats reaches a person.
			if len(rs) > 0 || open || a.Action == Forward || a.Action == GoBack || k.c.Under() > Resting || k.c.State == Paused || k.f.Held {
				alone, seen = 0, seen || len(rs) > 0
			} else if alone++; alone > 35 && !(k.f.Plan.Limits.ReleaseByHand && seen) && a.Rule < 16 {
				t.Fatalf("%d evenings of %s and nobody knows", alone, a.Rule.ID())
			}
			if k.c.State < Settling {
				t.Fatalf("state %v", k.c.State)
			}
			k.reply(t, a)
			if e, _ := k.c.Entry(k.d); e.V[SettingLeft].Known() { // what was said, visits included
				at := furthest(&e, &k.f)
				moved[k.d] = max(at-stood, 0)
				stood = at
			}
			k.tell0(anyNight(t))
		}
	})
}

// worsen draws an answer of a night that is worse than what it holds.
func worsen(t dice, e Entry) (f Field, v Value, ok bool) {
	f = []Field{Worn, Pain, Gone, Woken, Guide, BiteMinutes, NotWorn}[t.IntN(7)]
	old := e.V[f]
	if (0 + t.IntN(3-(0)+1)) == 0 {
		// Not knowing is worse than what is easy, never better than what is sore.
		easy := f == Worn && old.Is(WornAll) || f == Pain && old.Is(0) || f == Guide && old.Is(Yes) || f == BiteMinutes && old.Known() && old.N() <= 45
		return f, Unknown, easy
	}
	switch f {
	case Worn:
		v = Num(WornNo)
		return f, v, old.Is(WornAll)
	case NotWorn:
		return f, Num(ReasonPain), old == Unknown
	case Woken:
		return f, Num(Yes), !old.Is(Yes)
	case Guide:
		return f, Num(No), old.Is(Yes)
	case Pain:
		v = Num((0 + t.IntN(10-(0)+1)))
	case Gone:
		v = Num((1 + t.IntN(4-(1)+1)))
	case BiteMinutes:
		v = Num(pick(t, 10, 45, 46, 60, 61, 299, 300, BiteNot))
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
		worse.Answer(k.f, k.d-1, f, v, FromPatient)
		a, _ := k.c.Advise(k.f, k.d)
		b, _ := worse.Advise(k.f, k.d)
		compared++
		if moreForward(b, a) {
			t.Fatalf("field %d from %d to %d: %v to %d by %s became %v to %d by %s (fired %b, %b)", f, e.V[f], v, a.Action, a.To, a.Rule.ID(), b.Action, b.To, b.Rule.ID(), a.Fired, b.Fired)
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
			night := k.d - Date((0 + t.IntN(5-(0)+1)))
			f := Field((1 + t.IntN(int(NumFields)-1)))
			v := Value((0 + t.IntN(12-(0)+1)))
			k.c.Answer(k.f, night, f, v, FromUndo)
			b := k.evening0()
			if moreForward(b, a) {
				t.Fatalf("%+v became %+v", a, b)
			}
			if b != a && b.Number != a.Number+1 {
				t.Fatalf("number %d after %d", b.Number, a.Number)
			}
			if b == before.Advice && k.c.Under() != before.Under() {
				t.Fatalf("an undo took the state from %v to %v", before.Under(), k.c.Under())
			}
			if before.Under() == Resting && k.c.Under() != Resting && k.c.Under() != Holding {
				t.Fatalf("an undo ended a rest: %v", k.c.Under())
			}
			for _, x := range before.Flags {
				if !slices.ContainsFunc(k.c.Flags, func(y Flag) bool { return y.ID == x.ID && !x.Class.Worse(y.Class) }) && len(k.c.Flags) < mostFlags {
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

// Whatever is thrown at it, a course stays whole: no panic, bounded, and the
// guard refuses nothing.
func TestPropertyAnything(t *testing.T) {
	each(t, func(t dice) {
		k := anyCourse(t)
		for range 1 + t.IntN(80-(1)+1) {
			night := k.d + Date((-40 + t.IntN(40-(-40)+1)))
			n := Steps(t.Uint32())
			switch 0 + t.IntN(9-(0)+1) {
			case 0, 1, 2:
				k.c.Answer(k.f, night, Field(t.Uint32()), Value(t.Uint32()), Source(n))
			case 3:
				k.c.Confirm(k.f, night, n, Steps(t.Uint32()))
			case 4:
				k.c.Advise(k.f, night)
			case 5:
				k.c.Preview(k.f, night)
			case 6:
				k.c.Hear(k.f, Wall{night, Clock(n)}, Features(t.Uint64()), string(rune(t.Uint32())))
			case 7:
				k.staff(t)
			case 8:
				k.f = []Facts{k.f, {}, {Plan: k.f.Plan}, {Appliance: k.f.Appliance, Doubt: true}}[t.IntN(4)]
			case 9:
				k.d += Date((0 + t.IntN(3-(0)+1)))
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
	if k.c.Tested(k.d, 2) != Done || k.c.State != Testing {
		t.Fatal(k.c.State)
	}
	if k.c.Recall(k.d) != RefuseState {
		t.Error("recall before steady")
	}
	if k.c.Steady(k.d) != Done || k.c.State != Steady || k.c.TestAt != 2 || k.c.TestOn != k.d {
		t.Error(k.c.State)
	}
	if k.c.Recall(k.d) != Done || k.c.State != Recall {
		t.Error(k.c.State)
	}
	if k.c.Order(k.f, k.d, 4) != Done || k.c.State != Stepping {
		t.Error(k.c.State)
	}
	if k.c.Pause() != Done || k.c.State != Paused || k.c.Resume() != Done || k.c.State != Stepping {
		t.Error(k.c.State)
	}
	k.c.Pause()
	k.c.Hear(k.f, Wall{k.d, 1200}, FLocked, "locked")
	if k.c.State != Stopped {
		t.Error("a flag does not show over a pause")
	}
	if k.c.ReleaseHere(k.f, k.d, "jaw.locked") != Done || k.c.State != Paused || k.c.Under() != Resting {
		t.Errorf("%v over %v", k.c.State, k.c.Under())
	}
	k.c.Resume()
	if k.c.End() != Done || k.c.State != Ended || k.c.End() != RefuseNone || k.c.Pause() != RefuseState {
		t.Error(k.c.State)
	}
	for _, r := range []Refusal{k.c.Testing(k.d), k.c.Tested(k.d, 1), k.c.Steady(k.d), k.c.Recall(k.d)} {
		if r != RefuseState {
			t.Errorf("done after the end: %q", r)
		}
	}
	if k.c.Reopen(k.d) != Done || k.c.State != Resting {
		t.Error(k.c.State)
	}
	if k.c.Resume() != RefuseNone {
		t.Error("resumed what ran")
	}
	k.c.Pause()
	if k.c.Reopen(k.d) != Done || k.c.State != Resting {
		t.Error(k.c.State)
	}
}

// Steady needs a recorded test: nobody marks a position as proved otherwise.
func TestSteadyNeedsATest(t *testing.T) {
	k := trial(t)
	if k.c.Steady(k.d) != RefuseNone || k.c.State != Settling {
		t.Error(k.c.State)
	}
	if k.c.Testing(k.d) != Done || k.c.Steady(k.d) != RefuseNone {
		t.Error(k.c.State)
	}
}
