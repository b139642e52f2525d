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
