package flows_test

import (
	"slices"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// Silence: a shorter form, a person after three nights, one prompt a day.
func TestSilence(t *testing.T) {
	k := start(t)
	k.quiet(mon2, day)
	d := mon2 + 1
	for range 3 {
		k.to(d, 21, 30)
		d++
		k.to(d, 12, 0)
	}
	if len(k.p.Escalations) != 0 && slices.ContainsFunc(k.p.Escalations,
		func(e flows.Escalation) bool { return e.Reason == "silence" }) {
		t.Error("too early")
	}
	k.to(d, 21, 30)
	if !slices.ContainsFunc(k.p.Escalations, func(e flows.Escalation) bool { return e.Reason == "silence" }) {
		t.Errorf("nobody was told: %+v", k.p.Escalations)
	}
	if len(k.heard) == 0 || k.heard[len(k.heard)-1].Advice == 0 {
		t.Errorf("the one prompt of the day names no setting: %v", k.text)
	}
	if got := k.to(d+1, 20, 0); len(got) != 0 {
		t.Errorf("more than one prompt a day: %v", got)
	}
	k.say("sorry, pain 0")
	if k.p.Talk.Silent != 0 {
		t.Error("still silent")
	}
}

// What comes too late is not sent, is recorded as ours, and still gives the
// night its advice.
func TestTooLate(t *testing.T) {
	k := start(t)
	k.now = civil.Wall{Date: mon2 + 1, Clock: clock(1, 0)}
	k.heard = nil
	k.event(flows.Due{Name: "evening", Scheduled: civil.Wall{Date: mon2, Clock: clock(21, 30)}, Late: 210})
	if len(k.heard) != 0 {
		t.Errorf("sent %v", k.text)
	}
	if e := k.night(mon2); e.Asked&15 != 4 || e.Action == chart.NoAction || k.p.Course.Advice.Night != mon2 {
		t.Errorf("entry %+v", e)
	}
	k.now = civil.Wall{Date: mon2 + 1, Clock: clock(13, 30)}
	k.event(flows.Due{Name: "morning", Scheduled: civil.Wall{Date: mon2 + 1, Clock: clock(7, 0)}, Late: 390})
	if len(k.heard) != 0 || k.night(mon2).Asked&15 != 12 {
		t.Errorf("sent %v, asked %d", k.text, k.night(mon2).Asked)
	}
	k.to(mon2+1, 21, 30)
	if k.p.Talk.Silent != 0 {
		t.Error("ours was counted as the patient's silence")
	}
}

// A prompt goes out once a night, whatever becomes of its timer.
func TestOnePromptANight(t *testing.T) {
	k := start(t)
	k.to(mon2, 21, 30)
	k.heard = nil
	k.event(flows.Due{Name: "evening", Scheduled: civil.Wall{Date: mon2, Clock: clock(21, 30)}})
	if len(k.heard) != 0 {
		t.Errorf("twice: %v", k.text)
	}
	k.to(mon2+1, 7, 0)
	k.heard = nil
	k.event(flows.Due{Name: "morning", Scheduled: civil.Wall{Date: mon2 + 1, Clock: clock(7, 0)}})
	if len(k.heard) != 0 {
		t.Errorf("twice: %v", k.text)
	}
}

func TestShortForm(t *testing.T) {
	k := start(t)
	d := mon2
	for range 15 {
		k.to(d, 21, 30)
		k.evening()
		d++
		k.to(d, 7, 0)
		k.say(day)
	}
	k.to(d, 21, 30)
	k.evening()
	k.to(d+1, 7, 0)
	k.say("Worn all night")
	k.say("Snoring 5")
	if b := k.buttons(); b[0] != "Pain 0, Bite guide used, Bite: both sides" {
		t.Fatalf("buttons %v", b)
	}
	k.say(k.buttons()[0])
	k.hears("That is all until")
	for f, v := range map[chart.Field]int{chart.Worn: chart.WornAll, chart.Snoring: 5, chart.Pain: 0,
		chart.Guide: chart.Yes, chart.Bite: chart.BiteBoth} {
		k.is(d, f, chart.Num(v))
	}
}

func TestWeekly(t *testing.T) {
	k := start(t)
	d := mon2
	for range 7 {
		k.quiet(d, day)
		d++
	}
	k.to(d, 21, 30)
	k.say("No problem tonight")
	k.hears("read the setting off the appliance")
	k.say("Setting " + itoa(int(k.p.Course.Left)))
	for k.p.Talk.CheckIn == flows.EveningCheck {
		k.say(k.buttons()[0])
	}
	k.hears("Once a week", "How sleepy were you by day")
	k.say("Sleepy 4")
	k.say("No pauses noticed")
	k.say("No morning headache")
	k.hears("Is anything new")
	k.say("Nothing new")
	k.hears("did you nod off, or nearly, while driving?")
	k.say("Did not drive")
	k.hears("the questions of the week")
	k.is(d, chart.Sleepiness, chart.Num(4))
	k.is(d, chart.Driving, chart.Num(chart.DrivingNoDrive))
	k.to(d+1, 7, 0)
	k.say(day)
	k.to(d+1, 21, 30)
	k.say("No problem tonight")
	k.hearsNot("read the setting")
}

func itoa(n int) string { return string(rune('0' + n)) }

// From holding on the check-ins come once a week; every night still has its advice.
func TestHoldingIsAskedWeekly(t *testing.T) {
	k := start(t)
	k.p.Course.State = chart.Holding
	asked, d := 0, mon2
	for range 21 {
		k.to(d, 21, 30)
		if len(k.heard) > 0 {
			asked++
			k.evening()
		}
		if k.to(d, 23, 59); k.p.Course.Advice.Night != d || k.p.Course.Advice.Action != chart.Stay {
			t.Fatalf("%s: advice %+v", d, k.p.Course.Advice)
		}
		d++
		k.to(d, 7, 0)
		if len(k.heard) > 0 {
			k.say(day)
		}
	}
	if asked != 3 {
		t.Errorf("asked on %d evenings of 21", asked)
	}
}
