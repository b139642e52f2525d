package flows_test

import (
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
)

// atStep plays three quiet nights, until an evening advises the first step.
func atStep(t *testing.T, two bool) *walk {
	t.Helper()
	k := start(t, func(p *flows.Patient) { p.Appliance.TwoSided = two })
	for d := range civil.Date(3) {
		k.quiet(mon2+d, day)
	}
	k.to(mon2+3, 21, 30)
	k.say("No problem tonight")
	if a := k.p.Course.Advice; a.Action != chart.Forward || a.To != 1 {
		t.Fatalf("%+v", a)
	}
	return k
}

// Two sides pass every check that one side does, each by itself, by taps or typed, both at once or one alone: above
// what was advised is looked at again and in doubt, above the ceiling it is a flag of the same day, at once.
func TestTwoSidesPassEveryCheck(t *testing.T) {
	for _, c := range []struct {
		text       string
		two        bool
		odd        string // the number that is said back
		doubt, top bool
		left       int // confirmed
	}{
		{"setting 1", false, "", false, false, 1},
		{"left 1 right 1", true, "", false, false, 1},
		{"It stands at 1", true, "", false, false, 1},
		{"setting 3", false, "3", true, false, 0},
		{"left 3 right 3", true, "3", true, false, 0},
		{"left 1 right 3", true, "3", true, false, 0},
		{"left side three, right side one", true, "3", true, false, 0},
		{"left 3", true, "3", true, false, 0},
		{"right 3", true, "3", true, false, 0},
		{"it stands at 3", true, "3", true, false, 0},
		{"setting 12", false, "12", true, true, 0},
		{"left 12 right 12", true, "12", true, true, 0},
		{"left 0 right 12", true, "12", true, true, 0},
		{"left 12", true, "12", true, true, 0},
		{"right 12", true, "12", true, true, 0},
		{"izquierda 12, derecha 0", true, "12", true, true, 0},
	} {
		k := atStep(t, c.two)
		k.say(c.text)
		course := &k.p.Course
		if course.InDoubt != c.doubt || int(course.Left) != c.left {
			t.Errorf("%s: doubt %v, at %d", c.text, course.InDoubt, course.Left)
		}
		top := len(course.Flags) == 1 && course.Flags[0].ID == "setting.above"
		if top != c.top || top && course.Advice.To != 0 {
			t.Errorf("%s: flags %+v, advice %+v", c.text, course.Flags, course.Advice)
		}
		if c.odd != "" {
			k.hears("You said " + c.odd + ", and that is not what I had")
		}
		if !c.doubt {
			continue
		}
		k.hearsNot("one step", "step back", "steps back")
		k.say(c.text) // a second look: absolute, or the other side is asked
		k.hearsNot("one step", "step back", "steps back", "Sleep well")
		k.to(mon2+4, 2, 0) // the reminder
		k.hearsNot("one step", "step back", "steps back", "time for one step")
	}
}

// One side alone that can be is kept, said back, and the other is asked.
func TestOneSideIsSaidBack(t *testing.T) {
	for text, parts := range map[string][]string{
		"left 1": {"setting 1", "right side?"}, "right 1": {"right side 1", "What does it stand at"},
	} {
		k := atStep(t, true)
		k.say(text)
		k.hears(parts...)
		if k.p.Course.InDoubt || k.p.Course.Left != 0 {
			t.Errorf("%s: %+v", text, k.p.Course.Left)
		}
	}
	k := atStep(t, true)
	k.say("right 1")
	k.say("left 1")
	if k.p.Course.Left != 1 || k.p.Course.Right != 1 {
		t.Errorf("%d, %d", k.p.Course.Left, k.p.Course.Right)
	}
}

// An appliance with one side has one setting: amid words that were not understood no side that is named takes the place
// of what is stored, by either name or both; a tap does.
func TestASideThatIsNoneReplacesNothing(t *testing.T) {
	for _, text := range []string{"LHS 1 and RHS also 1", "right side 1 also my cousin plays the drums", "left 1 and the right also 1, my cousin plays the drums"} {
		k := atStep(t, false)
		k.say("It stands at 0")
		k.to(mon2+4, 7, 0)
		k.say(day)
		k.to(mon2+4, 15, 0)
		k.say(text)
		k.is(mon2+3, chart.SettingLeft, chart.Num(0))
	}
}

// What the evening asked is asked again in the morning where it was left open, a late word to the reminder's note
// counts, and staff are called when the count stays in doubt.
func TestALateSetting(t *testing.T) {
	k := atStep(t, false)
	k.to(mon2+3, 23, 0)
	k.hears("A short note for tonight")
	k.say("It stands at 1")
	k.hears("it stands at 1")
	k.is(mon2+3, chart.SettingLeft, chart.Num(1))
	k = atStep(t, false)
	k.to(mon2+4, 7, 0)
	k.hears("What did it stand at last night")
	k.say("It stands at 1")
	if k.p.Course.Left != 1 {
		t.Errorf("at %d", k.p.Course.Left)
	}
	k = atStep(t, false)
	k.say("setting 3")
	for d := range civil.Date(2) {
		k.to(mon2+4+d, 21, 30)
		k.say("No problem tonight")
		k.hearsNot("one step", "step back", "steps back")
		k.to(mon2+4+d, 23, 30)
	}
	called := false
	for _, esc := range k.p.Escalations {
		called = called || esc.Reason == pacing.P05.ID() && !esc.Quiet // it rings, and waits for no digest
	}
	if !called {
		t.Errorf("nobody is called: %+v", k.p.Escalations)
	}
}

// A turn that went wrong, in any words: stop, read it, tell me; the count is in doubt until it is confirmed, and staff
// hear of it.
func TestATurnThatWentWrong(t *testing.T) {
	for _, text := range []string{
		"I turned it the wrong way", "turned it twice by mistake", "I caught up three turns", "I gave it a turn in the wrong direction",
		"did three turns at once to catch up", "went backwards instead of forwards with the key",
		"lo giré al revés", "lo giré dos veces por error", "me puse al día con tres vueltas", "le di una vuelta en sentido contrario",
		"di tres pasos de golpe", "me equivoqué y di dos vueltas",
	} {
		k := start(t)
		for d := range civil.Date(3) {
			k.quiet(mon2+d, day)
		}
		k.to(mon2+3, 15, 0)
		k.say(text)
		k.hears("Stop turning it", "Read what it stands at")
		if es := k.p.Escalations; !k.p.Course.InDoubt || len(es) != 1 || es[0].Reason != "turned.wrong" {
			t.Errorf("%s: doubt %v, %+v", text, k.p.Course.InDoubt, es)
		}
		k.to(mon2+3, 21, 30)
		k.say("No problem tonight")
		k.to(mon2+3, 23, 0)
		if a := k.p.Course.Advice; a.Action == chart.Forward {
			t.Errorf("%s: %+v", text, a)
		}
		k.hearsNot("one step", "steps back")
	}
}
