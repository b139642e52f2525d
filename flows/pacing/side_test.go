package pacing

import (
	"testing"

	"duskdawn/flows/chart"
)

// One side of two, said while the other is not known: within what was confirmed and
// advised it says nothing; under the start, or further forward, the count is in doubt
// at once, and above the ceiling that is a flag, which counts from the evening after next.
func TestOneSideOfTwo(t *testing.T) {
	for _, x := range []struct {
		side    chart.Field
		at      chart.Steps
		doubt   bool
		flagged bool
		high    chart.Steps
	}{
		{chart.SettingLeft, 0, false, false, 2}, {chart.SettingLeft, 2, false, false, 2},
		{chart.SettingLeft, -1, true, false, 2}, {chart.SettingLeft, 3, true, false, 3},
		{chart.SettingLeft, 4, true, true, 4}, {chart.SettingLeft, 998, true, true, 998},
		{chart.SettingLeft, 999, true, true, 999}, {chart.SettingLeft, 1000, true, true, 999},
		{chart.SettingRight, 0, true, false, 2}, {chart.SettingRight, 1, false, false, 2},
		{chart.SettingRight, 3, false, false, 2}, {chart.SettingRight, 4, true, false, 3},
		{chart.SettingRight, 5, true, true, 4},
	} {
		k := trial(t, func(p *chart.Plan, a *chart.Appliance, _ *chart.Baseline) {
			p.Limits.Ceiling, a.TwoSided, a.Offset = 3, true, 1
		})
		k.forward(2)
		k.evening()
		k.confirm(2) // and said otherwise in the same evening
		rs := k.c.HearSide(k.f, k.d, x.side, x.at)
		if _, flagged := hears(rs, "setting.above"); k.c.InDoubt != x.doubt || flagged != x.flagged || k.c.High != x.high || k.c.Left != 2 {
			t.Errorf("side %d at %d: in doubt %v, up to %d, %v", x.side, x.at, k.c.InDoubt, k.c.High, rs)
		}
		if x.flagged && k.c.Flags[0].From != k.d+2 {
			t.Errorf("side %d at %d: %+v", x.side, x.at, k.c.Flags)
		}
	}
}

// It is heard of the first night, too, and changes nothing of one long gone.
func TestOneSideOnTheFirstNight(t *testing.T) {
	k := trial(t, func(_ *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.TwoSided = true })
	if k.c.HearSide(k.f, k.d, chart.SettingLeft, 3); !k.c.InDoubt {
		t.Error("three steps on the day of fitting")
	}
	k = trial(t, func(_ *chart.Plan, a *chart.Appliance, _ *chart.Baseline) { a.TwoSided = true })
	k.c.Reach(&k.f, k.d+40)
	if rs := k.c.HearSide(k.f, k.d+1, chart.SettingLeft, 30); rs != nil || k.c.InDoubt {
		t.Errorf("forty nights ago: %v, in doubt %v", rs, k.c.InDoubt)
	}
}
