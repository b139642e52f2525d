package locales

import (
	"strings"
	"testing"

	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/redflag"
)

// Every rule, reason, refusal and flag has its texts in every language.
func TestRulesAndFlagsHaveWords(t *testing.T) {
	w := load(t)
	keys := map[string]bool{"desk.reason.guard": true}
	for _, row := range pacing.Rules() {
		keys[row.Name], keys[row.Desk] = true, true
	}
	for _, row := range redflag.Rows() {
		keys[row.Caution], keys["flag."+row.ID+".name"], keys["flag."+row.ID+".desk"] = true, true, true
	}
	reasons := 0
	for s := range literals(t, "../flows") {
		switch first, _, _ := strings.Cut(s, "."); {
		case first == "reason", first == "refuse", first == "undefined", strings.HasPrefix(s, "caution.wear."):
			keys[s] = true
			reasons++
		}
	}
	if reasons < 30 {
		t.Errorf("only %d reasons found in the sources", reasons)
	}
	for _, lang := range w.Languages() {
		have := w.tongues[lang].keys
		for key := range keys {
			if !have[key] {
				t.Errorf("%s has no %q", lang, key)
			}
		}
		for key := range have {
			if first, _, _ := strings.Cut(key, "."); first == "reason" || first == "refuse" || first == "undefined" ||
				first == "caution" || first == "flag" {
				if !keys[key] {
					t.Errorf("%s: nothing uses %q", lang, key)
				}
			}
		}
	}
}

// An emergency's one act and the fixed cautions stay what a clinician agreed to. Each says what to stop: wearing it,
// turning it, or driving.
func TestFixedCautions(t *testing.T) {
	w := load(t)
	for key, want := range map[string]string{
		"caution.driving":     "Keep wearing it, same setting. Do not drive until you have spoken with your physician or us.",
		"caution.pain.severe": "Stop wearing it until we have talked. Contact your dentist or physician today.",
		"caution.jaw.locked":  "Stop wearing it, and do not force your jaw. Contact your dentist or physician today.",
	} {
		if got := w.Line("en", message.Say(key, message.ArgK("wear", "caution.wear.keep"))); got != want {
			t.Errorf("%s: %q", key, got)
		}
	}
	for _, lang := range w.Languages() {
		for _, row := range redflag.Rows() {
			text := strings.ToLower(w.Line(lang, message.Say(row.Caution, message.ArgS("number", "112"),
				message.ArgS("phone", "0"), message.ArgS("practice", "Q"), message.ArgS("fallback", "F"))))
			for _, never := range []string{"treated", "cured", "safe to drive", "mg", "paracetamol", "ibuprofen", "curado",
				"seguro para conducir"} {
				if strings.Contains(text, never) {
					t.Errorf("%s says %q: %q", row.ID, never, text)
				}
			}
			if n := strings.Count(text, ". ") + 1; n > 3 {
				t.Errorf("%s: %d sentences", row.ID, n)
			}
		}
	}
}

// Whoever reads what to do in an emergency may be abroad: each text that names the practice's emergency number names the
// local one beside it.
func TestEmergencyLinesNameTheLocalNumber(t *testing.T) {
	w := load(t)
	for lang, local := range map[string]string{"en": "or the local emergency number where you are", "es": "o al número de emergencias"} {
		for _, key := range []string{"emergency.line", "emergency.evening", "emergency.over", "when.emergency", "now.there", "now.gone", "help.emergency",
			"consent.emergency", "aside.sorry", "restore.call", "wrong.urgent", "caution.bleeding", "caution.cough", "desk.stranger.emergency"} {
			if text := w.Line(lang, message.Say(key, message.ArgS("number", "112"), message.ArgS("phone", "0"))); !strings.Contains(text, "112") ||
				!strings.Contains(text, local) {
				t.Errorf("%s, %s: %q", lang, key, text)
			}
		}
	}
}
