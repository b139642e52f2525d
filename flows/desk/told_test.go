package desk

import (
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/message"
)

// A card repeats what the patient was told as it was said, not as it would be said now;
// what one message said beside several cautions stands once. A card that an older
// program stored has no such words: they are worked out.
func TestCardRepeatsWhatWasSaid(t *testing.T) {
	p := loaded()
	said := []message.Arg{message.ArgK("wear", "caution.wear.keep"), message.ArgS("number", "911"), message.ArgS("phone", "555 0100")}
	for i := range p.Escalations {
		x := &p.Escalations[i]
		x.Told, x.Via, x.Heard = "caution.driving", 1, true
		x.Words = flows.Words{Keys: []string{"caution.driving", "when.soon"}, Args: said, Of: []uint32{7, 7}}
	}
	p.Escalations[0].Told, p.Escalations[0].Words.Keys = "caution.bleeding", []string{"caution.bleeding", "when.soon"}
	pr := newWorld(t).pr
	pr.Emergency = "112"
	lines, _ := Show(pr, ondine, message.Message{View: message.ViewCard}, p, nil)
	if got := keysOf(lines); !strings.Contains(got, "told caution.driving when.soon waits") || !strings.Contains(got, "told caution.bleeding ack") {
		t.Errorf("card %s", got)
	}
	if w, n := argOf(t, lines, "caution.driving", "wear"), argOf(t, lines, "caution.bleeding", "number"); w.S != "caution.wear.keep" || n.S != "911" {
		t.Errorf("wear %s, number %s", w.S, n.S)
	}
	for i := range p.Escalations {
		p.Escalations[i].Words = flows.Words{}
	}
	lines, _ = Show(pr, ondine, message.Message{View: message.ViewCard}, p, nil)
	if w := argOf(t, lines, "caution.driving", "wear"); w.S != p.Course.WearKey() {
		t.Errorf("of an older program: %s", w.S)
	}
}
