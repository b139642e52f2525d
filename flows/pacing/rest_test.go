package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
)

func TestP08BiteAwayOnce(t *testing.T) {
	// practice sheets: 10-15 usual, up to 45, see a dentist over an hour
	for minutes, rule := range map[int]chart.Rule{12: 15, 45: 15, 46: 12, 60: 12, 61: 8} {
		k := trial(t)
		k.forward(2)
		k.night(fine(told{chart.BiteMinutes: minutes}))
		k.evening()
		if k.a.Rule != rule || k.a.Action != chart.Stay || k.c.Open() != (minutes > 60) {
			t.Errorf("%d minutes: %+v, flags %v", minutes, k.a, k.c.Flags)
		}
	}
}

// What has been left out for is over: once a person has released it, the mornings
// before count no more, and the night out is no sore one.
func TestP07LeftOutAndReleased(t *testing.T) {
	late := fine(told{chart.BiteMinutes: 61})
	for _, under := range []chart.State{chart.Settling, chart.Steady} {
		k := trial(t)
		if under == chart.Steady {
			k.forward(4)
			k.night(fine(told{chart.Pain: 6, chart.Gone: chart.GoneMorning}))
			k.c.walk(under)
			k.evening()
			k.confirm(k.a.To)
		} else {
			k.c.StartHits = 1
		}
		for n := 0; k.a.Action != chart.LeaveOut; n++ {
			if n == 9 {
				t.Fatalf("%v: never left out: %+v", under, k.a)
			}
			k.night(late)
			k.c.Flags = nil
			k.evening()
		}
		k.desk("sore.again")
		k.tell(told{chart.Worn: chart.WornNo, chart.NotWorn: chart.ReasonAdvised, chart.Pain: 0})
		k.c.Release(k.f, k.d+1, "", 0)
		if k.evening(); k.a.Action == chart.LeaveOut || k.a.Fired.Has(7) {
			t.Errorf("%v: left out again for the mornings that were released: %+v", under, k.a)
		}
	}
}

// Two easy mornings: still rest; three: may resume (three days at a lesser setting: a
// practice sheet; how easy: a proposal).
func TestP09EasyMornings(t *testing.T) {
	for name, x := range map[string]struct {
		m    told
		easy bool
	}{
		"pain 2":              {fine(told{chart.Pain: 2, chart.Gone: chart.GoneMorning}), true},
		"pain 3":              {fine(told{chart.Pain: 3, chart.Gone: chart.GoneMorning}), false},
		"pain 1 until midday": {fine(told{chart.Pain: 1, chart.Gone: chart.GoneMidday}), false},
		"woken by pain 1":     {fine(told{chart.Pain: 1, chart.Gone: chart.GoneMorning, chart.Woken: chart.Yes}), false},
		"whether it woke":     {fine(told{chart.Pain: 1, chart.Gone: chart.GoneMorning, chart.Woken: gone}), false},
		"bite after 60":       {fine(told{chart.BiteMinutes: 60}), true},
		"bite after 61":       {fine(told{chart.BiteMinutes: 61}), false},
		"bite not known":      {fine(told{chart.BiteMinutes: gone, chart.Bite: gone}), false},
		"guide not known":     {fine(told{chart.Guide: gone}), false},
		"guide not used":      {fine(told{chart.Guide: chart.No}), true},
		"not worn":            {fine(told{chart.Worn: chart.WornNo}), false},
		"unknown":             {told{}, false},
		"pain given":          {fine(), true},
	} {
		k := trial(t)
		k.forward(3)
		k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}))
		k.night(fine()) // the go-back
		k.night(fine())
		if k.c.State != chart.Resting {
			t.Fatal("two mornings ended the rest")
		}
		k.night(x.m)
		k.evening()
		if resumed := k.c.State == chart.Stepping; resumed != x.easy {
			t.Errorf("%s: %v, %+v", name, k.c.State, k.a)
		}
	}
}

func TestP09TenNightsReachAClinician(t *testing.T) {
	k := trial(t)
	k.forward(3)
	k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning}))
	k.next(chart.GoBack, 2, 7)
	k.confirm(2)
	k.tell(fine(told{chart.Pain: 3, chart.Gone: chart.GoneMorning}))
	for n := 1; n <= 9; n++ {
		k.night(fine(told{chart.Pain: 3, chart.Gone: chart.GoneMorning}))
		k.silent("P09")
	}
	k.evening()
	if r := k.desk("P09"); r.Role != practice.Clinician {
		t.Errorf("%+v", r)
	}
}

// The interval stays doubled until the first comfortable night one step
// further, and is never more than doubled.
func TestP09DoublesOnce(t *testing.T) {
	sore := fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning})
	k := trial(t)
	k.forward(4)
	k.night(sore)
	k.next(chart.GoBack, 3, 7)
	k.confirm(3)
	k.tell(fine())
	k.nights(2, fine())
	k.night(sore) // at 3, the rest just over: another go-back
	k.next(chart.GoBack, 2, 7)
	k.confirm(2)
	k.tell(fine())
	for n := 2; n <= 6; n++ {
		k.night(fine())
		if k.a.Action == chart.Forward {
			t.Fatalf("forward after %d nights", n)
		}
	}
	k.next(chart.Forward, 3, 18) // 6 worn nights from the go-back: doubled, not fourfold
	k.confirm(3)
	k.tell(fine())
	k.nights(2, fine())
	k.next(chart.Forward, 4, 18) // a comfortable night at 3 ended it
}

func TestP10SettleNights(t *testing.T) {
	k := trial(t)
	k.nights(2, fine())
	k.night(fine(told{chart.Worn: chart.WornNo}))
	k.next(chart.Stay, 0, 10)
	if k.c.State != chart.Settling {
		t.Errorf("%v", k.c.State)
	}
	k.confirm(0)
	k.tell(fine())
	k.next(chart.Forward, 1, 18)
}

func TestP10TenNights(t *testing.T) {
	k := trial(t)
	for range 9 {
		k.night(fine(told{chart.Worn: chart.WornPart, chart.WornMinutes: 180}))
		k.silent("P10")
	}
	k.evening()
	k.desk("P10")
	k.confirm(0)
	k.tell(fine())
	for range 6 {
		k.night(told{chart.Worn: chart.WornNo})
		k.silent("P10")
	}
	k.evening()
	k.desk("P10") // and again a week later
}

// What an evening has judged of a morning counts though its answer is taken back: the
// bite that was away once, towards the second of seven mornings; and from holding on a
// sore morning, towards the second and the third.
func TestAJudgedMorningTakenBackCounts(t *testing.T) {
	k := trial(t)
	k.forward(3)
	k.night(fine(told{chart.BiteMinutes: 90}))
	k.evening()
	k.want(chart.Stay, 3, P08)
	k.c.ReleaseHere(k.f, k.d, "bite.away")
	k.c.Answer(k.f, k.d-1, chart.BiteMinutes, chart.Num(5), chart.FromUndo)
	k.confirm(3)
	k.tell(fine(told{chart.BiteMinutes: 90}))
	k.evening()
	k.want(chart.GoBack, 2, P07)

	five := fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning, chart.Woken: chart.No})
	k = trial(t)
	k.forward(5)
	k.c.State = chart.Holding
	for nth, want := range []chart.Action{chart.GoBack, chart.GoBack, chart.LeaveOut} {
		k.night(five)
		k.evening()
		if k.a.Action != want || k.a.Rule != P07 {
			t.Fatalf("morning %d: %+v", nth+1, k.a)
		}
		k.c.Answer(k.f, k.d-1, chart.Pain, chart.Num(0), chart.FromUndo)
		k.c.ReleaseHere(k.f, k.d, "")
		k.confirm(k.a.To)
		k.tell(fine())
	}
}

// So does the very first morning that is remembered.
func TestTheFirstMorningTakenBackCounts(t *testing.T) {
	five := fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning, chart.Woken: chart.No})
	k := trial(t)
	k.c.State = chart.Holding
	for nth, want := range []chart.Action{chart.Stay, chart.Stay, chart.LeaveOut} {
		k.night(five)
		if k.evening(); k.a.Action != want || !k.a.Fired.Has(P07) {
			t.Fatalf("morning %d: %+v", nth+1, k.a)
		}
		k.c.Answer(k.f, k.d-1, chart.Pain, chart.Num(0), chart.FromUndo)
		k.c.ReleaseHere(k.f, k.d, "")
		k.c.State = chart.Holding
	}
}
