package desk

import (
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// What a card says of wear where something was perhaps said does not contradict a flag
// that has it left out.
func TestUnsureAgreesWithTheFlags(t *testing.T) {
	p := flows.Patient{Label: "K-17"}
	p.Course.State = chart.Stopped
	p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassE, Reason: "chest", Unsure: true}}
	says := func(key string) bool {
		for _, l := range Card(&practice.Practice{}, &p) {
			if l.Key == key {
				return true
			}
		}
		return false
	}
	if !says("desk.card.unsure") || says("desk.card.unsure.out") {
		t.Error("no flag is open")
	}
	p.Course.Flags = []redflag.Flag{{ID: "jaw.locked", Class: redflag.ClassS, Wear: redflag.WearOut}}
	if says("desk.card.unsure") || !says("desk.card.unsure.out") {
		t.Error("a flag has it left out")
	}
}

// Whoever moves a patient to steady sees the newest test that counts, and what is open.
func TestSteadyShowsTheTestAndWhatIsOpen(t *testing.T) {
	w := newWorld(t)
	w.patient.Course.State = chart.Testing
	test := chart.SleepTest{On: w.patient.Plan.Fitted, Kind: "home", AHI10: chart.Num(31), Rule: "AASM", InPlace: true, By: "Dr F"}
	w.patient.Tests = []chart.SleepTest{test}
	w.patient.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassN, Reason: flows.WhyTest},
		{N: 2, Class: redflag.ClassN, Reason: flows.WhyMessage, Quote: "my chest hurts", Unread: true}}
	w.card(clinician, opSteady, "")
	for _, key := range []string{"desk.test.head", "desk.test.ahi", "desk.test.by", "ahead.waiting", "desk.card.quote"} {
		if !w.heard(clinician, key) {
			t.Errorf("%s is not shown: %v", key, w.keys(clinician))
		}
	}
	w.press(clinician, "desk.b.cancel")
	w.said[clinician] = nil
	w.patient.Escalations = w.patient.Escalations[:1]
	w.card(clinician, opSteady, "")
	if !w.heard(clinician, "desk.test.by") || w.heard(clinician, "ahead.waiting") {
		t.Error("what is decided by it is named as open")
	}
}
