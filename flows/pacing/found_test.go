package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// What holding the table against its text, with a desk, has found; each of them once more
// by itself.

// sorely is a morning of pain 6 that was gone by the morning's end.
func sorely() told { return fine(told{chart.Pain: 6, chart.Gone: chart.GoneMorning}) }

// The third sore morning at the start leaves it out, and where it is worn again it settles
// anew, out of a rest and out of stepping alike.
func TestP07ThirdAtTheStartSettlesAnew(t *testing.T) {
	for name, resting := range map[string]bool{"in the rest": true, "after it": false} {
		k := trial(t)
		k.nights(4, fine(told{chart.Snoring: gone})) // settled, and nobody heard: it stays
		for range 2 {
			k.night(sorely())
			k.evening()
			k.confirm(0)
			k.tell(fine(told{chart.Snoring: gone}))
			k.c.ReleaseHere(k.f, k.d, "")
		}
		if !resting {
			k.nights(6, fine(told{chart.Snoring: gone}))
		}
		if (k.c.OnPath() == chart.Resting) != resting {
			t.Fatalf("%s: %v", name, k.c.OnPath())
		}
		k.night(sorely())
		if k.evening(); k.a.Action != chart.LeaveOut || k.c.SettleFrom != k.d || !k.c.Unsettled || k.c.OnPath() == chart.Stepping {
			t.Errorf("%s: %+v, settles from %v, %v", name, k.a, k.c.SettleFrom, k.c.OnPath())
		}
		k.tell(told{chart.Worn: chart.WornNo})
		k.c.ReleaseHere(k.f, k.d, "")
		for n := range 3 {
			if k.night(fine()); k.a.Action != chart.Stay || !k.a.Fired.Has(P10) {
				t.Errorf("%s, night %d: %+v", name, n, k.a)
			}
		}
	}
}

// An evening on which it has to go back is none of a rest's easy mornings, and the run
// begins again behind it.
func TestP09BrokenByASetBack(t *testing.T) {
	k := trial(t)
	k.forward(4)
	k.night(sorely())
	k.night(fine())
	k.night(fine())
	k.night(fine()) // the third easy morning
	k.c.Raise(k.f, civil.Wall{Date: k.d, Clock: 1200}, "sleepy")
	k.c.Release(k.f, k.d, "", 2) // one step under where it rests
	if k.evening(); k.a.Action != chart.GoBack || k.a.Rule != P06 || k.c.OnPath() != chart.Resting {
		t.Fatalf("%+v, %v", k.a, k.c.OnPath())
	}
	k.confirm(k.a.To)
	k.tell(fine())
	for n := range 3 {
		if k.night(fine()); (k.c.OnPath() == chart.Resting) != (n < 2) {
			t.Errorf("evening %d: %v", n, k.c.OnPath())
		}
	}
}

// A visit that moves it ends holding, be the settle nights worn or not.
func TestVisitOutOfHoldingUnsettled(t *testing.T) {
	k := trial(t)
	k.c.walk(chart.Holding)
	k.c.unsettle(k.d)
	if no := k.c.Visit(k.f, k.d, 3); no != Done || k.c.OnPath() != chart.Stepping || !k.c.Unsettled {
		t.Errorf("%q, %v, unsettled %v", no, k.c.OnPath(), k.c.Unsettled)
	}
}

// What a review granted was granted of what stood then: a visit or an order that leads
// back ends it, one that does not leaves it.
func TestGrantEndsByAWayBack(t *testing.T) {
	for name, x := range map[string]struct {
		act  func(*bench) Refusal
		ends bool
	}{
		"visit back":    {func(k *bench) Refusal { return k.c.Visit(k.f, k.d, 2) }, true},
		"visit here":    {func(k *bench) Refusal { return k.c.Visit(k.f, k.d, 3) }, false},
		"visit forward": {func(k *bench) Refusal { return k.c.Visit(k.f, k.d, 4) }, false},
		"order back":    {func(k *bench) Refusal { return k.c.Order(k.f, k.d, 2) }, true},
		"order on":      {func(k *bench) Refusal { return k.c.Order(k.f, k.d, 5) }, false},
	} {
		k := trial(t)
		k.forward(3)
		if no := k.c.Grant(k.f, k.d, 6, 0, "s1"); no != Done {
			t.Fatal(no)
		}
		if no := x.act(k); no != Done || (k.c.GrantTo == 0) != x.ends {
			t.Errorf("%s: %q, granted %d", name, no, k.c.GrantTo)
		}
	}
}

// A count in doubt after a way back leaves the setting it was to go back to among those
// where it may stand.
func TestP05DoubtAfterAWayBack(t *testing.T) {
	k := trial(t)
	k.forward(3)
	k.night(sorely())
	if k.evening(); k.a.Action != chart.GoBack || k.a.To != 2 {
		t.Fatalf("%+v", k.a)
	}
	if k.confirm(5); k.c.Low != 2 || k.c.High != 5 {
		t.Errorf("%d to %d", k.c.Low, k.c.High)
	}
}

// firstStep is the evening on which the first step is told, and nothing said of it yet.
func firstStep(t *testing.T) *bench {
	k := trial(t)
	for range 20 {
		if k.evening(); k.a.Action == chart.Forward {
			break
		}
		k.confirm(k.a.To)
		k.tell(fine())
	}
	k.want(chart.Forward, 1, P18)
	return k
}

// A step that was told may have been turned before the same evening's words left it out: where
// it stands is not known, and is asked before anything goes on.
func TestLeftOutOnceAStepWasTold(t *testing.T) {
	k := firstStep(t)
	k.c.Raise(k.f, civil.Wall{Date: k.d, Clock: 21*60 + 30}, "piece.broken")
	if k.evening(); k.a.Action != chart.LeaveOut {
		t.Fatalf("%+v", k.a)
	}
	k.c.ReleaseHere(k.f, k.d, "")
	for range 12 {
		k.tell(fine())
		if k.evening(); k.a.Breach || k.a.Action == chart.Forward || !k.a.Fired.Has(P05) {
			t.Fatalf("it may stand at %d to %d: %+v, fired %b", k.c.Low, k.c.High, k.a, k.a.Fired)
		}
	}
	if k.confirm(k.c.Left); k.c.Low != k.c.High {
		t.Errorf("%d to %d", k.c.Low, k.c.High)
	}
}

// What was said of a night before its step was told is no word of the step: until it is said
// where it stands, nothing goes on.
func TestSaidBeforeTheStepWasTold(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.confirm(0) // by telephone, in the afternoon
	k.next(chart.Forward, 1, P18)
	for range 3 {
		k.tell(fine())
		if k.evening(); k.a.Breach || k.a.Action != chart.Stay || !k.a.Fired.Has(P05) {
			t.Fatalf("%+v, fired %b", k.a, k.a.Fired)
		}
	}
	k.confirm(1)
	k.tell(fine())
	k.forward(2)
}

// Where what was said of an evening of two advices is taken back, and it is left out at last,
// nothing is known: the first advice may have been followed.
func TestLeftOutOnceItsWordIsTakenBack(t *testing.T) {
	k := firstStep(t)
	k.confirm(0)
	k.c.Raise(k.f, civil.Wall{Date: k.d, Clock: 21*60 + 20}, "bite.changed")
	k.evening()
	k.c.Answer(k.f, k.d, chart.SettingLeft, chart.Unknown, chart.FromUndo)
	k.c.Raise(k.f, civil.Wall{Date: k.d, Clock: 21*60 + 30}, "piece.broken")
	if k.evening(); k.a.Action != chart.LeaveOut {
		t.Fatalf("%+v", k.a)
	}
	k.c.ReleaseHere(k.f, k.d, "")
	k.tell(fine())
	if k.evening(); !k.a.Fired.Has(P05) {
		t.Errorf("%+v, fired %b, said for %v", k.a, k.a.Fired, k.c.SetOn)
	}
}

// A word that is taken back does not find a count that was lost after it.
func TestTakenBackOfALostCount(t *testing.T) {
	k := firstStep(t)
	k.confirm(1)
	k.c.LoseCount()
	if k.c.Answer(k.f, k.d, chart.SettingLeft, chart.Unknown, chart.FromUndo); !k.c.InDoubt {
		t.Error("the count is no longer in doubt")
	}
}

// A way back that takes the place of a step counts its steps from where it stands by then.
func TestWayBackOnceAStepWasTold(t *testing.T) {
	for name, said := range map[string]int{"confirmed": 3, "said nothing": 3, "still there": 2} {
		k := trial(t)
		k.forward(2)
		for range 20 {
			k.tell(fine())
			if k.evening(); k.a.Action == chart.Forward {
				break
			}
			k.confirm(k.a.To)
		}
		if k.want(chart.Forward, 3, P18); name != "said nothing" {
			k.confirm(chart.Steps(said))
		}
		k.c.Answer(k.f, k.d-1, chart.Pain, chart.Num(6), chart.FromPatient)
		if k.evening(); k.a.Action != chart.GoBack || k.a.To != 1 || int(k.a.From) != said {
			t.Errorf("%s: %+v", name, k.a)
		}
	}
}

// Taken back, the word of an evening leaves none that was given before its step was told.
func TestTakenBackToAWordBeforeTheStep(t *testing.T) {
	k := trial(t)
	k.nights(3, fine())
	k.confirm(0) // by telephone, in the afternoon
	k.next(chart.Forward, 1, P18)
	k.c.Raise(k.f, civil.Wall{Date: k.d, Clock: 21*60 + 20}, "bite.changed")
	k.evening()
	k.confirm(0)
	k.c.Answer(k.f, k.d, chart.SettingLeft, chart.Unknown, chart.FromUndo)
	k.tell(fine())
	if k.evening(); !k.a.Fired.Has(P05) {
		t.Errorf("%+v, fired %b, said for %v", k.a, k.a.Fired, k.c.SetOn)
	}
}

// The way of seven nights counts from no further on than it stood on a night whose word was taken
// back, as that of a visit may be.
func TestTheWayFromAWordTakenBack(t *testing.T) {
	k := trial(t, func(p *chart.Plan, a *chart.Appliance, _ *chart.Baseline) {
		p.Limits.Settle, p.Limits.Interval, a.Step = 1, 1, 500
	})
	k.forward(1)
	if no := k.c.Visit(k.f, k.d, 0); no != Done {
		t.Fatal(no)
	}
	k.evening()
	k.c.Answer(k.f, k.d, chart.SettingLeft, chart.Unknown, chart.FromUndo)
	k.tell(fine())
	k.confirm(0) // by telephone, in the afternoon
	k.next(chart.Forward, 1, P18)
	k.confirm(1)
	k.tell(fine())
	if k.evening(); k.a.Action == chart.Forward {
		t.Errorf("1.0 mm in four nights, and %+v", k.a)
	}
}

// It is left out where it was said to stand by now, at the ceiling too.
func TestLeftOutAtTheCeiling(t *testing.T) {
	k := trial(t)
	k.f.Plan.Limits.Ceiling = 1
	for range 20 {
		if k.evening(); k.a.Action == chart.Forward {
			break
		}
		k.confirm(k.a.To)
		k.tell(fine())
	}
	k.want(chart.Forward, 1, P18)
	k.confirm(1)
	k.c.Raise(k.f, civil.Wall{Date: k.d, Clock: 22 * 60}, "piece.broken")
	if k.evening(); k.a.Action != chart.LeaveOut || k.a.To != 1 {
		t.Errorf("%+v", k.a)
	}
}

// What was said the evening before still holds where tonight's word is taken back.
func TestTakenBackToTheEveningBefore(t *testing.T) {
	k := trial(t)
	k.nights(2, fine())
	k.evening()
	k.want(chart.Stay, 0, k.a.Rule)
	k.confirm(0)
	k.c.Answer(k.f, k.d, chart.SettingLeft, chart.Unknown, chart.FromUndo)
	if k.c.SetOn != k.d-1 {
		t.Errorf("set on %v, %v was the evening before", k.c.SetOn, k.d-1)
	}
}

// A step that was told and made, though nobody said so, and set back by a visit since, is a step of the
// seven nights: it is on the way again, and that way is 1.0 mm at most.
func TestTheWayOfAStepSetBackUnsaid(t *testing.T) {
	k := trial(t, func(p *chart.Plan, a *chart.Appliance, _ *chart.Baseline) {
		p.Limits.Settle, p.Limits.Interval, a.Step = 1, 1, 500
	})
	k.forward(1)
	first := k.a.Night
	for k.evening(); k.a.Action != chart.Forward; k.evening() {
		k.confirm(k.a.To)
		k.tell(fine())
	}
	k.want(chart.Forward, 2, P18) // made, and not said
	k.tell(fine())
	if no := k.c.Visit(k.f, k.d, 1); no != Done {
		t.Fatal(no)
	}
	for k.evening(); k.a.Night < first+WeekNights; k.evening() {
		if k.a.Action == chart.Forward {
			t.Fatalf("1.0 mm from night %v, one step of it set back, and %+v", first, k.a)
		}
		k.confirm(k.a.To)
		k.tell(fine())
	}
	k.want(chart.Forward, 2, P18)
}

// So it is where the word that it was set back was given in the afternoon, and the evening's word of the
// next step took its place.
func TestTheWayOfAStepSetBackByAWordReplaced(t *testing.T) {
	k := trial(t, func(p *chart.Plan, a *chart.Appliance, _ *chart.Baseline) {
		p.Limits.Settle, p.Limits.Interval, a.Step = 1, 1, 500
	})
	for k.evening(); k.a.Action != chart.Forward; k.evening() {
		k.confirm(k.a.To)
		k.tell(fine())
	}
	k.tell(fine()) // made, and not said
	k.evening()
	k.tell(fine()) // set back, and not said
	k.confirm(0)   // by telephone, in the afternoon
	k.next(chart.Forward, 1, P18)
	k.confirm(1)
	k.tell(fine())
	if k.evening(); k.a.Action == chart.Forward {
		t.Errorf("1.0 mm in four nights, and %+v", k.a)
	}
}
