package flows_test

import (
	"slices"
	"strings"
	"testing"

	"duskdawn/flows/message"
	"duskdawn/flows/redflag"
)

// Each caution below an emergency says what to stop: wearing it where it is left out, turning
// it where no step is made, or that nothing is to change; one of the three says it in each
// language, but where another act says more.
func TestCautionsSayWhatToStop(t *testing.T) {
	w, err := loadWords()
	if err != nil {
		t.Fatal(err)
	}
	wearing := []string{"Stop wearing it", "Deje de usarlo"}
	turning := []string{"Stop turning it", "Do not turn it", "Keep wearing it, same setting", "Deje de girarlo", "Deje de avanzarlo", "No lo gire", "Siga con él, en la misma posición"}
	others := map[string]string{"stuck": "it cannot be taken out", "appliance.lost": "there is nothing to stop", "lowmood": "kind words, and a line to call",
		"mouth.sore": "it holds nothing"}
	for _, row := range redflag.Rows() {
		if row.Class == redflag.ClassE || row.Beside {
			continue
		}
		says := turning
		if (row.Wear == redflag.WearOut || row.Wear == redflag.WearTonight) && !row.Sole {
			says = wearing
		}
		for _, lang := range w.Languages() {
			text := w.Line(lang, message.Say(row.Caution, message.ArgS("number", "112"), message.ArgS("crisis", "C"), message.ArgK("wear", "caution.wear.keep")))
			said := slices.ContainsFunc(says, func(s string) bool { return strings.Contains(text, s) })
			if why := others[row.ID]; said == (why != "") {
				t.Errorf("%s, %s (%s): %q", row.ID, lang, why, text)
			}
			if never := strings.Contains(text, "never force it") || strings.Contains(text, "nunca lo fuerce"); row.ID == "appliance.seat" && !never {
				t.Errorf("%s: what does not seat may be forced: %q", lang, text)
			}
		}
	}
}
