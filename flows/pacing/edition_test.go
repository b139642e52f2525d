package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// Courses that the first edition of the table led wrongly: each by itself, night
// by night. A sentence of the table that is meant has its own test beside its row.

// An order or a grant out of snoring that has settled moves, though every night
// is as quiet as those before it; where it leads it holds again.
func TestOrderedOnThroughQuietNights(t *testing.T) {
	for name, act := range map[string]func(*bench) Refusal{
		"order": func(k *bench) Refusal { k.c.Tested(k.d, k.c.Left); return k.c.Order(k.f, k.d, 4) },
		"grant": func(k *bench) Refusal { return k.c.Grant(k.f, k.d, 4, 0, "s1") },
	} {
		k := trial(t)
		k.forward(1)
		k.nights(8, quietly(2))
		if k.c.State != chart.Holding {
			t.Fatalf("%s: %v", name, k.c.State)
		}
		if r := act(k); r != Done {
			t.Fatal(name, r)
		}
		k.nights(12, quietly(2))
		if k.c.Left != 4 {
			t.Errorf("%s: at %d after twelve quiet nights, by %s", name, k.c.Left, k.a.Rule.ID())
		}
		k.nights(6, quietly(2))
		if k.c.State != chart.Holding || k.c.Left != 4 {
			t.Errorf("%s: %v at %d", name, k.c.State, k.c.Left)
		}
	}
}

// The third easy morning of a rest with a bite that is not back, or taken out
// for pain: it is a second sore morning of that rest, judged once.
func TestThirdMorningOfARestIsJudgedOnce(t *testing.T) {
	for name, m := range map[string]told{
		"bite not back":     fine(told{chart.BiteMinutes: chart.BiteNot}),
		"taken out for it":  fine(told{chart.NotWorn: chart.ReasonPain}),
		"part of the night": fine(told{chart.Worn: chart.WornPart, chart.WornMinutes: 300, chart.NotWorn: chart.ReasonPain}),
	} {
		k := trial(t)
		k.forward(4)
		k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning, chart.Woken: chart.No}))
		k.nights(2, fine())
		k.night(m)
		k.next(chart.GoBack, 2, P07)
		if k.c.State != chart.Resting || !k.c.Open() {
			t.Errorf("%s: %v, flags %v", name, k.c.State, k.c.Flags)
		}
		k.confirm(2)
		k.tell(fine())
		if k.evening(); !k.a.Fired.Has(P09) || k.a.Action != chart.Stay {
			t.Errorf("%s, the evening after: %+v", name, k.a)
		}
	}
}

// Who went back a night late is not ahead of who went back at once.
func TestLateObedienceIsNotFaster(t *testing.T) {
	again := func(late int) civil.Date {
		k := trial(t)
		k.forward(2)
		k.night(fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning, chart.Woken: chart.No}))
		k.evening()
		for range late {
			k.confirm(2)
			k.tell(fine())
			k.evening()
		}
		k.confirm(1)
		k.tell(fine())
		for range 30 {
			if a := k.night(fine()); a.Action == chart.Forward {
				return a.Night
			}
		}
		t.Fatal("never forward again")
		return 0
	}
	if now, later := again(0), again(1); later <= now {
		t.Errorf("back at once: forward on %v; a night late: on %v", now, later)
	}
}

// Two kinds of night in turn, for ever: a person hears of it.
func TestNightsInTurnReachAPerson(t *testing.T) {
	lasting := fine(told{chart.Pain: 2, chart.Gone: chart.GoneMidday, chart.Woken: chart.No})
	unworn := told{chart.Worn: chart.WornNo}
	for name, cycle := range map[string][]told{
		"sore, sore, not worn":      {lasting, lasting, unworn},
		"no guide, no score, sore":  {fine(told{chart.Guide: chart.No}), fine(told{chart.Snoring: gone}), lasting},
		"easy without a score, not": {fine(told{chart.Snoring: gone}), unworn, fine(told{chart.Snoring: gone})},
		"sore, sore, without guide": {lasting, lasting, fine(told{chart.Guide: chart.No, chart.Snoring: gone}), unworn},
	} {
		k := trial(t)
		k.nights(4, fine())
		alone := 0
		for n := range 80 {
			left := k.c.Left
			k.night(cycle[n%len(cycle)])
			if alone++; len(k.r) > 0 || k.c.Left != left {
				alone = 0
			}
			if alone > 14 {
				t.Errorf("%s: %d evenings by %s, and nobody knows", name, alone, k.a.Rule.ID())
				break
			}
		}
	}
}

// Whatever up to four kinds of night repeat for ever, in any order: no fifteen evenings
// pass in a row on which the course neither moves nor is put before a person.
func TestEveryCycleOfNightsReachesAPerson(t *testing.T) {
	kinds := []told{
		fine(),
		fine(told{chart.Snoring: gone}),
		fine(told{chart.Guide: chart.No}),
		fine(told{chart.BiteMinutes: 50}),
		fine(told{chart.Pain: 2, chart.Gone: chart.GoneMidday, chart.Woken: chart.No}),
		{chart.Worn: chart.WornNo},
		{},
	}
	cycles := 0
	var run func(cycle []told, name string)
	run = func(cycle []told, name string) {
		if len(cycle) > 0 {
			cycles++
			k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) { p.Limits.Ceiling = 2 })
			k.nights(4, fine())
			alone := 0
			for n := range 36 {
				left := k.c.Left
				k.night(cycle[n%len(cycle)])
				if alone++; len(k.r) > 0 || k.c.Left != left || k.c.OnPath() > chart.Resting {
					alone = 0
				}
				if alone > 14 {
					t.Fatalf("nights %s: %d evenings by %s, and nobody knows", name, alone, k.a.Rule.ID())
				}
			}
		}
		if len(cycle) == 4 {
			return
		}
		for i, kind := range kinds {
			run(append(cycle[:len(cycle):len(cycle)], kind), name+string(rune('a'+i)))
		}
	}
	run(nil, "")
	if cycles != 7+49+343+2401 {
		t.Errorf("%d cycles", cycles)
	}
}

// After a gap the interval counts anew, at the fitting setting too, and after
// the gap has left the nights that are remembered.
func TestGapAtTheFittingSetting(t *testing.T) {
	timetable := func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) {
		p.Limits.Timetable, p.Limits.TimetableTop = true, 9
	}
	for guideless, want := range map[int]int{0: 3, 30: 1} {
		k := trial(t, timetable)
		k.nights(2, fine())
		k.night(fine(told{chart.Guide: chart.No}))
		k.nights(8, told{chart.Worn: chart.WornNo})
		k.nights(guideless, fine(told{chart.Guide: chart.No})) // worn, and a step held by something else
		nights := 0
		for ; nights < 10; nights++ {
			if k.evening(); k.a.Action == chart.Forward {
				break
			}
			k.confirm(0)
			k.tell(fine())
		}
		if nights != want {
			t.Errorf("forward after %d worn nights, want %d: %+v", nights, want, k.a)
		}
	}
}

// A partner who hears two nights of a week, or three: loud nights lead on, and
// quiet ones settle.
func TestPartnerWhoIsSeldomThere(t *testing.T) {
	for name, x := range map[string]struct {
		hears []int // days of the week
		score int
		steps chart.Steps // at least
	}{
		"Friday and Saturday, 8": {[]int{4, 5}, 8, 10},
		"three nights, 7":        {[]int{1, 3, 5}, 7, 10},
	} {
		k := trial(t)
		for n := range 56 {
			score := gone
			for _, d := range x.hears {
				if n%7 == d {
					score = x.score
				}
			}
			k.night(fine(told{chart.Snoring: score}))
		}
		if k.c.Left < x.steps {
			t.Errorf("%s: at %d after 56 nights, by %s", name, k.c.Left, k.a.Rule.ID())
		}
	}
	k := trial(t)
	for n := range 28 {
		score := gone
		if n%7 == 4 || n%7 == 5 {
			score = 2
		}
		k.night(fine(told{chart.Snoring: score}))
	}
	if k.c.State != chart.Holding {
		t.Errorf("two quiet nights a week: %v by %s", k.c.State, k.a.Rule.ID())
	}
}

// What a sign of too little treatment leaves as it was.
func TestReleaseOfAHeadacheSlowsNothing(t *testing.T) {
	plain, sick := trial(t), trial(t)
	plain.forward(2)
	sick.forward(2)
	sick.c.Answer(sick.f, sick.d-1, chart.HeadacheDays, chart.Num(chart.DaysMore), chart.FromPatient)
	if !sick.c.Open() {
		t.Fatal("a morning headache is no flag")
	}
	sick.evening()
	if r := sick.c.ReleaseHere(sick.f, sick.d, "headache.morning"); r != Done {
		t.Fatal(r)
	}
	if sick.c.State != chart.Stepping || sick.c.Doubled || sick.c.Advised != 2 {
		t.Errorf("%v, doubled %v, advised %d", sick.c.State, sick.c.Doubled, sick.c.Advised)
	}
	sick.confirm(2)
	sick.tell(fine())
	plain.night(fine())
	plain.night(fine())
	sick.night(fine())
	plain.evening()
	sick.evening()
	if plain.a.Action != chart.Forward || sick.a.Action != chart.Forward {
		t.Errorf("%+v, %+v", plain.a, sick.a)
	}
}

// A rest ends though a little pain stays that is gone in the morning; who was
// woken by a little pain is not stopped, nor is who was sore twice in the first week.
func TestALittlePain(t *testing.T) {
	one := fine(told{chart.Pain: 1, chart.Gone: chart.GoneMorning, chart.Woken: chart.No})
	five := fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning, chart.Woken: chart.No})
	k := trial(t)
	k.forward(3)
	k.night(five)
	k.nights(4, one)
	if k.c.OnPath() != chart.Stepping {
		t.Errorf("four mornings with pain 1: %v", k.c.State)
	}
	k = trial(t)
	k.forward(2)
	k.night(fine(told{chart.Pain: 2, chart.Gone: chart.GoneMorning, chart.Woken: chart.Yes}))
	if k.evening(); k.a.Action != chart.Stay || k.a.Rule != P04 || k.c.State == chart.Stopped || !k.c.Open() {
		t.Errorf("woken by pain 2: %+v, %v, flags %v", k.a, k.c.State, k.c.Flags)
	}
	k = trial(t)
	k.night(five)
	k.night(fine())
	k.night(five)
	if k.evening(); k.a.Action != chart.Stay || k.c.State == chart.Stopped || k.c.OnPath() != chart.Resting {
		t.Errorf("a second 5 in the first week: %+v, %v", k.a, k.c.State)
	}
}

// Who falls by a fifth of the baseline every 2 mm, the published mean (doi
// 10.1378/chest.117.4.1065), is not told that steps do not help, whatever share the plan
// asks for; who falls by a twentieth is, but by the widest. Of 10 every night, by whole
// points: 70 and 90 % are left after 3 mm.
func TestAFifthEveryTwoMillimetres(t *testing.T) {
	for _, x := range []struct {
		fall  int // tenths of a point every 2 mm
		share chart.Answer
		told  bool
	}{
		{20, chart.Unknown, false}, {20, chart.Num(70), false}, {20, chart.Num(90), false},
		{5, chart.Unknown, true}, {5, chart.Num(70), true}, {5, chart.Num(90), false},
	} {
		k := trial(t, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) {
			p.Limits.Ceiling, p.Limits.GainShare = 20, x.share
		})
		told := chart.Steps(0)
		for range 120 {
			k.night(quietly((100 - x.fall*int(k.c.Left)/8 + 5) / 10)) // 2 mm are 8 steps of 0.25 mm
			if _, ok := hears(k.r, "P17"); ok && told == 0 {
				told = k.c.Left
			}
		}
		if (told > 0) != x.told || !x.told && k.c.Left < 16 {
			t.Errorf("%d tenths, share %v: told at %d, at %d by %s", x.fall, x.share, told, k.c.Left, k.a.Rule.ID())
		}
	}
}
