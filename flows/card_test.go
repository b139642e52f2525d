package flows_test

import (
	"slices"
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/desk"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// The card of two nights left out says what decides how long that may last: AHI,
// driving for work, and the other therapy, or that there is none.
func TestTheCardOfNightsLeftOut(t *testing.T) {
	k := start(t)
	show := func() string {
		k.p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassN, Reason: flows.WhyLeftOut}}
		lines, _ := desk.Show(k.pr, practice.Staff{ID: "s1", Role: practice.Clinician, Chat: 900, Lang: "en"},
			message.Message{View: message.ViewEscalation, MediaOf: "1"}, k.p, nil)
		return k.w.Text("en", message.Message{Lines: lines})
	}
	says := func(card string, want bool, parts ...string) {
		t.Helper()
		for _, s := range parts {
			if strings.Contains(card, s) != want {
				t.Errorf("%q is %v on\n%s", s, !want, card)
			}
		}
	}
	says(show(), true, "AHI before treatment: not known", "No other therapy")
	says(show(), false, "Drives for work")
	k.p.Baseline.Test.AHI10, k.p.Baseline.Drives, k.p.Plan.Fallback = chart.Num(225), chart.Num(chart.Yes), "the night mask"
	says(show(), true, "AHI before treatment: 22.5", "Drives for work", "the night mask")
	says(show(), false, "No other therapy")
}

// Whoever writes words that nobody reads at once is told so, and so is who asks for help.
func TestPatientsAreToldThatNobodyWatches(t *testing.T) {
	k := start(t)
	for _, text := range []string{"the case is too small", "/help"} {
		k.say(text)
		for lang, want := range map[string]string{"en": "Nobody watches this chat", "es": "Nadie vigila este chat"} {
			if !slices.ContainsFunc(k.heard, func(s flows.Send) bool { return strings.Contains(k.w.Text(lang, s.Msg), want) }) {
				t.Errorf("%s, %q: %v", lang, text, k.text)
			}
		}
	}
}

// Pain of 8 and more: the morning's caution and the evening's advice both name the other
// therapy of the plan, or the practice's words where it has none, and speak of driving.
func TestLeftOutNamesTheOtherTherapyInWords(t *testing.T) {
	for other, want := range map[string]string{"": "You have no other treatment tonight", "the night mask": "Use your other therapy tonight: the night mask."} {
		k := start(t, func(p *flows.Patient) { p.Plan.Fallback = other })
		k.quiet(mon2, "all night, snore 6, pain 9, bite guide used, bite ok")
		k.hears("Stop wearing it", want, "Do not drive if you are sleepy.")
		k.to(mon2+1, 23, 0)
		k.hears("eave it out", want, "Do not drive if you are sleepy.")
	}
}
