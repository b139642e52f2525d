package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// An evening that is over is not advised again, though only one was advised.
func TestTheEveningBeforeTheFirstAdvice(t *testing.T) {
	k := trial(t)
	k.d++
	first := k.evening()
	k.d--
	if a := k.evening(); a != first || k.c.Advices != 1 {
		t.Errorf("%+v, after %+v", a, first)
	}
}

// A night long gone is not advised, even where none was.
func TestANightLongGone(t *testing.T) {
	k := trial(t)
	k.c.Answer(k.f, k.d+40, chart.Pain, chart.Num(0), chart.FromPatient)
	if a := k.evening(); a != (chart.Advice{}) || k.r != nil {
		t.Errorf("%+v, %v", a, k.r)
	}
}

// The very first night can be previewed.
func TestPreviewOfTheFirstNight(t *testing.T) {
	k := trial(t)
	if a := k.c.Preview(k.f, k.d); a.Action != chart.Stay || a.Rule != 10 || a.Night != k.d {
		t.Errorf("%+v", a)
	}
}

// Who said that the step was not made is told to stay, not to go back.
func TestAStepThatWasNotMade(t *testing.T) {
	for at, want := range map[chart.Steps]chart.Action{0: chart.Stay, 1: chart.GoBack} {
		k := trial(t)
		k.nights(3, fine())
		k.next(chart.Forward, 1, 18)
		k.confirm(at)
		k.c.Answer(k.f, k.d-1, chart.Guide, chart.Num(chart.No), chart.FromPatient)
		k.next(want, 0, 12)
	}
}

// P05: on a night without the appliance nothing is turned and nothing asked: a
// setting confirmed up to the night before stays so, one that was not stays
// unsaid.
func TestLeftOutKeepsTheConfirmation(t *testing.T) {
	for ago, want := range map[civil.Date]civil.Date{0: 0, 1: 0, 2: 2} {
		v := atSetting(2, nil)
		v.s.SetOn = v.night - ago
		v.c.SetOn = v.s.SetOn
		v.c.follow(v, &chart.Advice{Action: chart.LeaveOut, To: 2})
		if got := v.night - v.c.SetOn; got != want {
			t.Errorf("confirmed %d nights ago: as if %d", ago, got)
		}
	}
}

// P01: the desk hears of it up to the test; once steady, yearly recall is not
// monthly.
func TestP01IsToldUntilSteady(t *testing.T) {
	for state, want := range map[chart.State]bool{chart.Stepping: true, chart.Testing: true, chart.Steady: false,
		chart.Recall: false} {
		v := atSetting(2, func(v *assessment) { v.f.Doubt, v.c.State = true, state })
		if table[P01].known(*v) == want {
			t.Errorf("%v: told %v", state, !want)
		}
	}
}

// A step that was told already is taken back by a way back, even where a row
// only asks to stay. The reason stays the row's where it fits that, too.
func TestTakenBackTheSameEvening(t *testing.T) {
	for name, x := range map[string]struct {
		late   told
		rule   chart.Rule
		reason string
	}{
		"woken by a little pain":      {told{chart.Pain: 2, chart.Woken: chart.Yes}, P04, "reason.p04.woken"},
		"a sore morning at the start": {told{chart.Pain: 6}, P07, "reason.p07.start"},
		"the bite away for long":      {told{chart.BiteMinutes: 70}, P08, "reason.p08"},
		"the guide not used":          {told{chart.Guide: chart.No}, P12, "reason.setback"},
	} {
		k := trial(t)
		for range 20 {
			if k.evening(); k.a.Action == chart.Forward {
				break
			}
			k.confirm(0)
			k.tell(fine())
		}
		k.want(chart.Forward, 1, P18)
		for f, n := range x.late {
			k.c.Answer(k.f, k.d-1, f, chart.Num(n), chart.FromPatient)
		}
		k.next(chart.GoBack, 0, x.rule)
		if k.a.Reason != x.reason {
			t.Errorf("%s: %s", name, k.a.Reason)
		}
	}
}

// P01 and P06 are told in every state, the others only while steps are worked
// towards.
func TestToldInEveryState(t *testing.T) {
	for id, want := range map[chart.Rule]bool{P01: true, P06: true, P12: false} {
		k := trial(t)
		k.nights(1, fine())
		k.c.State, k.c.Path = chart.Holding, chart.Holding
		k.f.Doubt = id == P01
		heard := false
		for range 3 {
			switch id {
			case P06:
				k.c.Advised, k.c.High = k.c.Left, k.c.Left+1
			case P12:
				k.c.Answer(k.f, k.d-1, chart.Guide, chart.Num(chart.No), chart.FromPatient)
			}
			k.evening()
			if !k.a.Fired.Has(id) {
				t.Fatalf("%s did not speak: %b", id.ID(), k.a.Fired)
			}
			_, now := hears(k.r, id.ID())
			heard = heard || now
			k.d++
		}
		if heard != want {
			t.Errorf("%s: told %v", id.ID(), heard)
		}
	}
}
