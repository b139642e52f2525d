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
