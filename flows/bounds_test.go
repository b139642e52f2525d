package flows

import (
	"strings"
	"testing"
)

// The bounds of the tables from both sides: each case holds for the number as
// it is, and for neither of its neighbours.

// Every number that people can ask about, as it is published or signed; the
// sources stand in the table of claims.
func TestFiguresAsPublished(t *testing.T) {
	for id, n := range map[string]int64{
		"minutes-emergency": 15, "minutes-same-day": 60, "deadline-routine": 7, "silent-nights": 3, "plan-nights": 90, "contact-most": 90, "reminder": 75, "recheck": 60,
		"late-evening": 180, "late-morning": 360, "late-advice": 360, "quiet-nights": 14, "code-minutes": 15,
		"pain-mild": 4, "pain-modest": 7, // doi 10.2147/JPR.S75192
		"bite-late": 45, "bite-away": 60, "bite-midday": 300, "gap-nights": 7, "lapse-nights": 14, "weekly-late": 10,
		"pace-most": 1000, "step-big": 500, // doi 10.1378/chest.125.5.1761
		"share-half":  500,                  // doi 10.1007/s11325-015-1307-7
		"share-most":  700,                  // doi 10.5664/jcsm.8556
		"reports-few": 2, "reports-pool": 4, // doi 10.1111/j.1749-4486.2010.02127.x
		"gain-after": 2000, "gain-fall": 250, // PMC8726364 table 3
		"sleepier": 2, "snoring-change": 4, "pain-change": 379, // doi 10.11607/jofph.24.3.05
		"adherence-payer": 240, "adherence-dental": 800, // doi 10.15331/jdsm.7204
	} {
		if f, ok := FigureOf(id); !ok || f.Value.N != n {
			t.Errorf("%s: %d, want %d", id, f.Value.N, n)
		}
	}
}

// What a row that no phrase raises does to wear, and each combination of
// phrases by itself.
func TestFlagRowsBeyondPhrases(t *testing.T) {
	for id, wear := range map[string]Wear{"sore.again": WearOut, "setting.above": WearBack, "sleepy": WearKeep, "headache.morning": WearKeep, "sore.start": WearKeep, "bite.notback": WearKeep, "bite.late": WearKeep, "pain.woken": WearOut} {
		if row, ok := FlagRow(id); !ok || row.Wear != wear {
			t.Errorf("%s: wear %d, want %d", id, row.Wear, wear)
		}
	}
	for said, id := range map[Features]string{
		FSwelling | FMouthFace: "swelling.airway", FSwelling | FSwallow: "swelling.airway", FSwelling | FBreath: "swelling.airway", FHives | FBreath: "swelling.airway", FHives | FSwallow: "swelling.airway",
		FMissing | FCough: "piece.airway", FMissing | FBreath: "piece.airway", FSwallowed | FCough: "piece.airway", FSwallowed | FBreath: "piece.airway", FBroken | FCough: "piece.airway", FBroken | FBreath: "piece.airway",
		FLocked | FBreath: "jaw.airway", FOpenLock | FBreath: "jaw.airway", FSwallowed: "piece.missing", FMissing: "piece.missing",
	} {
		if _, rs := heard(t, said); len(rs) == 0 || rs[0].ID != id {
			t.Errorf("%x: %v, want %s", said, rs, id)
		}
	}
}

// Who looks at each rule, and after how many evenings the desk hears of it.
func TestRuleRows(t *testing.T) {
	for i, want := range []struct {
		role  Role
		after uint8
	}{{Clinician, 1}, {Clinician, 0}, {Assistant, 0}, {Clinician, 0}, {Assistant, 2}, {Clinician, 3}, {Clinician, 0}, {Clinician, 0}, {Clinician, 10}, {Assistant, 10}, {Assistant, 3}, {Assistant, 3}, {Assistant, 0}, {Assistant, 10}, {Assistant, 0}, {Clinician, 0}, {Clinician, 0}, {Clinician, 0}} {
		if row := pacingTable[i]; row.role != want.role || row.after != want.after {
			t.Errorf("P%02d: role %d after %d, want %+v", i+1, row.role, row.after, want)
		}
	}
}

// Both rules of adherence, just under and just at their shares: doi 10.15331/jdsm.7204.
func TestAdherenceBounds(t *testing.T) {
	if (Nights{699, 1000, 1000}).PayerRegular() || !(Nights{700, 1000, 1000}).PayerRegular() || !(Nights{1, 1, 1}).PayerRegular() {
		t.Error("70.0 % of nights")
	}
	for _, x := range []struct {
		worn, sleep int
		counts, ok  bool
	}{{799, 1000, false, true}, {800, 1000, true, true}, {1, 1, true, true}, {0, 450, false, true}, {-1, 450, false, false}} {
		if counts, ok := DentalNight(x.worn, x.sleep); counts != x.counts || ok != x.ok {
			t.Errorf("%+v: %v, %v", x, counts, ok)
		}
	}
	six := make([]Entry, 6)
	for i := range six {
		six[i].V[Worn] = Num(WornAll)
	}
	if w := CountDental(six, 450); w != (Weeks{}) {
		t.Errorf("six nights are no week: %+v", w)
	}
	if n, ok := share(1, 1); n != 1000 || !ok {
		t.Errorf("1 of 1: %d", n)
	}
	if _, ok := share(-1, 10); ok {
		t.Error("a share of less than nothing")
	}
}

// The named definitions at their bounds: doi 10.5664/jcsm.6492, J Clin Sleep
// Med 2014;10:215-27, doi 10.15331/jdsm.6918.
func TestOutcomeBounds(t *testing.T) {
	of := func(before, after int) Response {
		r, no := ResponseOf(test(before, "A"), test(after, "A"))
		if no != Defined {
			t.Errorf("%d to %d: %s", before, after, no)
		}
		return r
	}
	if !of(200, 49).Resolved || of(200, 50).Resolved {
		t.Error("resolved under 5.0")
	}
	if of(300, 100).Success || !of(300, 99).Success {
		t.Error("success under 10.0")
	}
	if of(100, 30).Strict || of(100, 26).Strict || !of(100, 25).Strict {
		t.Error("strict from 75 %")
	}
	if n, no := Alleviation(test(300, "A"), test(90, "A"), 1, 1); n != 700 || no != Defined {
		t.Errorf("a minute: %d %s", n, no)
	}
	if _, no := Alleviation(test(300, "A"), test(90, "A"), -1, 450); no != NoSleep {
		t.Error("worn for less than nothing")
	}
	if n, no := Change(1, 0); n != -1000 || no != Defined {
		t.Errorf("1 to 0: %d %s", n, no)
	}
	if less, no := MeansLess(1, 0); !less || no != Defined {
		t.Error("pain 1 to 0")
	}
	if n, no := Events(1, 1); n != 600 || no != Defined {
		t.Errorf("one in a minute: %d", n)
	}
	if n, no := Events(0, 60); n != 0 || no != Defined {
		t.Error("none in an hour")
	}
	if _, no := Events(-1, 60); no == Defined {
		t.Error("less than none")
	}
}

// desk is a view of a course that stands at a setting, for one row alone.
func atSetting(at Steps, change func(v *view)) *view {
	v := &view{f: &Facts{Plan: &Plan{Rev: 1, Limits: Limits{Ceiling: 20, Target: 3}}, Appliance: &Appliance{Step: 500, Travel: 20}, Baseline: &Baseline{Reporter: Num(ReporterPartner)}},
		c: &Course{}, night: day0 + 30, top: 20, state: Stepping}
	v.s = Stand{Left: at, Right: at, Low: at, High: at, Advised: at, SetOn: v.night - 1}
	v.lim = &v.f.Plan.Limits
	if change != nil {
		change(v)
	}
	return v
}

func TestPlanBounds(t *testing.T) {
	for name, x := range map[string]struct {
		change func(v *view)
		want   bool
	}{
		"its last night":     {func(v *view) { v.f.Plan.Ends = v.night }, true},
		"the night after":    {func(v *view) { v.f.Plan.Ends = v.night - 1 }, false},
		"no step":            {func(v *view) { v.f.Appliance.Step = 0 }, false},
		"the smallest step":  {func(v *view) { v.f.Appliance.Step = 1 }, true},
		"the largest step":   {func(v *view) { v.f.Appliance.Step = 1000 }, true}, // doi 10.15331/jdsm.3738, the digit from memory
		"a step too large":   {func(v *view) { v.f.Appliance.Step = 1001 }, false},
		"a ceiling of 0":     {func(v *view) { v.f.Plan.Limits.Ceiling = 0 }, true},
		"a ceiling under it": {func(v *view) { v.f.Plan.Limits.Ceiling = -1 }, false},
	} {
		if got := atSetting(0, x.change).signed(); got != x.want {
			t.Errorf("%s: %v", name, got)
		}
	}
	for days, want := range map[int16]Date{-1: 90, 0: 90, 1: 1, 89: 89, 90: 90, 91: 90} {
		if got := (&Facts{Plan: &Plan{Limits: Limits{ContactDays: days}}}).contactDays(); got != want {
			t.Errorf("contact in %d days: %d", days, got)
		}
	}
	for pace, want := range map[Micrometres]Micrometres{-1: 1000, 0: 1000, 1: 1, 999: 999, 1000: 1000, 1001: 1000} {
		if got := (&Facts{Plan: &Plan{Limits: Limits{Pace: pace}}}).pace(); got != want {
			t.Errorf("a pace of %d: %d", pace, got)
		}
	}
	for minutes, want := range map[int16]int16{-1: 240, 0: 240, 1: 1} {
		if got := (&Facts{Plan: &Plan{Limits: Limits{WornMinutes: minutes}}}).least(); got != want {
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
		to, until Steps
		want      bool
	}{"none": {0, 0, false}, "to here": {4, 0, false}, "to the next": {5, 0, true}, "its last night": {5, 30, true}, "the night after": {5, 29, false}} {
		v := atSetting(4, func(v *view) { v.c.GrantTo, v.c.GrantUntil = x.to, Date(0) })
		if x.until > 0 {
			v.c.GrantUntil = day0 + Date(x.until)
		}
		if got := v.granted(5); got != x.want {
			t.Errorf("%s: %v", name, got)
		}
		if got := p17(v).do == NoAction; got != x.want {
			t.Errorf("P17, %s: lifted %v", name, got)
		}
	}
	if v := atSetting(0, nil); v.granted(0) || v.granted(-1) {
		t.Error("nothing was granted")
	}
}

// A grant to the very next setting ends the hold of settled snoring.
func TestP13GrantToTheNext(t *testing.T) {
	for to, holds := range map[Steps]bool{2: true, 3: false} {
		v := atSetting(2, func(v *view) { v.c.GrantTo = to })
		v.f.Plan.Limits.WornMinutes = 240
		for i := range 6 {
			e := &v.c.Nights[i]
			*e = Entry{Night: v.night - 5 + Date(i), Low: 2, High: 2}
			e.V[Worn], e.V[Reporter], e.V[Snoring] = Num(WornAll), Num(ReporterPartner), Num(1)
		}
		v.c.N = 6
		if got := p13(v).do == Stay; got != holds {
			t.Errorf("granted to %d: holds %v", to, got)
		}
	}
}

func TestP16ComfortLimit(t *testing.T) {
	for limit, stays := range map[Steps]bool{4: true, 5: false, 6: false} {
		v := atSetting(4, func(v *view) { v.c.Limited, v.c.Limit = true, limit })
		if got := p16(v).do == Stay; got != stays {
			t.Errorf("a comfort limit of %d: %v", limit, got)
		}
	}
}

// Where then and now come from, setting by setting. It stands at 6 of 0.5 mm
// steps, so 2.0 mm behind is 2. A fall of 25 % is the smallest that counts
// (PMC8726364 table 3), of four reports (doi 10.1111/j.1749-4486.2010.02127.x).
func TestP17Bounds(t *testing.T) {
	for name, x := range map[string]struct {
		heard map[Steps][]int
		stays bool
	}{
		"a quarter less":           {map[Steps][]int{2: {8, 8, 8, 8}, 6: {6, 6, 6, 6}}, false},
		"not quite a quarter":      {map[Steps][]int{2: {8, 8, 8, 8}, 6: {6, 6, 6, 7}}, true},
		"then at the start":        {map[Steps][]int{0: {8, 8, 8, 8}, 6: {4, 4, 4, 4}}, false},
		"then one further":         {map[Steps][]int{3: {8, 8, 8, 8}, 6: {4, 4, 4, 4}}, false},
		"then two before this":     {map[Steps][]int{4: {8, 8, 8, 8}, 6: {4, 4, 4, 4}}, false},
		"then one before this":     {map[Steps][]int{5: {8, 8, 8, 8}, 6: {4, 4, 4, 4}}, true},
		"no report counts twice":   {map[Steps][]int{2: {8, 8}, 6: {4, 4, 4, 4}}, true},
		"now from the one before":  {map[Steps][]int{2: {8, 8, 8, 8}, 5: {4, 4}, 6: {4, 4}}, false},
		"three now":                {map[Steps][]int{6: {4, 4, 4}}, true},
		"nothing to fall from":     {map[Steps][]int{2: {0, 0, 0, 0}, 6: {0, 0, 0, 0}}, true},
		"one and then none":        {map[Steps][]int{2: {0, 0, 0, 1}, 6: {0, 0, 0, 0}}, false},
		"louder":                   {map[Steps][]int{2: {4, 4, 4, 4}, 6: {8, 8, 8, 8}}, true},
		"the furthest behind wins": {map[Steps][]int{1: {4, 4, 4, 4}, 2: {8, 8, 8, 8}, 6: {6, 6, 6, 6}}, false},
	} {
		v := atSetting(6, nil)
		for at, scores := range x.heard {
			for _, s := range scores {
				v.c.keepScore(at, Num(ReporterPartner), s)
			}
		}
		if got := p17(v).do == Stay; got != x.stays {
			t.Errorf("%s: stays %v", name, got)
		}
	}
	if v := atSetting(3, nil); p17(v).do != NoAction { // 1.5 mm
		t.Error("under 2.0 mm nothing is compared")
	}
	if v := atSetting(4, nil); p17(v).do != Stay {
		t.Error("from 2.0 mm on, unknown is no fall")
	}
}

// Ways back, each with the setting it names.
func TestWaysBack(t *testing.T) {
	flag := func(resume Steps) func(v *view) {
		return func(v *view) {
			v.c.Flags = []Flag{{ID: "setting.above", Class: ClassS, Wear: WearBack, Resume: resume}}
		}
	}
	if r := p02(atSetting(3, flag(3))); r.do != Stay {
		t.Errorf("back to where it stands: %+v", r)
	}
	if r := p02(atSetting(3, flag(2))); r.do != GoBack || r.to != 2 {
		t.Errorf("back by one: %+v", r)
	}
	if r := atSetting(1, nil).back(-1, ""); r.do != GoBack || r.to != 0 {
		t.Errorf("back beyond the start: %+v", r)
	}
	for advised, want := range map[Steps]Steps{-5: 0, 0: 0, 2: 2, 4: 3} { // the ceiling is at 3
		if r := p06(atSetting(5, func(v *view) { v.top, v.s.Advised = 3, advised })); r.do != GoBack || r.to != want {
			t.Errorf("above the ceiling, advised %d: %+v", advised, r)
		}
	}
	if r := p06(atSetting(3, func(v *view) { v.top = 3 })); r.do != NoAction {
		t.Errorf("at the ceiling: %+v", r)
	}
	sore := func(high Steps) result {
		return p07(atSetting(0, func(v *view) {
			v.s.High = high
			v.last = new(Entry)
			v.last.V[Pain] = Num(6)
		}))
	}
	if r := sore(1); r.do != GoBack || r.to != 0 {
		t.Errorf("sore at the start, perhaps at 1: %+v", r)
	}
	if r := sore(0); r.do != Stay {
		t.Errorf("sore at the start: %+v", r)
	}
}

// A sore morning by its minutes and its night.
func TestSoreBounds(t *testing.T) {
	for minutes, want := range map[int]bool{299: false, 300: true} {
		e := new(Entry)
		e.V[BiteMinutes] = Num(minutes)
		if e.sore(&Baseline{}) != want || e.notBack() != want {
			t.Errorf("the bite back after %d minutes: %v", minutes, !want)
		}
	}
	v := atSetting(2, func(v *view) { v.last = new(Entry); v.last.V[Pain] = Num(5) })
	if v.hit() != v.night-1 {
		t.Errorf("the sore morning is last night's: %d", v.hit())
	}
	for hits, want := range map[uint8]bool{0: false, 1: true, 2: true} {
		v := atSetting(0, func(v *view) { v.c.StartHits = hits })
		if v.again(v.night-1) != want {
			t.Errorf("%d sore mornings before at the start: %v", hits, !want)
		}
	}
	if v := atSetting(0, func(v *view) { v.c.StartHits, v.c.LastHit = 1, v.night-1 }); v.again(v.night - 1) {
		t.Error("the same morning is not another one")
	}
	gone := func(pain, when int) *view {
		return atSetting(0, func(v *view) {
			v.last = new(Entry)
			v.last.V[Pain], v.last.V[Gone] = Num(pain), Num(when)
		})
	}
	if p12(gone(0, GoneMidday)).do != NoAction || p12(gone(1, GoneMidday)).do != Stay || p12(gone(1, GoneMorning)).do != NoAction {
		t.Error("no pain needs not go; mild pain has to by the same morning")
	}
	easy := fine(told{Pain: 4, Gone: GoneMidday})
	for when, want := range map[int]bool{GoneMidday: true, GoneAfternoon: false} {
		var e Entry
		for f, n := range easy {
			e.V[f] = Num(n)
		}
		e.V[Gone] = Num(when)
		if e.comfortable(240, &Baseline{}) != want {
			t.Errorf("pain gone at %d: comfortable %v", when, !want)
		}
	}
}

// P11 by its counts: the third unworn night has its own reason; a needed weekly
// answer is overdue after 17 days, not on the 17th.
func TestP11Bounds(t *testing.T) {
	for gap, want := range map[int]string{2: "reason.p11.notworn", 3: "reason.p11.unworn"} {
		v := atSetting(2, func(v *view) { v.gap = gap; v.last = new(Entry); v.last.V[Worn] = Num(WornNo) })
		if r := p11(v); r.why != want {
			t.Errorf("%d nights: %s", gap, r.why)
		}
	}
	for days, want := range map[Date]bool{17: false, 18: true} {
		v := atSetting(2, nil)
		v.c.N, v.c.Nights[0].Night = 1, v.night
		v.c.Began = v.night - days
		if v.overdue() != want {
			t.Errorf("%d days: overdue %v", days, !want)
		}
		v.c.Nights[0].V[Sleepiness] = Num(3)
		if v.overdue() {
			t.Error("answered tonight")
		}
	}
	v := atSetting(2, nil)
	if v.wrong() {
		t.Error("nothing was said of a night that is not there")
	}
	v.c.N, v.c.Nights[0].Night = 1, v.night
	v.c.Nights[0].V[Wrong] = Num(Yes)
	if !v.wrong() {
		t.Error("something is wrong on the first night")
	}
}

// What is said of the setting: clipped, in doubt beyond what was advised, kept
// when it is said twice, and never under the start.
func TestConfirmBounds(t *testing.T) {
	for said, want := range map[Steps]Steps{2000: 999, 999: 999, -500: -99} {
		k := trial(t)
		k.evening()
		k.c.Confirm(k.f, k.d, said, said)
		if k.c.Left != want || k.c.Right != want {
			t.Errorf("%d: stands at %d, %d", said, k.c.Left, k.c.Right)
		}
	}
	for said, doubt := range map[Steps]bool{3: false, 0: false, -1: true} {
		k := trial(t)
		k.evening()
		k.c.Confirm(k.f, k.d, said, said)
		k.c.Confirm(k.f, k.d, said, said)
		if k.c.InDoubt != doubt {
			t.Errorf("%d, said twice: in doubt %v", said, k.c.InDoubt)
		}
	}
	k := trial(t)
	k.evening()
	rs := k.c.Confirm(k.f, k.d, 900, 900)
	if len(rs) != 1 || rs[0].ID != "setting.above" || k.c.Flags[0].From != k.d+2 {
		t.Errorf("above the ceiling: %v, %+v", rs, k.c.Flags)
	}
}

// Quotes are cut at 60 runes, and the newest three are kept.
func TestQuotesOfFlags(t *testing.T) {
	k := trial(t)
	for _, f := range []Features{FChest, FFaint, FStroke, FLocked} {
		k.c.Hear(k.f, Wall{k.d, 1200}, f, strings.Repeat("ñ", 80))
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
	by := Num(ReporterPartner)
	for at, want := range map[Steps]int{-1: 0, 0: 1, 255: 1, 256: 0} {
		var c Course
		c.keepScore(at, by, 5)
		var p pool
		if c.scores(&p, at, by, 1<<30, 240); p.n != want {
			t.Errorf("setting %d: %d scores", at, p.n)
		}
	}
	var c Course
	c.N = 1
	c.Nights[0] = Entry{Night: 7, Low: 0, High: 0}
	c.Nights[0].V[Reporter], c.Nights[0].V[Snoring], c.Nights[0].V[Worn] = by, Num(5), Num(WornAll)
	for before, want := range map[Date]int{7: 0, 8: 1} {
		var p pool
		if c.scores(&p, 0, by, before, 240); p.n != want {
			t.Errorf("before %d: %d scores", before, p.n)
		}
	}
}

// The range that answers can be in.
func TestScales(t *testing.T) {
	for f, x := range map[Field][2]int{NotWorn: {1, ReasonNotKnown}, Where: {1, SiteOther}, Gone: {1, 4}, Bite: {1, 4}, Reporter: {1, 4}, SettingLeft: {-99, 999}, Pain: {0, 10}, WornMinutes: {0, 1440}, Driving: {0, DrivingNoDrive}} {
		if !inScale(f, Num(x[0])) || !inScale(f, Num(x[1])) || inScale(f, Num(x[0]-1)) || inScale(f, Num(x[1]+1)) {
			t.Errorf("field %d: not %d to %d", f, x[0], x[1])
		}
	}
	k := trial(t)
	if rs := k.c.Answer(k.f, k.d, NumFields, Num(1), FromPatient); rs != nil {
		t.Error("a field that is not there")
	}
}

// Rest, settling and interval take at least one night, whatever a plan holds.
func TestLeastNights(t *testing.T) {
	for name, v := range map[string]struct {
		change func(c *Course, l *Limits)
		easy   int
		want   State
	}{
		"resting, no morning":  {func(c *Course, l *Limits) { c.State, c.RestFrom, c.RestTo = Resting, day0, Stepping }, 0, Resting},
		"resting, one morning": {func(c *Course, l *Limits) { c.State, c.RestFrom, c.RestTo = Resting, day0, Stepping }, 1, Stepping},
		"settling, no night":   {func(c *Course, l *Limits) { c.State = Settling }, 0, Settling},
		"settling, one night":  {func(c *Course, l *Limits) { c.State = Settling }, 1, Stepping},
	} {
		k := trial(t)
		k.f.Plan.Limits.RestMornings, k.f.Plan.Limits.Settle = 0, 0
		v.change(&k.c, &k.f.Plan.Limits)
		k.c.N = 1
		k.c.Nights[0] = Entry{Night: day0}
		for range v.easy {
			for f, n := range fine() {
				k.c.Nights[0].V[f] = Num(n)
			}
		}
		k.c.N = 2
		k.c.Nights[1] = Entry{Night: day0 + 1}
		if got := k.c.look(&k.f, day0+1).state; got != v.want {
			t.Errorf("%s: %v", name, got)
		}
	}
	for worn, stays := range map[int]bool{0: true, 1: false} {
		if r := p15(atSetting(2, func(v *view) { v.s.Arrived, v.worn, v.lim.Interval = 1, worn, 0 })); (r.do == Stay) != stays {
			t.Errorf("%d worn nights: %+v", worn, r)
		}
	}
}
