package pacing

import (
	"testing"

	"duskdawn/flows/chart"
)

// Disobeying is never faster than obeying: of two patients alike, with the same loud
// nights and the same mornings, one leaves the appliance where it stands for some
// evenings, or turns it further than told. From then on both do as told, and the one
// is never advised a setting that the other has not come to by then.
func TestPropertyDisobeyingIsNeverFaster(t *testing.T) {
	compared := 0
	each(t, func(t dice) {
		k := anyCourse(t)
		k.f.Plan.Limits.ReleaseByHand = false
		night := func() told {
			m := anyNight(t)
			switch {
			case t.IntN(15) == 0: // a rest begins
				m = fine(told{chart.Pain: 5, chart.Gone: chart.GoneMorning})
			case t.IntN(2) == 0:
				m = fine()
			}
			m[chart.Snoring], m[chart.Reporter] = 8, chart.ReporterPartner
			return m
		}
		for range 3 + t.IntN(25) {
			k.obey()
			k.tell0(night())
		}
		d := &bench{c: k.c.twin(), d: k.d, f: k.f}
		for range 1 + t.IntN(3) {
			m := night()
			k.obey()
			a := d.evening0()
			to := d.c.Left
			if t.IntN(3) == 0 && a.Action == chart.Forward {
				to = a.To + 1
			}
			d.confirm(to)
			k.tell0(m)
			d.tell0(m)
		}
		most := k.c.Left
		for range 30 {
			m := night()
			k.obey()
			most = max(most, k.c.Left)
			a := d.evening0()
			if compared++; a.Action == chart.Forward && a.To > most {
				t.Fatalf("on %v: advised %d by %s, where obeying came to %d", d.d, a.To, a.Rule.ID(), most)
			}
			if a.Action != chart.LeaveOut {
				d.confirm(a.To)
			}
			k.tell0(m)
			d.tell0(m)
		}
	})
	if compared == 0 {
		t.Error("nothing was compared")
	}
}

// obey is an evening on which it is turned as told.
func (k *bench) obey() {
	if a := k.evening0(); a.Action != chart.LeaveOut {
		k.confirm(a.To)
	}
}
