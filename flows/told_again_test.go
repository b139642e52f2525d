package flows_test

import (
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
)

// What holds by now holds before a step that was told is told again: by the reminder, or to whoever asks
// for tonight's setting.
func TestAStepThatIsHeldIsNotToldAgain(t *testing.T) {
	for name, held := range map[string]func(*walk){
		"rules halted":    func(k *walk) { k.pr.Halted = true },
		"everybody held":  func(k *walk) { k.pr.Held, k.pr.HoldN = true, 1 },
		"words unread":    func(k *walk) { k.say("the blue thing in its box hums a song") },
		"a voice message": func(k *walk) { k.event(flows.Other{Chat: 1, Gen: 1, Kind: "voice"}) },
		"perhaps a danger": func(k *walk) {
			k.say("my wife thinks that a tooth of mine is loose")
		},
		"said not to be made": func(k *walk) { k.say("It is still at 0"); k.pr.Halted = true; k.say("what setting tonight?") },
		"paused":              func(k *walk) { k.say("pause"); k.pr.Halted = true; k.say("go on") },
		"not reached": func(k *walk) {
			k.event(flows.Bounce{Chat: 1})
			k.pr.Halted = true
			k.event(flows.Reached{Chat: 1})
		},
	} {
		for _, then := range []string{"", "what setting tonight?"} {
			k := atStep(t, false)
			held(k)
			if s := strings.Join(k.text, "\n"); strings.Contains(s, "set it to 1") && !strings.Contains(s, "step forward") {
				t.Errorf("%s: told again: %s", name, s)
			}
			k.heard, k.text = nil, nil
			if then == "" {
				k.to(mon2+3, 22, 55)
			} else {
				k.say(then)
			}
			if s := strings.Join(k.text, "\n"); strings.Contains(s, "step forward") || strings.Contains(s, "set it to 1") {
				t.Errorf("%s, %q: told again: %s", name, then, s)
			}
			if a := k.p.Course.Advice; a.Action == chart.Forward || a.To != 0 {
				t.Errorf("%s, %q: %+v", name, then, a)
			}
		}
	}
}

// Who wants to turn nothing any more is not told to step, though a step was told before.
func TestStopTurningOnceAStepWasTold(t *testing.T) {
	k := atStep(t, false)
	k.say("stop")
	k.say("2")
	k.hearsNot("set it to 1")
	if a := k.p.Course.Advice; a.Action != chart.GoBack || a.To != 0 {
		t.Errorf("%+v\n%v", a, k.text)
	}
}

// A step that was told again with nothing to hold it stays one.
func TestAStepIsToldAgain(t *testing.T) {
	k := atStep(t, false)
	k.to(mon2+3, 22, 55)
	k.hears("setting 1", "step forward")
}

// What staff grant while the rules are halted tells no step.
func TestAGrantUnderAHaltTellsNoStep(t *testing.T) {
	k := atStep(t, false)
	k.pr.Halted = true
	k.by(flows.Order{Op: flows.OrderGrant, To: 3, Has: true})
	if s := strings.Join(k.text, "\n"); strings.Contains(s, "set it to 1") {
		t.Errorf("told: %s", s)
	}
	if a := k.p.Course.Advice; a.Action == chart.Forward {
		t.Errorf("%+v", a)
	}
}
