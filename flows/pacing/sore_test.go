package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

func TestP07SoreMornings(t *testing.T) {
	for name, m := range map[string]told{
		"pain 5":            fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}),
		"pain 7":            fine(told{chart.Pain: 7, chart.Gone: chart.GoneMorning}),
		"past midday":       fine(told{chart.Pain: 4, chart.Gone: chart.GoneAfternoon}),
		"still there":       fine(told{chart.Pain: 1, chart.Gone: chart.GoneNo}),
		"taken out for it":  fine(told{chart.Worn: chart.WornPart, chart.WornMinutes: 120, chart.NotWorn: chart.ReasonPain}),
		"bite not back":     fine(told{chart.BiteMinutes: chart.BiteNot}),
		"bite after midday": fine(told{chart.BiteMinutes: chart.BiteMidday}),
	} {
		k := trial(t)
		k.forward(3)
		k.night(m)
		k.evening()
		if k.a.Action != chart.GoBack || k.a.To != 2 || k.a.Rule != 7 || k.a.From != 3 {
			t.Errorf("%s: %+v", name, k.a)
		}
		if k.c.State != chart.Resting || !k.c.Doubled || k.c.RestTo != chart.Stepping {
			t.Errorf("%s: state %v", name, k.c.State)
		}
		// N flag only at the start or where the bite is not back.
		if open := k.c.Open(); open != m.late() {
			t.Errorf("%s: flags %v", name, k.c.Flags)
		}
	}
}

func (m told) late() bool { return m[chart.BiteMinutes] >= chart.BiteMidday }

// Pain 4 gone by 9 in the morning: watched; until 15 in the afternoon: back;
// 8: severe (doi 10.2147/JPR.S75192; the hours are practice sheets).
func TestPainExamples(t *testing.T) {
	for _, x := range []struct {
		m    told
		do   chart.Action
		rule chart.Rule
	}{
		{fine(told{chart.Pain: 4, chart.Gone: chart.GoneMorning}), chart.Stay, 15},
		{fine(told{chart.Pain: 4, chart.Gone: chart.GoneAfternoon}), chart.GoBack, 7},
		{fine(told{chart.Pain: 8, chart.Gone: chart.GoneMorning}), chart.LeaveOut, 4},
	} {
		k := trial(t)
		k.forward(2)
		k.night(x.m)
		if k.evening(); k.a.Action != x.do || k.a.Rule != x.rule {
			t.Errorf("%v: %+v", x.m, k.a)
		}
	}
}

// Pain at or below the baseline counts as 0 and needs no "gone".
func TestPainAtBaseline(t *testing.T) {
	k := trial(t, func(_ *chart.Plan, _ *chart.Appliance, b *chart.Baseline) { b.Pain = chart.Num(5) })
	k.nights(3, fine(told{chart.Pain: 5}))
	k.next(chart.Forward, 1, 18)
	k.confirm(1)
	k.tell(fine(told{chart.Pain: 6, chart.Gone: chart.GoneMorning}))
	k.next(chart.GoBack, 0, 7)
}

// Bite away over 60 minutes on two of the last 7 mornings since the last
// go-back, visit or release.
func TestP07BiteTwice(t *testing.T) {
	k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Interval = 7 })
	k.forward(3)
	k.night(fine(told{chart.BiteMinutes: 61}))
	k.next(chart.Stay, 3, 8)
	k.confirm(3)
	k.tell(fine())
	k.c.Flags = nil
	k.night(fine(told{chart.BiteMinutes: 75}))
	k.next(chart.GoBack, 2, 7)
	k.confirm(2)
	k.tell(fine(told{chart.BiteMinutes: 61})) // once since the go-back
	k.evening()
	if k.a.Fired.Has(7) {
		t.Errorf("mornings before the go-back counted again: %+v", k.a)
	}
}

func TestP07BiteOnceAfterAWeek(t *testing.T) {
	k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Interval = 14 })
	k.forward(1)
	k.night(fine(told{chart.BiteMinutes: 61}))
	k.c.Flags = nil
	k.nights(6, fine())
	k.night(fine(told{chart.BiteMinutes: 61}))
	if k.evening(); k.a.Fired.Has(7) {
		t.Errorf("%+v", k.a)
	}
}

// Go back to the last comfortable setting since the last visit, and at least
// one step under the lowest it may be at.
func TestP07BackToTheLastComfortable(t *testing.T) {
	k := trial(t)
	k.forward(2)
	mild := fine(told{chart.Pain: 2, chart.Gone: chart.GoneMorning, chart.BiteMinutes: 46})
	for k.a.To < 4 || k.a.Action != chart.Forward { // two steps without a comfortable night
		m := mild
		if k.c.Low < 2 {
			m = fine()
		}
		k.c.Nights[k.c.index(k.d-1)].V[chart.BiteMinutes] = chart.Num(5) // easy enough to step on ...
		k.night(m)
	}
	for i := range k.c.Nights { // ... but not comfortable at 3 or 4
		if k.c.Nights[i].Low >= 3 {
			k.c.Nights[i].V[chart.BiteMinutes] = chart.Num(50)
		}
	}
	k.c.Nights[k.c.index(k.d-1)].V[chart.Pain] = chart.Num(6)
	k.next(chart.GoBack, 2, 7)
}

func TestP07SinceTheLastVisit(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.nights(2, fine())
	if k.c.Visit(k.f, k.d, 6) != Done {
		t.Fatal("visit refused")
	}
	k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}))
	k.next(chart.GoBack, 5, 7) // 2 was comfortable before the visit
}

// At the start: rest, settle count 0, then settling; N flag.
func TestP07AtTheStart(t *testing.T) {
	k := trial(t)
	k.nights(2, fine())
	k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMidday}))
	k.next(chart.Stay, 0, 7)
	if r := k.desk("sore.start"); r.Class != redflag.ClassN {
		t.Errorf("%+v", r)
	}
	if k.c.State != chart.Resting || k.c.RestTo != chart.Settling {
		t.Errorf("%v then %v", k.c.State, k.c.RestTo)
	}
	k.c.Flags = nil // looked at
	k.confirm(0)
	k.tell(fine())
	k.nights(2, fine())
	k.next(chart.Stay, 0, 15) // three easy mornings, three settle nights; the interval of 6 from the go-back is not over
	if k.c.State != chart.Stepping || k.a.Fired.Has(10) {
		t.Errorf("state %v, %+v", k.c.State, k.a)
	}
	k.confirm(0)
	k.tell(fine())
	k.nights(2, fine())
	k.next(chart.Forward, 1, 18)
}

// The settle count begins anew at the go-back, also for a longer settling.
func TestP07AtTheStartSettlesAgain(t *testing.T) {
	k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Settle = 5 })
	k.nights(3, fine())
	k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMidday}))
	k.evening()
	k.c.Flags = nil
	k.confirm(0)
	k.tell(fine())
	k.nights(2, fine())
	k.next(chart.Stay, 0, 10)
	if k.c.State != chart.Settling {
		t.Errorf("state %v", k.c.State)
	}
	k.confirm(0)
	k.tell(fine())
	k.night(fine())
	k.next(chart.Stay, 0, 15)
}

// A third such morning at the start since the last visit or forward step: leave
// out, S. A second is as the first.
func TestP07AtTheStartTwice(t *testing.T) {
	sore := fine(told{chart.Pain: 6, chart.Gone: chart.GoneMidday})
	k := trial(t)
	k.night(sore)
	k.next(chart.Stay, 0, 7)
	k.c.Flags = nil
	k.confirm(0)
	k.tell(fine())
	k.nights(4, fine())
	k.confirm(0)
	k.evening()
	k.confirm(0)
	k.tell(sore)
	k.next(chart.Stay, 0, 7) // the second
	if r := k.desk("sore.start"); r.Class != redflag.ClassN || k.c.OnPath() != chart.Resting {
		t.Errorf("%+v, %v", r, k.c.State)
	}
	k.c.Release(k.f, k.d, "", 0) // a release ends no count
	k.confirm(0)
	k.tell(sore)
	k.next(chart.LeaveOut, 0, 7)
	if r := k.desk("sore.again"); r.Class != redflag.ClassS || k.c.State != chart.Stopped {
		t.Errorf("%+v, %v", r, k.c.State)
	}
	k = trial(t)
	for n := range 3 {
		k.night(sore)
		if k.evening(); k.a.Action == chart.LeaveOut {
			t.Errorf("after a visit it is the first or the second: %+v", k.a)
		}
		k.tell(fine())
		if n == 1 {
			k.c.Visit(k.f, k.d, 0)
		}
		k.c.Flags = nil
	}
}

func TestP07AtTheStartAfterAStep(t *testing.T) {
	sore := fine(told{chart.Pain: 6, chart.Gone: chart.GoneMidday})
	k := trial(t)
	k.night(sore)
	k.evening()
	k.c.Flags = nil
	k.confirm(0)
	k.tell(fine())
	k.forward(1)
	k.night(sore)
	k.next(chart.GoBack, 0, 7)
	k.confirm(0)
	k.tell(fine())
	k.nights(2, fine())
	k.night(sore)
	if k.evening(); k.a.Action != chart.Stay || k.a.Rule != 7 {
		t.Errorf("the forward step made it the first at the start again: %+v", k.a)
	}
}

// A second one in one rest: one step under where it rested, N; a third: leave out, S.
func TestP07TwiceInOneRest(t *testing.T) {
	k := trial(t)
	k.forward(3)
	k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}))
	k.next(chart.GoBack, 2, 7)
	k.confirm(2)
	k.tell(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}))
	k.next(chart.GoBack, 1, 7) // one step under where it rested, and the rest begins again
	if r := k.desk("sore.twice"); r.Class != redflag.ClassN || k.c.State != chart.Resting || k.c.RestFrom != k.d {
		t.Errorf("%+v, %v since %v", r, k.c.State, k.c.RestFrom)
	}
	k.c.Release(k.f, k.d, "", 1) // a release ends no count
	k.confirm(1)
	k.tell(fine())
	k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}))
	k.next(chart.LeaveOut, 1, 7)
	if r := k.desk("sore.again"); r.Class != redflag.ClassS || k.c.State != chart.Stopped {
		t.Errorf("%+v, %v", r, k.c.State)
	}
}

// One step under where it rested, though it was never set back; no lower than the
// start, where the rest begins again.
func TestP07SecondInARestThatWasNotObeyed(t *testing.T) {
	sore := fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning})
	k := trial(t)
	k.forward(3)
	k.night(sore)
	k.next(chart.GoBack, 2, 7)
	k.confirm(3)
	k.tell(sore)
	k.next(chart.GoBack, 1, 7)
	k = trial(t)
	k.forward(1)
	k.night(sore)
	k.next(chart.GoBack, 0, 7)
	k.confirm(0)
	k.tell(sore)
	k.next(chart.Stay, 0, 7)
	if k.c.State != chart.Resting || k.c.RestFrom != k.d || k.c.RestTo != chart.Settling {
		t.Errorf("%v since %v, then %v", k.c.State, k.c.RestFrom, k.c.RestTo)
	}
}

// Second go-back from one setting: comfort limit, clinician.
func TestP07SecondGoBack(t *testing.T) {
	sore := fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning})
	k := trial(t)
	k.forward(3)
	k.night(sore)
	k.next(chart.GoBack, 2, 7)
	k.silent("P07")
	k.confirm(2)
	k.tell(fine())
	k.forward(3)
	k.night(sore)
	k.next(chart.GoBack, 2, 7)
	if r := k.desk("P07"); r.Role != practice.Clinician {
		t.Errorf("%+v", r)
	}
	if !k.c.Limited || k.c.Limit != 2 {
		t.Errorf("comfort limit %d, %v", k.c.Limit, k.c.Limited)
	}
	k.confirm(2)
	k.tell(fine())
	k.nights(5, fine())
	k.next(chart.Stay, 2, 16)
	if k.a.Reason != "reason.p16.comfort" || !k.c.Reviewed.has(2) {
		t.Error(k.a.Reason)
	}
}

// A go-back counts of every setting that it may have stood at; a limit is under the
// lowest that was left before.
func TestP07SecondGoBackFromWhereItMayStand(t *testing.T) {
	k := trial(t)
	k.forward(4)
	k.c.Backed.add(3)
	k.c.Low = 2 // 2 to 4, nobody knows
	k.tell(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}))
	k.evening()
	if k.a.Action != chart.GoBack || !k.c.Limited || k.c.Limit != 2 || !k.c.Backed.has(2) || !k.c.Backed.has(4) ||
		k.c.Backed.has(1) {
		t.Errorf("%+v, limit %d (%v), left %v", k.a, k.c.Limit, k.c.Limited, k.c.Backed)
	}
	k.desk("P07")
}

// Sore in tooth or gum: beside it a card for the fit, and no flag.
func TestP07ToothOrGum(t *testing.T) {
	for site, want := range map[int]bool{chart.SiteTooth: true, chart.SiteGum: true, chart.SiteJoint: false, chart.SiteMuscle: false} {
		k := trial(t)
		k.forward(2)
		k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning, chart.Where: site}))
		k.evening()
		if r, told := hears(k.r, "fit"); told != want || r.Flag {
			t.Errorf("site %d: told %v, %+v", site, told, r)
		}
	}
}

// In holding, testing, steady, recall: go back, the state kept, desk.
func TestP07KeepsOtherStates(t *testing.T) {
	for _, s := range []chart.State{chart.Holding, chart.Testing, chart.Steady, chart.Recall} {
		k := trial(t)
		k.forward(3)
		k.night(fine(told{chart.Pain: 6, chart.Gone: chart.GoneMorning}))
		k.c.walk(s)
		k.next(chart.GoBack, 2, 7)
		if k.c.State != s {
			t.Errorf("%v became %v", s, k.c.State)
		}
		k.desk("P07")
		// A second in seven nights: N; a third: leave out, S.
		for n, id := range []string{"sore.twice", "sore.again"} {
			k.confirm(k.a.To)
			k.tell(fine())
			k.evening()
			k.confirm(k.a.To)
			k.tell(fine(told{chart.Pain: 6, chart.Gone: chart.GoneMorning}))
			k.evening()
			if k.desk(id); (k.a.Action == chart.LeaveOut) != (n == 1) || k.c.OnPath() != s {
				t.Errorf("%v, sore morning %d: %+v, %v", s, n+2, k.a, k.c.OnPath())
			}
		}
	}
}

// ... and the eighth night back is another week.
func TestP07SevenNights(t *testing.T) {
	for between, again := range map[int]bool{5: true, 6: false} {
		k := trial(t)
		k.forward(4)
		k.night(fine(told{chart.Pain: 6, chart.Gone: chart.GoneMorning}))
		k.c.walk(chart.Steady)
		k.evening()
		k.confirm(k.a.To)
		k.tell(fine())
		k.nights(between-1, fine())
		k.night(fine(told{chart.Pain: 6, chart.Gone: chart.GoneMorning}))
		k.evening()
		if _, told := hears(k.r, "sore.twice"); told != again {
			t.Errorf("%d nights between: told %v", between, told)
		}
	}
}
