package flows

import (
	"slices"
	"testing"
)

// tallied is a patient with a test before and one after, and nights at the
// start and two steps on.
func tallied() (*Patient, []Entry) {
	p := &Patient{}
	p.Baseline.Reporter = Num(ReporterPartner)
	p.Baseline.Test = SleepTest{AHI10: Num(300), Rule: "A"}
	p.Tests = []SleepTest{{On: 20, AHI10: Num(90), Rule: "A", InPlace: true, By: "s", Asleep: 450}}
	p.Course.Left = 2
	var nights []Entry
	for i := range 14 {
		e := Entry{Night: Date(i)}
		e.V[Worn], e.V[WornMinutes] = Num(WornPart), Num(360)
		e.V[Reporter], e.V[Snoring] = Num(ReporterPartner), Num(8)
		if i >= 7 {
			e.Low, e.High = 2, 2
			e.V[Snoring] = Num(6)
		}
		nights = append(nights, e)
	}
	return p, nights
}

func outcome(t *testing.T, os []Outcome, id string) Outcome {
	t.Helper()
	i := slices.IndexFunc(os, func(o Outcome) bool { return o.ID == id })
	if i < 0 {
		t.Fatalf("no %s", id)
	}
	return os[i]
}

func value(o Outcome, name string) Arg {
	for _, a := range o.Args {
		if a.Name == name {
			return a
		}
	}
	return Arg{S: "none of that name", N: -1}
}

// The checks of the parts, once more through the whole: AHI 30 to 9 is -70.0 %
// (doi 10.5664/jcsm.6492), 6.0 of 7.5 hours 80 %, so alleviated by 56.0 %
// (formula from memory: Thorax 2013;68:91-6); snoring 8 to 6 is -25.0 %
// (PMC8726364 table 3); the two rules of adherence: doi 10.15331/jdsm.7204.
func TestTally(t *testing.T) {
	p, nights := tallied()
	os := Tally(p, nights)
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
		o := outcome(t, os, x.id)
		if a := value(o, x.name); o.No != Defined || a.N != x.n || a.S != x.s {
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
func TestTallyRefuses(t *testing.T) {
	for name, x := range map[string]struct {
		spoil func(p *Patient, nights []Entry) []Entry
		want  map[string]Undefined
	}{
		"nothing": {func(_ *Patient, n []Entry) []Entry { return n }, nil},
		"silent nights": {func(_ *Patient, n []Entry) []Entry {
			for i := range n {
				n[i].V[Worn], n[i].V[WornMinutes] = Unknown, Unknown
			}
			return n
		}, map[string]Undefined{"adherence-payer": NotAnswered, "adherence-dental": NoWeek, "alleviation": NotAnswered}},
		"no test":      {func(p *Patient, n []Entry) []Entry { p.Tests = nil; return n }, map[string]Undefined{"severity": NotMeasured, "response": NotMeasured, "alleviation": NotMeasured, "adherence-dental": NoWeek}},
		"another rule": {func(p *Patient, n []Entry) []Entry { p.Tests[0].Rule = "B"; return n }, map[string]Undefined{"response": OtherRule, "alleviation": OtherRule}},
		"from 0":       {func(p *Patient, n []Entry) []Entry { p.Baseline.Test.AHI10 = Num(0); return n }, map[string]Undefined{"response": FromZero, "alleviation": FromZero}},
		"not worn":     {func(p *Patient, n []Entry) []Entry { p.Tests[0].InPlace = false; return n }, map[string]Undefined{"severity": NotWornTest, "response": NotWornTest, "alleviation": NotWornTest}},
		"sleep":        {func(p *Patient, n []Entry) []Entry { p.Tests[0].Asleep = 0; return n }, map[string]Undefined{"alleviation": NoSleep, "adherence-dental": NoWeek}},
		"three nights": {func(_ *Patient, n []Entry) []Entry { return n[4:] }, map[string]Undefined{"snoring-change": TooFew}},
		"at the start": {func(p *Patient, n []Entry) []Entry { p.Course.Left = 0; return n }, map[string]Undefined{"snoring-change": NotMoved}},
		"two reporters": {func(_ *Patient, n []Entry) []Entry {
			for i := range n[7:] {
				n[7+i].V[Reporter] = Num(ReporterRecorder)
			}
			return n
		}, map[string]Undefined{"snoring-change": OtherReporter}},
		"quiet before": {func(_ *Patient, n []Entry) []Entry {
			for i := range n[:7] {
				n[i].V[Snoring] = Num(0)
			}
			return n
		}, map[string]Undefined{"snoring-change": FromZero}},
	} {
		p, nights := tallied()
		os := Tally(p, x.spoil(p, nights))
		for _, o := range os {
			if o.No != x.want[o.ID] {
				t.Errorf("%s: %s refused %q, want %q", name, o.ID, o.No, x.want[o.ID])
			}
			if o.No != Defined && (o.Say().Key != "outcome.refused" || len(o.Args) > 0) {
				t.Errorf("%s: %s: %+v", name, o.ID, o.Say())
			}
		}
	}
}

// The newest test that was worn and read is the proof, whatever came after it.
func TestTallyTakesTheProof(t *testing.T) {
	p, nights := tallied()
	p.Tests = append(p.Tests, SleepTest{On: 30, AHI10: Num(250), Rule: "A", By: "s"})
	if o := outcome(t, Tally(p, nights), "response"); value(o, "change").N != -700 {
		t.Errorf("%+v", o)
	}
}
