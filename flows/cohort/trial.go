package cohort

import (
	"math"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
)

// Trial is what is run: one plan, so many nights, a seed. Patient n of it is a
// value of the three and n alone.
type Trial struct {
	Plan    chart.Enrolment
	Nights  int
	Seed    uint64
	Partner int     // nights of a week that every partner is there; 0: as the model draws it
	Dire    float64 // share of nights on which an emergency is said, where more than the model has
	Adverse bool    // answers are random, contradictory, malicious or missing, and so are staff
	Later   int     // days after Monday on which the patients are fitted

	Elsewhere Elsewhere // where the patients live; nil for the player's own room

	Watch func(*flows.Patient, *flows.Event, *flows.Out) // sees every event, what it made of the patient and what it ordered; nil for nobody
	Says  func(n int, l *Lived) *Sentence                // what is typed once a week, besides answers; nil for nothing
}

// monday is fitting day: an invented Monday.
var monday = civil.DateOf(2026, 3, 2)

// Usual is the plan where none is given: the usual defaults, half of the
// protrusion at the start, 70 % the ceiling, a quarter of a millimetre a step.
func Usual() chart.Enrolment {
	return chart.Enrolment{
		Label: "V-1", Lang: "en", Zone: "UTC", Phone: "555 0142", Adult: true, Checklist: 1<<chart.NumChecks - 1,
		Appliance: chart.Appliance{Mechanism: "side screws", StepWord: "half turn", Step: 250, Forward: "towards the mark", Travel: 24, Guide: true, GuideMin: 5},
		Baseline:  chart.Baseline{Max: 8800, Zero: chart.ZeroHabitual, Start: 4400, Pain: chart.Num(0), Reporter: chart.Num(chart.ReporterPartner), Snoring: chart.Num(8), Drives: chart.Num(chart.No), Sleepy: chart.Num(4), Headache: chart.Num(chart.No), Pauses: chart.Num(chart.No)},
		Plan: chart.Plan{Fitted: monday, Ends: monday + 90, Evening: 21 * 60, Morning: 7*60 + 30, Boundary: civil.Noon,
			Fallback: "the mask",
			Limits:   chart.Limits{Ceiling: 7, Settle: 3, Interval: 3, RestMornings: 3, Target: 3, Loud: 7, WornMinutes: 240, Pace: 1000, ContactDays: 90}},
	}
}

// enrol measures one virtual patient: the plan's start and ceiling are taken as
// shares of the greatest protrusion and found on the patient's own, as a
// clinician does at the chair. The plan runs for all of the nights.
func (tr *Trial) enrol(p *person) chart.Enrolment {
	e := tr.Plan
	b, l := &e.Baseline, &e.Plan.Limits
	step := float64(e.Appliance.Step)
	most := float64(max(chart.PlaceOf(b, 1000), 1)) // from the habitual bite, whatever the plan's zero
	start := float64(b.Start) / most
	share := func(at chart.Steps) float64 { return (float64(b.Start) + float64(at)*step) / most }
	own := func(share float64) chart.Steps {
		n := chart.Steps(math.Floor(p.most*1000*(share-start)/step + 1e-6))
		return max(min(n, e.Appliance.Travel), 1)
	}
	l.Ceiling, l.TimetableTop = own(share(l.Ceiling)), own(share(l.TimetableTop))
	b.Max, b.Zero, b.Retruded = chart.Micrometres(p.most*10)*100, chart.ZeroHabitual, 0
	b.Start = chart.Micrometres(math.Floor(start*p.most*10)) * 100
	b.Pain, b.Snoring, b.Sleepy = chart.Num(p.base), chart.Num(int(math.Round(p.snore))), chart.Num(p.sleepy)
	b.Headache, b.Pauses = chart.Num(yesNo(p.headaches)), chart.Num(yesNo(p.pauses))
	e.Plan.Fitted = tr.fitted()
	e.Plan.Ends = e.Plan.Fitted + civil.Date(min(tr.Nights, chart.LongestPlan))
	e.Label, e.Lang, e.Adult = "V-1", "en", true
	e.Appliance.Labels = nil
	return e
}

// fitted is the fitting day of the trial's patients.
func (tr *Trial) fitted() civil.Date { return monday + civil.Date(tr.Later) }

// invented is an invented one: two people, office hours on weekdays.
func invented() practice.Practice {
	pr := practice.Practice{Rev: 1, Name: "Ventana Sur", Phone: "555 0100", Emergency: "112", OutOfHours: "555 0199",
		Zone: "UTC", Lang: "en", Langs: []string{"en"},
		Staff: []practice.Staff{{ID: clinician, Label: "Dr A", Role: practice.Clinician, Chat: 101, Lang: "en"}, {ID: assistant, Label: "B", Role: practice.Assistant, Chat: 102, Lang: "en"}}}
	for d := 1; d <= 5; d++ {
		pr.Hours[d] = []practice.Span{{From: 9 * 60, To: 17 * 60}}
	}
	return pr
}

const clinician, assistant = "s1", "s2"

// Fitted is the fitting day of every virtual patient.
func Fitted() civil.Date { return monday }

// Monday is the fitting day of every virtual patient.
func Monday() civil.Date { return monday }
