package pacing

import (
	"strings"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// The bounds of the tables from both sides: each case holds for the number as
// it is, and for neither of its neighbours.

// What a row that no phrase raises does to wear, and each combination of
// phrases by itself.
func TestFlagRowsBeyondPhrases(t *testing.T) {
	for id, wear := range map[string]redflag.Wear{"sore.again": redflag.WearOut, "setting.above": redflag.WearBack,
		"sleepy": redflag.WearKeep, "headache.morning": redflag.WearKeep, "sore.start": redflag.WearKeep,
		"bite.notback": redflag.WearKeep, "bite.late": redflag.WearKeep, "pain.woken": redflag.WearOut,
		"pain.roused": redflag.WearKeep, "headache.weeks": redflag.WearKeep} {
		if row := redflag.Find(id); row == nil || row.Wear != wear {
			t.Errorf("%s: wear %d, want %d", id, row.Wear, wear)
		}
	}
	for said, id := range map[reading.Features]string{
		reading.FSwelling | reading.FMouthFace: "swelling.airway", reading.FSwelling | reading.FSwallow: "swelling.airway",
		reading.FSwelling | reading.FBreath: "swelling.airway", reading.FHives | reading.FBreath: "swelling.airway",
		reading.FHives | reading.FSwallow: "swelling.airway",
		reading.FMissing | reading.FCough: "piece.airway", reading.FMissing | reading.FBreath: "piece.airway",
		reading.FSwallowed | reading.FCough: "piece.airway", reading.FSwallowed | reading.FBreath: "piece.airway",
		reading.FBroken | reading.FCough: "piece.airway", reading.FBroken | reading.FBreath: "piece.airway",
		reading.FMissing | reading.FChoke: "piece.airway", reading.FSwallowed | reading.FChoke: "piece.airway",
		reading.FBroken | reading.FChoke:  "piece.airway",
		reading.FLocked | reading.FBreath: "jaw.airway", reading.FOpenLock | reading.FBreath: "jaw.airway",
		reading.FSwallowed: "piece.missing", reading.FMissing: "piece.missing",
	} {
		if _, rs := heard(t, said); len(rs) == 0 || rs[0].ID != id {
			t.Errorf("%x: %v, want %s", said, rs, id)
		}
	}
}

// Who looks at each rule, and after how many evenings the desk hears of it.
func TestRuleRows(t *testing.T) {
	for i, want := range []struct {
		role  practice.Role
		after uint8
	}{{practice.Clinician, 1}, {practice.Clinician, 0}, {practice.Assistant, 0}, {practice.Clinician, 0},
		{practice.Assistant, 2}, {practice.Clinician, 3}, {practice.Clinician, 0}, {practice.Clinician, 0},
		{practice.Clinician, 0}, {practice.Assistant, 10}, {practice.Assistant, 3}, {practice.Assistant, 3},
		{practice.Assistant, 0}, {practice.Assistant, 10}, {practice.Assistant, 0}, {practice.Clinician, 0},
		{practice.Clinician, 0}, {practice.Clinician, 0}, {practice.Assistant, 0}} {
		if row := table[i+1]; row.role != want.role || row.after != want.after {
			t.Errorf("P%02d: role %d after %d, want %+v", i+1, row.role, row.after, want)
		}
	}
}

// desk is a view of a course that stands at a setting, for one row alone.
func atSetting(at chart.Steps, change func(v *assessment)) *assessment {
	v := &assessment{f: Facts{Plan: &chart.Plan{Rev: 1, Limits: chart.Limits{Ceiling: 20, Target: 3}},
		Appliance: &chart.Appliance{Step: 500, Travel: 20}, Baseline: &chart.Baseline{Reporter: chart.Num(chart.ReporterPartner)}},
		c: &Course{}, night: day0 + 30, top: 20, state: chart.Stepping, under: chart.Stepping}
	v.s = Position{Left: at, Right: at, Low: at, High: at, Advised: at, SetOn: v.night - 1}
	v.lim = &v.f.Plan.Limits
	if change != nil {
		change(v)
	}
	return v
}

func TestPlanBounds(t *testing.T) {
	for name, x := range map[string]struct {
		change func(v *assessment)
		want   bool
	}{
		"its last night":     {func(v *assessment) { v.f.Plan.Ends = v.night }, true},
		"the night after":    {func(v *assessment) { v.f.Plan.Ends = v.night - 1 }, false},
		"no step":            {func(v *assessment) { v.f.Appliance.Step = 0 }, false},
		"the smallest step":  {func(v *assessment) { v.f.Appliance.Step = 1 }, true},
		"the largest step":   {func(v *assessment) { v.f.Appliance.Step = 1000 }, true}, // doi 10.15331/jdsm.3738, the digit from memory
		"a step too large":   {func(v *assessment) { v.f.Appliance.Step = 1001 }, false},
		"a ceiling of 0":     {func(v *assessment) { v.f.Plan.Limits.Ceiling = 0 }, true},
		"a ceiling under it": {func(v *assessment) { v.f.Plan.Limits.Ceiling = -1 }, false},
	} {
		if got := atSetting(0, x.change).signed(); got != x.want {
			t.Errorf("%s: %v", name, got)
		}
	}
	for days, want := range map[int16]civil.Date{-1: 90, 0: 90, 1: 1, 89: 89, 90: 90, 91: 90} {
		if got := (&Facts{Plan: &chart.Plan{Limits: chart.Limits{ContactDays: days}}}).contactDays(); got != want {
			t.Errorf("contact in %d days: %d", days, got)
		}
	}
	for pace, want := range map[chart.Micrometres]chart.Micrometres{-1: 1000, 0: 1000, 1: 1, 999: 999, 1000: 1000,
		1001: 1000} {
		if got := (&Facts{Plan: &chart.Plan{Limits: chart.Limits{Pace: pace}}}).pace(); got != want {
			t.Errorf("a pace of %d: %d", pace, got)
		}
	}
	for minutes, want := range map[int16]int16{-1: 240, 0: 240, 1: 1} {
		if got := (&Facts{Plan: &chart.Plan{Limits: chart.Limits{WornMinutes: minutes}}}).least(); got != want {
			t.Errorf("worn for %d minutes: %d", minutes, got)
		}
	}
	for loud, want := range map[int16]int{0: 7, 1: 1, 8: 8} {
		v := atSetting(0, nil)
		v.lim.Loud = loud
		if got := v.loud(); got != want {
			t.Errorf("loud %d: %d", loud, got)
		}
	}
}

func TestGrantBounds(t *testing.T) {
	for name, x := range map[string]struct {
		to, until chart.Steps
		want      bool
	}{"none": {0, 0, false}, "to here": {4, 0, false}, "to the next": {5, 0, true}, "its last night": {5, 30, true},
		"the night after": {5, 29, false}} {
		v := atSetting(4, func(v *assessment) {
			a := *v.f.Appliance
			a.Step, v.f.Appliance, v.c.GrantTo, v.c.GrantUntil = 1000, &a, x.to, 0
		})
		for range 4 { // no lower than where it began: P17 speaks, unless a grant lifts it
			v.c.keepScore(0, chart.Num(chart.ReporterPartner), 8)
			v.c.keepScore(4, chart.Num(chart.ReporterPartner), 8)
		}
		if x.until > 0 {
			v.c.GrantUntil = day0 + civil.Date(x.until)
		}
		if got := v.granted(5); got != x.want {
			t.Errorf("%s: %v", name, got)
		}
		if got := p17(*v).do == chart.NoAction; got != x.want {
			t.Errorf("P17, %s: lifted %v", name, got)
		}
	}
	if v := atSetting(0, nil); v.granted(0) || v.granted(-1) {
		t.Error("nothing was granted")
	}
}

// A grant to the very next setting ends the hold of settled snoring.
func TestP13GrantToTheNext(t *testing.T) {
	for to, holds := range map[chart.Steps]bool{2: true, 3: false} {
		v := atSetting(2, func(v *assessment) { v.c.GrantTo = to })
		v.f.Plan.Limits.WornMinutes = 240
		for i := range 6 {
			e := &v.c.Nights[i]
			*e = chart.Entry{Night: v.night - 5 + civil.Date(i), Low: 2, High: 2}
			e.V[chart.Worn], e.V[chart.Reporter], e.V[chart.Snoring] = chart.Num(chart.WornAll),
				chart.Num(chart.ReporterPartner), chart.Num(1)
		}
		v.c.N = 6
		if got := p13(*v).do == chart.Stay; got != holds {
			t.Errorf("granted to %d: holds %v", to, got)
		}
	}
}

func TestP16ComfortLimit(t *testing.T) {
	for limit, stays := range map[chart.Steps]bool{4: true, 5: false, 6: false} {
		v := atSetting(4, func(v *assessment) { v.c.Limited, v.c.Limit = true, limit })
		if got := p16(*v).do == chart.Stay; got != stays {
			t.Errorf("a comfort limit of %d: %v", limit, got)
		}
	}
}

// Where the first reports, those of 3.0 mm ago and the newest come from. It stands
// at 8 of 0.5 mm steps, so 3.0 mm behind is 2. The newest may be at most 80 % of the
// first (a proposal), of four reports each (doi 10.1111/j.1749-4486.2010.02127.x).
func TestP17Bounds(t *testing.T) {
	eights := []int{8, 8, 8, 8}
	for name, x := range map[string]struct {
		heard map[chart.Steps][]int
		stays bool
	}{
		"four fifths":                    {map[chart.Steps][]int{0: {10, 10, 10, 10}, 8: eights}, false},
		"above four fifths":              {map[chart.Steps][]int{0: {10, 10, 10, 10}, 8: {8, 8, 8, 9}}, true},
		"first at 2":                     {map[chart.Steps][]int{2: eights, 8: {4, 4, 4, 4}}, false},
		"first at 3":                     {map[chart.Steps][]int{3: eights, 8: eights}, false},
		"first gathered up to 2":         {map[chart.Steps][]int{0: {8, 8}, 2: {8, 8}, 8: eights}, true},
		"three so far behind":            {map[chart.Steps][]int{0: {8, 8}, 2: {8}, 8: eights}, false},
		"lower than first, not than ago": {map[chart.Steps][]int{0: {9, 9, 9, 9}, 2: {5, 5, 5, 5}, 8: {5, 5, 5, 5}}, true},
		"lower than both":                {map[chart.Steps][]int{0: {9, 9, 9, 9}, 2: {5, 5, 5, 5}, 8: {5, 5, 5, 4}}, false},
		"now from the one before":        {map[chart.Steps][]int{2: eights, 7: {4, 4}, 8: {4, 4}}, false},
		"nothing to fall from":           {map[chart.Steps][]int{2: {0, 0, 0, 0}, 8: {0, 0, 0, 0}}, true},
		"louder":                         {map[chart.Steps][]int{2: {4, 4, 4, 4}, 8: eights}, true},
		"nothing was heard":              {nil, false},
	} {
		v := atSetting(8, nil)
		for at, scores := range x.heard {
			for _, s := range scores {
				v.c.keepScore(at, chart.Num(chart.ReporterPartner), s)
			}
		}
		if got := p17(*v).do == chart.Stay; got != x.stays {
			t.Errorf("%s: stays %v", name, got)
		}
		if v.c.OrderTo = 9; p17(*v).do != chart.NoAction {
			t.Errorf("%s: an order does not lift it", name)
		}
	}
	for at, stays := range map[chart.Steps]bool{5: false, 6: true} { // 2.5 and 3.0 mm from the start
		v := atSetting(at, nil)
		for range 4 {
			v.c.keepScore(0, chart.Num(chart.ReporterPartner), 8)
		}
		if got := p17(*v).do == chart.Stay; got != stays {
			t.Errorf("at %d: stays %v", at, got)
		}
	}
}

// Quotes are cut at 60 runes, and the newest three are kept.
func TestQuotesOfFlags(t *testing.T) {
	k := trial(t)
	for _, f := range []reading.Features{reading.FChest, reading.FFaint, reading.FStroke, reading.FLocked} {
		k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, f, strings.Repeat("ñ", 80))
	}
	kept := 0
	for i, f := range k.c.Flags {
		if f.Quote != "" {
			if kept++; i == 0 {
				t.Error("the oldest kept its words")
			}
			if n := len([]rune(f.Quote)); n != 60 {
				t.Errorf("%d runes", n)
			}
		}
	}
	if kept != 3 {
		t.Errorf("%d quotes", kept)
	}
}

// Scores are kept of settings 0 to 255.
func TestHeardBounds(t *testing.T) {
	by := chart.Num(chart.ReporterPartner)
	for at, want := range map[chart.Steps]int{-1: 0, 0: 1, 255: 1, 256: 0} {
		var c Course
		c.keepScore(at, by, 5)
		var p pool
		if c.scores(&p, at, by, 1<<30, 240); p.n != want {
			t.Errorf("setting %d: %d scores", at, p.n)
		}
	}
	var c Course
	c.N = 1
	c.Nights[0] = chart.Entry{Night: 7, Low: 0, High: 0}
	c.Nights[0].V[chart.Reporter], c.Nights[0].V[chart.Snoring], c.Nights[0].V[chart.Worn] = by, chart.Num(5),
		chart.Num(chart.WornAll)
	for before, want := range map[civil.Date]int{7: 0, 8: 1} {
		var p pool
		if c.scores(&p, 0, by, before, 240); p.n != want {
			t.Errorf("before %d: %d scores", before, p.n)
		}
	}
}

// The range that answers can be in.
func TestScales(t *testing.T) {
	for f, x := range map[chart.Field][2]int{chart.NotWorn: {1, chart.ReasonOtherUse}, chart.Where: {1, chart.SiteOther},
		chart.Gone: {1, 4}, chart.Bite: {1, 4}, chart.Reporter: {1, 4}, chart.SettingLeft: {-99, 999}, chart.Pain: {0, 10},
		chart.WornMinutes: {0, 1440}, chart.Driving: {0, chart.DrivingNoDrive}} {
		if !f.Takes(chart.Num(x[0])) || !f.Takes(chart.Num(x[1])) || f.Takes(chart.Num(x[0]-1)) ||
			f.Takes(chart.Num(x[1]+1)) {
			t.Errorf("field %d: not %d to %d", f, x[0], x[1])
		}
	}
	k := trial(t)
	if rs := k.c.Answer(k.f, k.d, chart.NumFields, chart.Num(1), chart.FromPatient); rs != nil {
		t.Error("a field that is not there")
	}
}

// What leaves the window is counted night by night, from the night that counts
// begin.
func TestFoldCounts(t *testing.T) {
	c, f := Course{Arrived: 5, SettleFrom: 6}, Facts{}
	f.Whole()
	for n := civil.Date(4); n <= 8; n++ {
		e := chart.Entry{Night: n}
		e.V[chart.Worn] = chart.Num(chart.WornAll)
		c.fold(&f, &e)
	}
	if c.FoldWorn != 4 || c.FoldSet != 3 || c.FoldUnrun != 0 {
		t.Errorf("worn %d, settled %d, not known %d", c.FoldWorn, c.FoldSet, c.FoldUnrun)
	}
	for n := civil.Date(9); n <= 10; n++ {
		c.fold(&f, &chart.Entry{Night: n})
	}
	if c.FoldWorn != 4 || c.FoldUnrun != 2 {
		t.Errorf("worn %d, not known %d", c.FoldWorn, c.FoldUnrun)
	}
}

// Symptoms that are no better, and snoring that returned, at their bounds.
func TestAfterSettledBounds(t *testing.T) {
	for _, x := range []struct {
		before, now int
		want        bool
	}{{1, 1, true}, {2, 1, false}, {0, 0, true}, {0, 3, true}} {
		v := atSetting(2, func(v *assessment) { v.f.Baseline.Sleepy = chart.Num(x.before) })
		v.c.N, v.c.Nights[0].Night = 1, v.night
		v.c.Nights[0].V[chart.Sleepiness] = chart.Num(x.now)
		if v.noBetter() != x.want {
			t.Errorf("%+v", x)
		}
	}
	for last, want := range map[int]bool{3: false, 4: true} { // three of 3, and this one, with a target of 3
		v := atSetting(2, nil)
		for i := range 5 {
			e := &v.c.Nights[i]
			e.Night = v.night - 4 + civil.Date(i)
			e.V[chart.Reporter], e.V[chart.Snoring] = chart.Num(chart.ReporterPartner), chart.Num(3)
		}
		v.c.N = 5
		v.c.Nights[4].V[chart.Snoring] = chart.Unknown
		v.c.Nights[0].V[chart.Snoring] = chart.Num(last)
		if v.returned() != want {
			t.Errorf("the last score %d: returned %v", last, !want)
		}
	}
}

// A rule's own flag counts from the next evening; sore mornings are counted one
// by one.
func TestOwnFlagsAndHits(t *testing.T) {
	k := trial(t)
	k.evening()
	k.confirm(0)
	k.tell(fine(told{chart.Pain: 6}))
	k.evening()
	if k.c.StartHits != 1 || len(k.c.Flags) != 1 || k.c.Flags[0].ID != "sore.start" || k.c.Flags[0].From != k.d+1 {
		t.Errorf("%d, %+v", k.c.StartHits, k.c.Flags)
	}
	k = trial(t)
	k.forward(2)
	k.tell(fine(told{chart.Pain: 6}))
	k.evening()
	if k.c.RestHits != 1 {
		t.Errorf("a rest begins with its morning: %d", k.c.RestHits)
	}
	for n, id := range []string{"sore.twice", "sore.again"} {
		k.confirm(k.a.To)
		k.tell(fine(told{chart.Pain: 6}))
		k.evening()
		if int(k.c.RestHits) != n+2 || len(k.c.Flags) != n+1 || k.c.Flags[n].ID != id || k.c.Flags[n].From != k.d+1 {
			t.Errorf("%d, %+v", k.c.RestHits, k.c.Flags)
		}
	}
	if v := atSetting(0, func(v *assessment) { v.c.GrantTo = 1 }); !v.granted(1) || v.granted(2) {
		t.Error("a grant to 1")
	}
	none := new(chart.Entry)
	none.V[chart.Pain], none.V[chart.Gone] = chart.Num(0), chart.Num(chart.GoneAfternoon)
	if none.Lasted(&chart.Baseline{}) {
		t.Error("no pain lasts")
	}
}
