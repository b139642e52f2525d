package why

import (
	"slices"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/outcome"
)

// course is a patient with a test before and one after, and nights at the
// start and two steps on.
func course() (*flows.Patient, []chart.Entry) {
	p := &flows.Patient{}
	p.Baseline.Reporter = chart.Num(chart.ReporterPartner)
	p.Baseline.Test = chart.SleepTest{AHI10: chart.Num(300), Rule: "A"}
	p.Tests = []chart.SleepTest{{On: 20, AHI10: chart.Num(90), Rule: "A", InPlace: true, By: "s", Asleep: 450}}
	p.Course.Left = 2
	var nights []chart.Entry
	for i := range 14 {
		e := chart.Entry{Night: civil.Date(i)}
		e.V[chart.Worn], e.V[chart.WornMinutes] = chart.Num(chart.WornPart), chart.Num(360)
		e.V[chart.Reporter], e.V[chart.Snoring] = chart.Num(chart.ReporterPartner), chart.Num(8)
		if i >= 7 {
			e.Low, e.High = 2, 2
			e.V[chart.Snoring] = chart.Num(6)
		}
		nights = append(nights, e)
	}
	return p, nights
}

func outcomeOf(t *testing.T, os []Outcome, id string) Outcome {
	t.Helper()
	i := slices.IndexFunc(os, func(o Outcome) bool { return o.ID == id })
	if i < 0 {
		t.Fatalf("no %s", id)
	}
	return os[i]
}

func value(o Outcome, name string) message.Arg {
	for _, a := range o.Args {
		if a.Name == name {
			return a
		}
	}
	return message.Arg{S: "none of that name", N: -1}
}

// The checks of the parts, once more through the whole: AHI 30 to 9 is -70.0 %
// (doi 10.5664/jcsm.6492), 6.0 of 7.5 hours 80 %, so alleviated by 56.0 %
// (formula from memory: Thorax 2013;68:91-6); snoring 8 to 6 is -25.0 %
// (PMC8726364 table 3); the two rules of adherence: doi 10.15331/jdsm.7204.
func TestReport(t *testing.T) {
	p, nights := course()
	os := Report(p, nights)
	for _, x := range []struct {
		id, name string
		n        int64
		s        string
	}{
		{"adherence-payer", "share", 1000, ""}, {"adherence-payer", "calendar", 14, ""}, {"adherence-payer", "met", 0, "why.yes"},
		{"adherence-dental", "met", 2, ""}, {"adherence-dental", "unknown", 0, ""},
		{"severity", "was", 0, "severity.severe"}, {"severity", "is", 0, "severity.mild"},
		{"response", "change", -700, ""}, {"response", "met", 0, "why.yes"}, {"success", "met", 0, "why.yes"}, {"resolved", "met", 0, "why.no"},
		{"strict", "met", 0, "why.no"}, {"partial", "met", 0, "why.yes"}, {"unresolved", "met", 0, "why.no"},
		{"alleviation", "share", 560, ""}, {"alleviation", "worn", 360, ""}, {"alleviation", "nights", 14, ""},
		{"snoring-change", "change", -250, ""}, {"snoring-change", "before", 7, ""}, {"snoring-change", "after", 7, ""}, {"snoring-change", "met", 0, "why.yes"},
	} {
		o := outcomeOf(t, os, x.id)
		if a := value(o, x.name); o.No != outcome.Defined || a.N != x.n || a.S != x.s {
			t.Errorf("%s %s: %+v, refused %q", x.id, x.name, a, o.No)
		}
	}
	for _, o := range os {
		if _, ok := FigureOf(o.ID); !ok {
			t.Errorf("%s goes by no definition", o.ID)
		}
	}
}

// Every refusal, each by its own reason; nothing else is refused with it.
func TestReportRefuses(t *testing.T) {
	for name, x := range map[string]struct {
		spoil func(p *flows.Patient, nights []chart.Entry) []chart.Entry
		want  map[string]outcome.Undefined
	}{
		"nothing": {func(_ *flows.Patient, n []chart.Entry) []chart.Entry { return n }, nil},
		"silent nights": {func(_ *flows.Patient, n []chart.Entry) []chart.Entry {
			for i := range n {
				n[i].V[chart.Worn], n[i].V[chart.WornMinutes] = chart.Unknown, chart.Unknown
			}
			return n
		}, map[string]outcome.Undefined{"adherence-payer": outcome.NotAnswered, "adherence-dental": outcome.NoWeek,
			"alleviation": outcome.NotAnswered}},
		"no test": {func(p *flows.Patient, n []chart.Entry) []chart.Entry { p.Tests = nil; return n },
			map[string]outcome.Undefined{"severity": outcome.NotMeasured, "response": outcome.NotMeasured,
				"alleviation": outcome.NotMeasured, "adherence-dental": outcome.NoWeek}},
		"another rule": {func(p *flows.Patient, n []chart.Entry) []chart.Entry { p.Tests[0].Rule = "B"; return n },
			map[string]outcome.Undefined{"response": outcome.OtherRule, "alleviation": outcome.OtherRule}},
		"from 0": {func(p *flows.Patient, n []chart.Entry) []chart.Entry { p.Baseline.Test.AHI10 = chart.Num(0); return n },
			map[string]outcome.Undefined{"response": outcome.FromZero, "alleviation": outcome.FromZero}},
		"not worn": {func(p *flows.Patient, n []chart.Entry) []chart.Entry { p.Tests[0].InPlace = false; return n },
			map[string]outcome.Undefined{"severity": outcome.NotWornTest, "response": outcome.NotWornTest,
				"alleviation": outcome.NotWornTest}},
		"sleep": {func(p *flows.Patient, n []chart.Entry) []chart.Entry { p.Tests[0].Asleep = 0; return n }, map[string]outcome.Undefined{"alleviation": outcome.NoSleep, "adherence-dental": outcome.NoWeek}},
		"three nights": {func(_ *flows.Patient, n []chart.Entry) []chart.Entry { return n[4:] },
			map[string]outcome.Undefined{"snoring-change": outcome.TooFew}},
		"at the start": {func(p *flows.Patient, n []chart.Entry) []chart.Entry { p.Course.Left = 0; return n },
			map[string]outcome.Undefined{"snoring-change": outcome.NotMoved}},
		"two reporters": {func(_ *flows.Patient, n []chart.Entry) []chart.Entry {
			for i := range n[7:] {
				n[7+i].V[chart.Reporter] = chart.Num(chart.ReporterRecorder)
			}
			return n
		}, map[string]outcome.Undefined{"snoring-change": outcome.OtherReporter}},
		"quiet before": {func(_ *flows.Patient, n []chart.Entry) []chart.Entry {
			for i := range n[:7] {
				n[i].V[chart.Snoring] = chart.Num(0)
			}
			return n
		}, map[string]outcome.Undefined{"snoring-change": outcome.FromZero}},
	} {
		p, nights := course()
		os := Report(p, x.spoil(p, nights))
		for _, o := range os {
			if o.No != x.want[o.ID] {
				t.Errorf("%s: %s refused %q, want %q", name, o.ID, o.No, x.want[o.ID])
			}
			if o.No != outcome.Defined && (o.Say().Key != "outcome.refused" || len(o.Args) > 0) {
				t.Errorf("%s: %s: %+v", name, o.ID, o.Say())
			}
		}
	}
}

// The newest test that was worn and read is the proof, whatever came after it.
func TestReportTakesTheProof(t *testing.T) {
	p, nights := course()
	p.Tests = append(p.Tests, chart.SleepTest{On: 30, AHI10: chart.Num(250), Rule: "A", By: "s"})
	if o := outcomeOf(t, Report(p, nights), "response"); value(o, "change").N != -700 {
		t.Errorf("%+v", o)
	}
}

// A fall of snoring counts from a quarter on (PMC8726364 table 3): 41 of seven nights
// after 39 of five are 24.9 % less, and none.
func TestSnoringThatFellByLessThanAQuarter(t *testing.T) {
	p, nights := course()
	nights = nights[2:] // five at the start
	nights[0].V[chart.Snoring], nights[5].V[chart.Snoring] = chart.Num(7), chart.Num(5)
	o := outcomeOf(t, Report(p, nights), "snoring-change")
	if value(o, "change").N != -249 || value(o, "met").S != "why.no" {
		t.Errorf("%+v", o)
	}
}

// Good nights alone are told: all five of five that were answered count, of 42 on the
// calendar they are 11.9 %, and the payer's rule is not met.
func TestFewGoodNightsDoNotMeetTheRule(t *testing.T) {
	p, nights := course()
	for i := civil.Date(14); i < 42; i++ {
		nights = append(nights, chart.Entry{Night: i})
	}
	for i := range nights[5:] {
		nights[5+i].V[chart.Worn], nights[5+i].V[chart.WornMinutes] = chart.Unknown, chart.Unknown
	}
	o := outcomeOf(t, Report(p, nights), "adherence-payer")
	for name, want := range map[string]int64{"nights": 5, "answered": 5, "calendar": 42, "share": 1000, "whole": 119} {
		if a := value(o, name); a.N != want {
			t.Errorf("%s %+v, want %d", name, a, want)
		}
	}
	if a := value(o, "met"); a.S != "why.no" {
		t.Errorf("met: %+v", a)
	}
}
