package enrol

import (
	"strings"
	"testing"
	"time"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
)

// with gives the sample with some lines replaced or added.
func with(lines ...string) string {
	text := sample
	for _, l := range lines {
		key, _, _ := strings.Cut(l, ":")
		var out []string
		for _, old := range strings.Split(text, "\n") {
			if k, _, _ := strings.Cut(old, ":"); k != key {
				out = append(out, old)
			}
		}
		text = strings.Join(append(out, l), "\n")
	}
	return text
}

func TestCrossChecks(t *testing.T) {
	for _, c := range []struct {
		name  string
		lines []string
		field string
		key   string
		soft  bool
	}{
		{"a step over 1.0 mm", []string{"step-mm: 1.01"}, "step-mm", "enrol.bad.bounds", false},
		{"no settle night", []string{"settle: 0"}, "settle", "enrol.bad.bounds", false},
		{"steps on two nights running", []string{"interval: 1"}, "interval", "enrol.bad.bounds", false},
		{"a pace over 1.0 mm in 7 nights", []string{"pace-mm: 1.1"}, "pace-mm", "enrol.bad.bounds", false},
		{"0.5 mm every third night is 1.5 mm a week", []string{"step-mm: 0.5", "interval: 3"}, "interval", "enrol.bad.pace", false},
		{"a pace under one step", []string{"step-mm: 0.5", "interval: 7", "pace-mm: 0.4"}, "pace-mm", "enrol.bad.slow", false},
		{"a pace that holds the interval back", []string{"pace-mm: 0.5"}, "pace-mm", "enrol.flag.pace", true},
		{"a range under 5 mm", []string{"max-mm: 4.9", "start: 2", "ceiling: 2"}, "max-mm", "enrol.flag.narrow", true},
		{"a range over 20 mm", []string{"max-mm: 20.1"}, "max-mm", "enrol.bad.bounds", false},
		{"a range of nothing", []string{"max-mm: 0"}, "max-mm", "enrol.bad.bounds", false},
		{"a ceiling over 70 %", []string{"ceiling: 7"}, "ceiling", "enrol.flag.ceiling", true},
		{"a ceiling over 100 %", []string{"ceiling: 17"}, "ceiling", "enrol.bad.over", false},
		{"a ceiling past the travel", []string{"travel: 5"}, "ceiling", "enrol.bad.beyond", false},
		{"the further side past the travel", []string{"travel: 6", "two-sided: yes", "offset: 1"}, "ceiling", "enrol.bad.beyond", false},
		{"a start behind the habitual bite, counted from there", []string{"start: -0.5"}, "start", "enrol.bad.outside", false},
		{"a start past the range", []string{"start: 8.1", "ceiling: 1"}, "start", "enrol.bad.above", false},
		{"a start over 70 %", []string{"start: 6", "ceiling: 1"}, "start", "enrol.flag.start", true},
		{"somebody under 18", []string{"adult: no"}, "adult", "enrol.bad.must", false},
		{"a plan that ends before it starts", []string{"ends: 2026-03-05"}, "ends", "enrol.bad.short", false},
		{"a plan of more than a year", []string{"ends: 2027-03-10"}, "ends", "enrol.bad.longplan", false},
		{"a plan of five months", []string{"ends: 2026-08-02"}, "ends", "enrol.flag.longplan", true},
		{"a plan that ends before the ceiling", []string{"ends: 2026-03-20"}, "ends", "enrol.flag.endsfirst", true},
		{"nobody can hear, and no timetable", []string{"reporter: nobody", "timetable: no"}, "timetable", "enrol.bad.nobody", false},
		{"a timetable past the ceiling", []string{"timetable: yes", "timetable-top: 7"}, "timetable-top", "enrol.bad.top", false},
		{"a loud night that is quiet", []string{"loud: 5", "target: 5"}, "target", "enrol.bad.bounds", false},
		{"labels that do not reach the ceiling", []string{"setting-labels: A | B | C"}, "setting-labels", "enrol.bad.labels", false},
		{"the morning check-in in the night before's half", []string{"morning: 13:00", "evening: 12:30"}, "", "", false},
		{"evening after morning", []string{"evening: 6:00", "morning: 5:00"}, "morning", "enrol.bad.order", false},
		{"a checklist with a gap", []string{"checklist: seats smooth easy"}, "checklist", "enrol.bad.checklist", false},
		{"an AHI without its scoring rule", []string{"ahi: 22.5", "ahi-test: polysomnography"}, "ahi-rule", "enrol.bad.ahi", false},
		{"an AHI without its kind of test", []string{"ahi: 22.5", "ahi-rule: 3 %"}, "ahi-test", "enrol.bad.ahi", false},
		{"jaw pain before the first night", []string{"jaw-pain: 6"}, "jaw-pain", "enrol.flag.pain", true},
		{"loose teeth", []string{"loose-teeth: yes"}, "loose-teeth", "enrol.flag.loose", true},
		{"an opening of 25 mm", []string{"opening-mm: 25"}, "opening-mm", "enrol.flag.opening", true},
		{"a mechanism longer than any range", []string{"travel: 81"}, "travel", "enrol.bad.toolong", false},
		{"a mechanism as long as the widest range", []string{"travel: 80"}, "", "", false},
		{"a range that is all behind the habitual bite", []string{"zero: retruded", "retruded-mm: -4", "max-mm: 3", "start: -3", "ceiling: 1"}, "max-mm", "enrol.bad.behind", false},
		{"a retruded zero, and no way back to it", []string{"zero: retruded", "retruded-mm: 0"}, "retruded-mm", "enrol.flag.retruded", true},
		{"no guide to be shown", []string{"guide: no", "checklist: seats smooth easy turned"}, "", "", false},
		{"a guide that was not shown", []string{"checklist: seats smooth easy turned"}, "checklist", "enrol.bad.checklist", false},
		{"no ceiling named", []string{"ceiling:"}, "ceiling", "enrol.bad.empty", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, ps := filled(t, with(c.lines...))
			if c.key == "" {
				if len(ps) > 0 {
					t.Errorf("%+v", ps)
				}
				return
			}
			for _, p := range ps {
				if p.Field == c.field && p.Key == c.key && p.Soft == c.soft {
					return
				}
			}
			t.Errorf("want %s %s, got %+v", c.field, c.key, ps)
		})
	}
}

// Check holds every bound for an enrolment that never went through a form.
func TestCheckAlone(t *testing.T) {
	f, _ := filled(t, sample)
	for _, c := range []struct {
		field string
		spoil func(*chart.Enrolment)
	}{
		{"step-mm", func(e *chart.Enrolment) { e.Appliance.Step = 1001 }},
		{"zero", func(e *chart.Enrolment) { e.Baseline.Zero = chart.ZeroUnset }},
		{"zero", func(e *chart.Enrolment) { e.Baseline.Zero = 9 }},
		{"settle", func(e *chart.Enrolment) { e.Plan.Limits.Settle = 0 }},
		{"ceiling", func(e *chart.Enrolment) { e.Plan.Limits.Ceiling = 0 }},
		{"adult", func(e *chart.Enrolment) { e.Adult = false }},
		{"label", func(e *chart.Enrolment) { e.Label = "" }},
		{"label", func(e *chart.Enrolment) { e.Label = " \u2800\u3164 - " }},
		{"ends", func(e *chart.Enrolment) { e.Plan.Ends = 0 }},
		{"drives", func(e *chart.Enrolment) { e.Baseline.Drives = chart.Unknown }},
		{"checklist", func(e *chart.Enrolment) { e.Checklist = 0 }},
	} {
		e := f.Enrolment
		c.spoil(&e)
		ps := Check(e)
		found := false
		for _, p := range ps {
			found = found || p.Field == c.field && !p.Soft
		}
		if !found || !Refused(ps) {
			t.Errorf("%s: %+v", c.field, ps)
		}
	}
}

// A plan that is renewed runs from its new signature, not from fitting day.
func TestRenewedPlan(t *testing.T) {
	f, _ := filled(t, sample)
	e := f.Enrolment
	e.Plan.On, e.Plan.Ends = e.Plan.Fitted+500, e.Plan.Fitted+560
	if ps := Check(e); len(ps) > 0 {
		t.Errorf("%+v", ps)
	}
	e.Plan.Ends = e.Plan.On - 1
	if !Refused(Check(e)) {
		t.Error("a plan may end before it is signed")
	}
	e.Plan.Ends = e.Plan.On + chart.LongestPlan + 1
	if !Refused(Check(e)) {
		t.Error("a plan may run for more than a year")
	}
}

// Steps of 0.5 mm or more default to seven nights between them: two a week are
// the fastest home pace among the studies read (Fleury 2004, doi 10.1378/chest.125.5.1761).
func TestIntervalDefault(t *testing.T) {
	for step, want := range map[string]int16{"0.25": 3, "0.49": 3, "0.5": 7, "1": 7} {
		f, _ := filled(t, with("step-mm: "+step, "ceiling: 1"))
		if f.Enrolment.Plan.Limits.Interval != want {
			t.Errorf("step %s: interval %d", step, f.Enrolment.Plan.Limits.Interval)
		}
	}
}

// A timetable goes to half of the range, or half of the way where the start is there
// already; never past the ceiling.
func TestTimetableTop(t *testing.T) {
	for _, c := range []struct {
		start, ceiling string
		want           chart.Steps
	}{{"30 %", "70 %", 6}, {"50 %", "70 %", 3}, {"50 %", "5", 3}, {"30 %", "4", 4}} {
		f, ps := filled(t, with("timetable: yes", "start: "+c.start, "ceiling: "+c.ceiling))
		if got := f.Enrolment.Plan.Limits.TimetableTop; got != c.want || Refused(ps) {
			t.Errorf("from %s to %s: %d, want %d; %v", c.start, c.ceiling, got, c.want, ps)
		}
	}
}

// A plan that steps by timetable says so above the signature, however it came to it: by an
// answer, or because nobody hears the snoring; and how far that goes.
func TestTimetableIsShown(t *testing.T) {
	for want, f := range map[string]func() Filled{
		"enrol.flag.timetable": func() Filled { f, _ := filled(t, with("timetable: yes")); return f },
		"enrol.flag.unheard":   func() Filled { f, _ := filled(t, with("reporter: nobody")); return f },
		"":                     func() Filled { f, _ := filled(t, sample); return f },
	} {
		got := ""
		for _, p := range Check(f().Enrolment) {
			if p.Field == "timetable" {
				got = p.Key
				if !p.Soft || p.Args[0].N < 1 {
					t.Errorf("%+v", p)
				}
			}
		}
		if got != want {
			t.Errorf("shown: %q, want %q", got, want)
		}
	}
}

func TestPracticeDefaults(t *testing.T) {
	pr := practice.Practice{Lang: "es", Zone: "America/Lima", Evening: 1230, Morning: 420, PlanDays: 60,
		Defaults: chart.Limits{
			Settle: 5, Interval: 4, RestMornings: 4, Target: 0, Loud: 8, WornMinutes: 270, Pace: 750, ContactDays: 45}}
	var f Filled
	f.Fill(FormFields(), ReadPairs(strings.ReplaceAll(strings.ReplaceAll(strings.ReplaceAll(sample, "settle: 7\n", ""),
		"language: en\n", ""), "zone: Europe/Madrid\n", "")))
	if ps := f.Complete(FormFields(), &pr, civil.DateOf(2026, time.March, 2)); len(ps) > 0 {
		t.Fatal(ps)
	}
	l := f.Enrolment.Plan.Limits
	if l.Settle != 5 || l.Interval != 4 || l.RestMornings != 4 || l.Target != 0 || l.Loud != 8 || l.WornMinutes != 270 ||
		l.Pace != 750 || l.ContactDays != 45 {
		t.Errorf("%+v", l)
	}
	if e := f.Enrolment; e.Lang != "es" || e.Zone != "America/Lima" || e.Plan.Evening != 1230 ||
		e.Plan.Ends != e.Plan.Fitted+60 {
		t.Errorf("%+v", e.Plan)
	}
}

// From an AHI of 15 on, where moderate apnoea begins (doi 10.1186/s13063-019-3698-4), nobody is enrolled without another
// therapy unless the clinician says yes to it; symptoms before the first night are needed of everybody. A plan that is
// changed later is not refused for what was not asked when it was first signed.
func TestModerateWithoutAnotherTherapyNeedsAYes(t *testing.T) {
	e := chart.Enrolment{}
	e.Baseline.Test.AHI10 = chart.Num(150)
	refused := func(field string) bool {
		for _, p := range Check(e) {
			if p.Field == field && p.Key == "enrol.bad.missing" && !p.Soft {
				return true
			}
		}
		return false
	}
	if !refused("no-other") {
		t.Error("an AHI of 15.0 without another therapy asks for nothing")
	}
	e.Plan.Alone = chart.Num(chart.Yes)
	if refused("no-other") {
		t.Error("a yes does not do")
	}
	e.Plan.Alone, e.Plan.Fallback = chart.Unknown, "the mask"
	if refused("no-other") {
		t.Error("asked although another therapy is named")
	}
	e.Plan.Fallback, e.Baseline.Test.AHI10 = "", chart.Num(149)
	if refused("no-other") {
		t.Error("14.9 asks for it")
	}
	for _, field := range []string{"pauses", "headache", "sleepiness"} {
		if e.Plan.Rev = 0; !refused(field) {
			t.Errorf("%s is not needed", field)
		}
		if e.Plan.Rev = 2; refused(field) {
			t.Errorf("a change of the plan is refused for %s", field)
		}
	}
}

// A sleep test's kind is a word, and its rule no date.
func TestUnnamedTest(t *testing.T) {
	for _, c := range []struct{ kind, rule, field string }{
		{"polysomnography", "3 %", ""}, {"", "", ""}, {"2026-03-09", "3 %", "ahi-test"}, {"home test", "2026-03-09", "ahi-rule"}, {"22.5", "", "ahi-test"},
	} {
		ps := CheckOn(chart.Enrolment{Baseline: chart.Baseline{Test: chart.SleepTest{Kind: c.kind, Rule: c.rule}}}, 20514)
		got := ""
		for _, p := range ps {
			if p.Key == "enrol.bad.kind" {
				got = p.Field
			}
		}
		if got != c.field {
			t.Errorf("%+v: %q", c, got)
		}
	}
}
