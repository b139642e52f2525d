package pacing

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// Confirmed is what a person said, and for when: fitting day confirms nothing, nor
// does any night that it was left out; what was said before all nights that are
// remembered is known by its date alone.
func TestConfirmedByAPerson(t *testing.T) {
	k := trial(t)
	if on, since := k.c.ConfirmedOn(); on != 0 || since != 0 {
		t.Errorf("fitted, and nobody has said anything: %v %v", on, since)
	}
	k.nights(3, fine())
	k.evening()
	k.confirm(1)
	said := k.d
	if on, since := k.c.ConfirmedOn(); on != said || since != 0 {
		t.Errorf("%v %v, said on %v", on, since, said)
	}
	k.c.Raise(k.f, civil.Wall{Date: k.d + 1, Clock: 9 * 60}, "jaw.locked")
	for range 6 {
		k.d++
		if k.evening(); k.a.Action != chart.LeaveOut {
			t.Fatalf("%+v", k.a)
		}
	}
	if on, _ := k.c.ConfirmedOn(); on != said || k.c.SetOn == said {
		t.Errorf("after six nights left out: %v, said on %v; set on %v", on, said, k.c.SetOn)
	}
	for range len(k.c.Nights) {
		if oldest := k.c.Nights[0].Night; int(k.c.N) == len(k.c.Nights) && oldest <= said {
			if on, _ := k.c.ConfirmedOn(); on != said {
				t.Errorf("the oldest night that is remembered is %v: %v, said on %v", oldest, on, said)
			}
		}
		k.d++
		k.evening()
	}
	if on, since := k.c.ConfirmedOn(); on != 0 || since != k.c.Nights[0].Night {
		t.Errorf("long ago: %v %v", on, since)
	}
	k.c.SetOn = said
	if on, since := k.c.ConfirmedOn(); on != said || since != 0 {
		t.Errorf("by its date: %v %v", on, since)
	}
	k.c.SetOn = k.c.Began
	if on, since := k.c.ConfirmedOn(); on != k.c.Began || since != 0 {
		t.Errorf("set on the day it began: %v %v", on, since)
	}
	k.c.SetOn = k.c.Nights[0].Night
	if on, since := k.c.ConfirmedOn(); on != 0 || since != k.c.SetOn {
		t.Errorf("set on the oldest night that is remembered, of which nobody said so: %v %v", on, since)
	}
}
