package desk

import (
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/redflag"
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

// The card that rings has whom to call at its top, what is new before what is old, what
// people wrote down since, and whether somebody had it before.
func TestARingCardHasWhatItsReaderNeeds(t *testing.T) {
	w := newWorld(t)
	p := loaded()
	p.Phone = "555 0142"
	at := civil.Wall{Date: 20511, Clock: 900}
	p.Escalations = []flows.Escalation{
		{N: 1, Class: redflag.ClassN, Reason: flows.WhyMile, Raised: civil.Wall{Date: 20511, Clock: 600}, RaisedAt: 5, Deadline: 10},
		{N: 2, Class: redflag.ClassN, Reason: "P09", Raised: at, RaisedAt: 30, Deadline: 90},
		{N: 3, Class: redflag.ClassN, Reason: "tooth.loose", Raised: at, RaisedAt: 20, Deadline: 80, HadBy: "s2"}}
	p.Course.Flags = nil
	p.Noted = []flows.Noted{{At: civil.Wall{Date: 20400}, By: "s1", Op: flows.OrderNote, Text: "long ago"},
		{At: at, By: "s2", Op: flows.OrderContact, Text: "sent to the emergency department"}, {At: at, By: "s2", Op: flows.OrderNote, N: 3, Text: "on the way"}}
	p.Escalations[0].HadBy = "s2"
	show := func() string {
		lines, _ := Show(w.pr, ondine, message.Message{View: message.ViewEscalation, MediaOf: "1"}, p, nil)
		w.check(message.Message{Lines: lines})
		var reasons []string
		for _, l := range lines {
			if l.Key == "desk.card.esc" {
				reasons = append(reasons, argIn(t, l, "reason").S)
			}
		}
		if got := strings.Join(reasons, " "); got != "flag.tooth.loose.name rule.P09.name desk.reason.milestone" {
			t.Errorf("in the order %s", got)
		}
		return strings.ReplaceAll(keysOf(lines), "desk.", "")
	}
	if got := show(); !strings.HasPrefix(got, "head.class phone ") || !strings.Contains(got, "had noted.contact noted.note setting") {
		t.Errorf("card %s", got)
	}
	for i := range w.pr.Staff {
		w.pr.Staff[i].Removed = w.pr.Staff[i].ID == "s2"
	}
	if got := show(); !strings.Contains(got, "left.practice noted.contact") {
		t.Errorf("card %s", got)
	}
}
