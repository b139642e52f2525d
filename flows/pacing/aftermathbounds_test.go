package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// P16 is told when it speaks, whichever row is shown, once a setting; P17 where
// nothing else speaks, on the fourth such evening there and each week after it.
func TestReviews(t *testing.T) {
	k := trial(t, func(p *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.Step, p.Limits.Ceiling = 500, 1 })
	k.forward(1)
	k.next(chart.Stay, 1, P15)
	if r := k.desk("P16"); r.Role != practice.Clinician {
		t.Errorf("%+v", r)
	}
	for range 20 {
		k.confirm(1)
		k.tell(fine())
		k.evening()
		k.silent("P16")
	}
	k = trial(t, func(p *chart.Plan, a *chart.Appliance, _ *chart.Baseline) {
		a.Step, p.Limits.Ceiling, p.Limits.Settle = 500, 10, 4
	})
	var told []int
	spoke := 0
	for range 60 {
		m := quietly(8)
		if spoke == 2 {
			m = fine(told3()) // an evening between on which another row speaks
			spoke++
		}
		if k.night(m); k.a.Rule == P17 {
			spoke++
		}
		if r, ok := hears(k.r, "P17"); ok {
			if told = append(told, spoke); k.c.Left != 6 || r.Role != practice.Clinician {
				t.Errorf("at %d: %+v", k.c.Left, r)
			}
		}
	}
	if len(told) < 3 || told[0] != 5 || told[1] != 12 || told[2] != 19 { // one of them counted for the evening between
		t.Errorf("told on %v of these evenings", told)
	}
}

// told3 is a morning without the bite guide.
func told3() told { return told{chart.Guide: chart.No, chart.Snoring: 8} }

// P13: snoring that settled holds, unless the same morning leads back; a late
// bite leads nowhere, and does not keep it from holding.
func TestP13AfterASoreMorning(t *testing.T) {
	for name, x := range map[string]struct {
		morning told
		rule    chart.Rule
		want    chart.State
	}{
		"sore":      {told{chart.Pain: 6}, 7, chart.Resting},         // moderate pain: doi 10.2147/JPR.S75192
		"late bite": {told{chart.BiteMinutes: 61}, 8, chart.Holding}, // over an hour: common practice, no source
	} {
		k := trial(t)
		k.nights(3, quietly(3))
		k.night(fine(told{chart.Snoring: 3}, x.morning))
		k.evening()
		if !k.a.Fired.Has(13) || !k.a.Fired.Has(x.rule) {
			t.Fatalf("%s: %+v", name, k.a)
		}
		if _, told := hears(k.r, "P13"); k.c.OnPath() != x.want || told != (x.want == chart.Holding) {
			t.Errorf("%s: %v, the desk told of P13 %v", name, k.c.OnPath(), told)
		}
	}
}

// P06: above the ceiling is a flag of its own, that counts from the next
// evening; at the ceiling, though further than advised, it is none.
func TestP06Flag(t *testing.T) {
	k := trial(t)
	k.forward(2)
	k.f.Plan.Limits.Ceiling = 1
	k.evening()
	if len(k.c.Flags) != 1 || k.c.Flags[0].ID != "setting.above" || k.c.Flags[0].From != k.d+1 {
		t.Errorf("above it: %+v", k.c.Flags)
	}
	k = trial(t)
	k.forward(2)
	k.f.Plan.Limits.Ceiling = 3
	k.evening()
	k.confirm(3)
	k.tell(fine())
	if k.evening(); !k.a.Fired.Has(6) || len(k.c.Flags) != 0 {
		t.Errorf("at it: %+v, %+v", k.a, k.c.Flags)
	}
}

// P07: a second way back from a setting sets the comfort limit one under it, or
// at the last comfortable one, never under the start. It lowers a limit that
// stands, and raises it only where a grant had lifted it.
func TestComfortLimit(t *testing.T) {
	for name, x := range map[string]struct {
		high, good chart.Steps
		hasGood    bool
		set        bool
		was, grant chart.Steps
		want       chart.Steps
	}{
		"one under it":             {high: 3, want: 2},
		"the last comfortable one": {high: 3, good: 1, hasGood: true, want: 1},
		"from the first step":      {high: 1, want: 0},
		"never under the start":    {high: 1, good: -1, hasGood: true, want: 0},
		"lower than it was":        {high: 3, set: true, was: 4, want: 2},
		"higher than it was":       {high: 3, set: true, was: 1, want: 1},
		"after a grant to 1":       {high: 3, set: true, was: 0, grant: 1, want: 2},
	} {
		v := atSetting(x.high, func(v *assessment) {
			v.good, v.hasGood = x.good, x.hasGood
			v.c.State, v.c.Limited, v.c.Limit, v.c.GrantTo = chart.Stepping, x.set, x.was, x.grant
			v.c.Backed.add(x.high)
			v.last = new(chart.Entry)
			say(v.last, told{chart.Pain: 6})
		})
		goBack(*v, nil)
		if !v.c.Limited || v.c.Limit != x.want || v.c.GrantTo != 0 {
			t.Errorf("%s: %v, %d, granted %d", name, v.c.Limited, v.c.Limit, v.c.GrantTo)
		}
	}
}

// P03: snoring that returned is told again after 28 nights; of tonight nothing
// counts yet.
func TestSnoringThatReturnedIsToldAgain(t *testing.T) {
	for ago, want := range map[civil.Date]bool{27: false, 28: true} {
		v := atSetting(2, func(v *assessment) { v.c.SnoreOn = v.night - ago })
		for i := range remembered(v, 5) {
			say(&v.c.Nights[i], told{chart.Reporter: chart.ReporterPartner, chart.Snoring: 4})
		}
		if told := len(v.relapsed(nil)) > 0; told != want {
			t.Errorf("%d nights ago: %v", ago, told)
		}
	}
	v := atSetting(2, nil)
	es := remembered(v, 5)
	for i := range es {
		say(&es[i], told{chart.Reporter: chart.ReporterPartner, chart.Snoring: 3})
	}
	if say(&es[4], told{chart.Snoring: 10}); len(v.relapsed(nil)) > 0 {
		t.Error("tonight's report was counted")
	}
}

// A flag resumes at the last comfortable setting and never under the start.
func TestResumeOfAFlag(t *testing.T) {
	for left, want := range map[chart.Steps]chart.Steps{-1: 0, 0: 0, 3: 0} {
		k := trial(t)
		k.c.Left = left
		k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, reading.FLocked, "")
		if k.c.Flags[0].Resume != want {
			t.Errorf("at %d, no comfortable night yet: resumes at %d", left, k.c.Flags[0].Resume)
		}
	}
}

// Of more than twelve open flags the least urgent makes room; what it says of
// wear, from when and where to resume, goes to the newest alone.
func TestTheThirteenthFlag(t *testing.T) {
	var c Course
	for range mostFlags + 1 {
		c.Flags = append(c.Flags, redflag.Flag{ID: "chest", Class: redflag.ClassE, Wear: redflag.WearKeep, From: 9,
			Resume: 4})
	}
	c.Flags[5] = redflag.Flag{ID: "bite.changed", Class: redflag.ClassN, Wear: redflag.WearOut, From: 3, Resume: 1}
	c.crop()
	if len(c.Flags) != mostFlags {
		t.Fatalf("%d flags", len(c.Flags))
	}
	for i, f := range c.Flags {
		want := redflag.Flag{ID: "chest", Class: redflag.ClassE, Wear: redflag.WearKeep, From: 9, Resume: 4}
		if i == mostFlags-1 {
			want.Wear, want.From, want.Resume = redflag.WearOut, 3, 1
		}
		if f != want {
			t.Errorf("flag %d: %+v", i, f)
		}
	}
}
