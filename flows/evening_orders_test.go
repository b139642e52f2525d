package flows_test

import (
	"fmt"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
)

// by has the clinician give an order.
func (k *walk) by(o flows.Order) {
	k.t.Helper()
	o.Actor = flows.Actor{ID: "s1"}
	o.Chat = 900
	k.event(o)
}

// What staff order once a step was told, on the same evening, holds that evening: the step is taken
// back, and the patient hears it at once.
func TestOrderedOnceAStepWasTold(t *testing.T) {
	for name, act := range map[string]func(*walk){
		"a test": func(k *walk) {
			k.by(flows.Order{Op: flows.OrderTest, Test: &chart.SleepTest{On: k.now.Date, Kind: "polygraphy", By: "Dr S",
				InPlace: true, AHI10: chart.Num(40), Rule: "1A"}})
		},
		"a count that is lost": func(k *walk) { k.say("I lost count") },
		"testing":              func(k *walk) { k.by(flows.Order{Op: flows.OrderTesting}) },
		"a hold":               func(k *walk) { k.by(flows.Order{Op: flows.OrderHold}) },
		"ended and reopened": func(k *walk) {
			k.by(flows.Order{Op: flows.OrderEnd, Text: "moved"})
			k.by(flows.Order{Op: flows.OrderReopen})
		},
	} {
		k := atStep(t, false)
		k.p.Plan.Ends = mon2 + 90
		if act(k); k.p.Course.Advice.Action != chart.GoBack || k.p.Course.Advice.To != 0 {
			t.Errorf("%s: %+v", name, k.p.Course.Advice)
			continue
		}
		k.hears("0")
	}
	k := atStep(t, false) // tested in the morning, proved in the evening
	k.p.Tests = []chart.SleepTest{{On: mon2 + 1, Kind: "polygraphy", By: "Dr S", InPlace: true, AHI10: chart.Num(40), Rule: "1A"}}
	k.p.Course.TestOn = mon2 + 1
	if k.by(flows.Order{Op: flows.OrderSteady, Sure: true}); k.p.Course.State != chart.Steady || k.p.Course.Advice.Action != chart.GoBack {
		t.Errorf("steady: %v, %+v", k.p.Course.State, k.p.Course.Advice)
	}
}

// A setting ordered, or released at, further back than it stands is a way back on the same evening, too.
func TestOrderedBackOnceAStepWasTold(t *testing.T) {
	for said, from := range map[string]chart.Steps{"": 3, "It stands at 3": 3, "It is still at 2": 2, "My bite is off all day": 3} {
		k := start(t)
		for d := mon2; ; d++ {
			k.to(d, 21, 30)
			if k.say("No problem tonight"); k.p.Course.Advice.Night != d { // once a week it is read off first
				k.say(fmt.Sprintf("setting %d", k.p.Course.Left))
			}
			a := k.p.Course.Advice
			if a.Action == chart.Forward && a.To == 3 {
				break
			}
			if d > mon2+30 {
				t.Fatalf("%+v", a)
			}
			k.say(fmt.Sprintf("It stands at %d", a.To))
			k.to(d+1, 7, 0)
			k.say(day)
		}
		if said != "" {
			k.say(said)
		}
		if len(k.p.Course.Flags) > 0 { // released at a setting, that is the evening's too
			k.by(flows.Order{Op: flows.OrderRelease, To: 1, Has: true})
		} else {
			k.by(flows.Order{Op: flows.OrderSetting, To: 1, Has: true})
		}
		if a := k.p.Course.Advice; a.Action != chart.GoBack || a.To != 1 || a.From != from {
			t.Errorf("%q: %+v", said, a)
		}
		if k.say("It stands at 1"); k.p.Course.Left != 1 || k.p.Course.InDoubt {
			t.Errorf("%q: at %d, in doubt %v", said, k.p.Course.Left, k.p.Course.InDoubt)
		}
	}
}

// A way back is told in steps only from where it is known to stand: a step that was told may have been
// made or not.
func TestStepsBackFromWhereItStands(t *testing.T) {
	for said, steps := range map[string]bool{"": false, "It stands at 1": true} {
		k := atStep(t, false)
		if said != "" {
			k.say(said)
		}
		k.heard, k.text = nil, nil
		k.by(flows.Order{Op: flows.OrderHold})
		k.hearsNot("set it to 1") // what no longer holds is not said again
		if steps {
			k.hears("That is 1 step back", "setting 0")
		} else {
			k.hears("Read where it stands. Where that is above 0, set it to 0.")
			k.hearsNot("step back")
		}
	}
}

// Left out after a step was made and said, it stays where it was said to stand.
func TestLeftOutWhereItStands(t *testing.T) {
	k := atStep(t, false)
	k.say("It stands at 1")
	k.say("A piece broke off the device")
	if a := k.p.Course.Advice; a.Action != chart.LeaveOut || a.To != 1 {
		t.Errorf("%+v\n%v", a, k.text)
	}
	if c := &k.p.Course; c.Left != 1 || c.Low != 1 || c.High != 1 {
		t.Errorf("at %d, %d to %d", c.Left, c.Low, c.High)
	}
}
