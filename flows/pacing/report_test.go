package pacing

import (
	"testing"

	"duskdawn/flows/chart"
)

// P13: none loud here in the last 7 nights, the seventh being one of them; an older
// one settles behind four quiet ones.
func TestALoudNightOfAWeekAgo(t *testing.T) {
	for ago, settled := range map[int]bool{6: false, 7: false, 8: true} {
		v := atSetting(2, nil)
		es := remembered(v, 11)
		for i := range es {
			say(&es[i], quietly(2))
		}
		say(&es[10-ago], quietly(8))
		if got := p13(*v).do == chart.Stay; got != settled {
			t.Errorf("loud %d nights ago: settled %v", ago, got)
		}
	}
}

// P17: a night that was said to stand under the start is none at a setting, and
// what is heard of it is nothing to fall from.
func TestReportsUnderTheStart(t *testing.T) {
	v := atSetting(6, nil) // 3.0 mm from the start
	es := remembered(v, 9)
	for i := range es[:8] {
		say(&es[i], quietly(8))
		es[i].Low, es[i].High = -1, -1
	}
	if r := p17(*v); r.do != chart.NoAction {
		t.Errorf("%+v", r)
	}
	for i := range es[:8] {
		es[i].Low, es[i].High = 0, 0
	}
	if r := p17(*v); r.do != chart.Stay {
		t.Errorf("the same at the start: %+v", r)
	}
}

// Without an appliance no way can be counted in steps, and none of the rows that
// count one speaks.
func TestNoStepNoComparison(t *testing.T) {
	v := atSetting(6, func(v *assessment) { v.f.Appliance = new(chart.Appliance) })
	if r := p17(*v); r.do != chart.NoAction || v.persists() {
		t.Errorf("%+v, persists %v", r, v.persists())
	}
}
