package flows_test

import (
	"slices"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
)

// Words that were passed on and that nobody has taken hold the step (P19); once a
// person has, it comes.
func TestWordsNotReadHoldTheStep(t *testing.T) {
	k := start(t)
	for d := range civil.Date(3) {
		k.quiet(mon2+d, day)
	}
	k.to(mon2+3, 15, 0)
	k.say("the blue thing in its box hums a song")
	k.to(mon2+3, 21, 30)
	k.say("No problem tonight")
	if a := k.p.Course.Advice; a.Action != chart.Stay || a.Rule != pacing.P19 {
		t.Fatalf("%+v", a)
	}
	k.hears("read your words")
	k.say("It stands at 0")
	k.to(mon2+4, 7, 0)
	k.say(day)
	k.event(flows.Order{Actor: flows.Actor{ID: "s1"}, Op: flows.OrderAck, Esc: k.p.Escalations[0].N})
	k.to(mon2+4, 21, 30)
	k.say("No problem tonight")
	if a := k.p.Course.Advice; a.Action != chart.Forward {
		t.Fatalf("%+v", a)
	}
}

// Words that join what somebody has taken before are read when that person says so, by the same button: of an item
// that was taken, of a danger that perhaps was meant, and of a turn the wrong way, whatever it stands at afterwards.
func TestWordsThatJoinWhatIsTakenAreNotRead(t *testing.T) {
	for text, c := range map[string]struct{ first, then string }{
		"my wife thinks that a tooth of mine is loose": {"my wife thinks that a tooth of mine is loose", ""},
		"Rotated in reverse direction":                 {"the blue thing in its box hums a song", "It stands at 0"},
	} {
		k := start(t)
		ack := func() {
			for _, esc := range slices.Clone(k.p.Escalations) {
				k.event(flows.Order{Actor: flows.Actor{ID: "s1"}, Op: flows.OrderAck, Esc: esc.N})
			}
		}
		for d := range civil.Date(3) {
			k.quiet(mon2+d, day)
		}
		k.to(mon2+3, 9, 30)
		k.say(c.first)
		k.to(mon2+3, 10, 30)
		ack()
		k.to(mon2+3, 15, 0)
		if k.say(text); c.then != "" {
			k.say(c.then)
		}
		k.quiet(mon2+3, day)
		if a := k.p.Course.Advice; a.Action != chart.Stay || !a.Fired.Has(pacing.P19) {
			t.Fatalf("%s: nobody has read it: %+v", text, a)
		}
		ack()
		k.to(mon2+4, 21, 30)
		k.say("No problem tonight")
		if a := k.p.Course.Advice; a.Fired.Has(pacing.P19) {
			t.Errorf("%s: read, and it holds still: %+v", text, a)
		}
	}
}

// What was perhaps a danger, and is neither answered nor read, holds it too: while it is asked, and after silence.
func TestADoubtHoldsTheStep(t *testing.T) {
	for name, c := range map[string]struct {
		hour, minute int
		then         string // the answer
		held         bool
	}{
		"silence":  {15, 0, "", true},
		"just now": {21, 25, "", true},
		"answered": {15, 0, "It was earlier", false},
		"none":     {0, 0, "", false},
	} {
		k := start(t)
		for d := range civil.Date(3) {
			k.quiet(mon2+d, day)
		}
		if c.hour > 0 {
			k.to(mon2+3, c.hour, c.minute)
			k.say("my wife thinks that a tooth of mine is loose")
			k.hears("Is this happening now")
		}
		if c.then != "" {
			k.say(c.then)
			k.say("It is over")
		}
		k.to(mon2+3, 21, 30)
		k.say("No problem tonight")
		if a := k.p.Course.Advice; a.Night != mon2+3 || (a.Action == chart.Forward) == c.held || c.held && a.Rule != pacing.P19 {
			t.Errorf("%s: %+v", name, a)
		}
	}
}

// Woken by a little pain is no reason to stop, whichever was said first.
func TestWokenSaidBeforeThePain(t *testing.T) {
	for line, id := range map[string]string{
		"all night, snore 6, pain woke me, pain 2 gone by 9, guide used, bite ok": "pain.roused",
		"all night, snore 6, pain 2 gone by 9, pain woke me, guide used, bite ok": "pain.roused",
		"all night, snore 6, pain woke me, pain 6 gone by 9, guide used, bite ok": "pain.woken",
	} {
		k := start(t)
		k.quiet(mon2, day)
		k.to(mon2+1, 21, 30)
		k.evening()
		k.to(mon2+2, 7, 0)
		k.say(line)
		if fs := k.p.Course.Flags; len(fs) != 1 || fs[0].ID != id {
			t.Errorf("%s: %+v", line, fs)
		}
	}
}

// What patients ask most is answered by a card with the practice's number under it, in
// their language. What was typed goes to people all the same, and a step waits until one
// of them has read it: more may stand in it than the question. A button is only that.
func TestACommonQuestionIsAnswered(t *testing.T) {
	for _, typed := range []bool{false, true} {
		k := start(t)
		for d := range civil.Date(3) {
			k.quiet(mon2+d, day)
		}
		k.to(mon2+3, 15, 0)
		if typed {
			k.say("I have a stuffy nose, can I wear it?")
			k.hears("passed your words")
		} else {
			k.say("Ask: a cold")
		}
		k.hears("blocked nose")
		k.hears("If you are short of breath with it out, call")
		k.hears("ask your practice first")
		if esc := k.p.Escalations; len(esc) > 0 != typed || typed && esc[0].Reason != flows.WhyMessage {
			t.Fatalf("typed %t: %+v", typed, esc)
		}
		k.to(mon2+3, 21, 30)
		k.say("No problem tonight")
		if a := k.p.Course.Advice; (a.Action == chart.Forward) == typed || typed && a.Rule != pacing.P19 {
			t.Errorf("typed %t: %+v", typed, a)
		}
	}
	k := start(t)
	k.to(mon2, 15, 0)
	k.say("how to")
	k.say("Ask: dental work")
	k.hears("Do not move it until we have looked at the fit")
	if len(k.p.Escalations) != 0 {
		t.Errorf("%+v", k.p.Escalations)
	}
}

// The safety question beside a morning's answers comes alone, and what is open comes after it.
func TestTheSafetyQuestionComesAlone(t *testing.T) {
	k := start(t)
	k.to(mon2+1, 7, 30)
	k.say("worn 7h, pain 0, daughter isnt waking up")
	if b := buttonsOf(k); !slices.Contains(b, "None of these") || slices.Contains(b, "Skip: setting") {
		t.Errorf("%q", b)
	}
	k.say("None of these")
	if b := buttonsOf(k); !slices.Contains(b, "Skip: setting") || slices.Contains(b, "None of these") {
		t.Errorf("%q", b)
	}
}
