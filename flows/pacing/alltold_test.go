package pacing

import (
	"testing"

	"duskdawn/flows/chart"
)

// All of the newest nights are told where each is, worn and whole; the night that was advised
// last may still be to come, and no night is none.
func TestAllTold(t *testing.T) {
	k := trial(t)
	told := func() bool { return k.c.AllTold(k.f.Plan, k.f.Appliance, k.f.Baseline, 7) }
	if none := (&Course{}); told() || none.AllTold(k.f.Plan, k.f.Appliance, k.f.Baseline, 7) {
		t.Error("of no night")
	}
	k.evening()
	if told() {
		t.Error("the first night is to come")
	}
	k.confirm(k.a.To)
	k.tell(nil) // and was never told
	k.nights(3, fine())
	if told() {
		t.Error("the oldest of four was not told")
	}
	k.nights(3, fine())
	if told() {
		t.Error("the oldest of seven was not told")
	}
	k.nights(1, fine())
	if !told() {
		t.Error("seven nights were told, the one before them not")
	}
	if k.evening(); !told() {
		t.Error("tonight is to come")
	}
	k.confirm(k.a.To)
	if k.tell(fine(map[chart.Field]int{chart.Worn: chart.WornNo})); told() {
		t.Error("the last was not worn")
	}
}
