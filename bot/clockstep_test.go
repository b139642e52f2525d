package main

import (
	"testing"
	"time"

	"duskdawn/flows/chart"
)

// The clock goes back an hour after the evening's question: it is not asked a
// second time when nine o'clock comes again, and the talk goes on.
func TestTheClockGoesBackAnHour(t *testing.T) {
	s := play(t)
	n := s.heard(heron)
	s.goes(t, at(21, 5))
	if got := s.evenings(heron, n); got != 1 {
		t.Fatalf("asked %d times", got)
	}
	s.hands.Step(at(20, 5))
	told := s.heard(heron)
	if err := s.say(t.Context(), heron, "today"); err != nil {
		t.Fatal(err)
	}
	if s.botSaid(heron, told) == "" {
		t.Error("no answer after the clock was set back")
	}
	s.goes(t, at(22, 0))
	if got := s.evenings(heron, n); got != 1 {
		t.Errorf("asked %d times", got)
	}
	s.goes(t, at(24+20, 0))
	s.goes(t, at(24+21, 5))
	if got := s.evenings(heron, n); got != 2 {
		t.Errorf("in two evenings asked %d times", got)
	}
}

// The clock goes forward a day, or the machine slept: what is too late is not
// asked any more and is not put down to the patient's silence; nothing comes in
// a burst; the next evening is as every evening.
func TestTheClockGoesForward(t *testing.T) {
	for name, c := range map[string]struct{ from, to time.Time }{
		"a day":                     {at(15, 0), at(24+15, 0)},
		"eight hours, over evening": {at(20, 30), at(24+4, 30)},
		"eight hours, over morning": {at(24+6, 0), at(24+14, 0)},
	} {
		t.Run(name, func(t *testing.T) {
			s := play(t)
			s.goes(t, c.from)
			before, err := s.byChat(heron)
			if err != nil {
				t.Fatal(err)
			}
			heard := map[int64]int{}
			for i := range int64(3) {
				heard[userPatient+i] = s.heard(userPatient + i)
			}
			desk := s.heard(userAssistant)
			if _, err := s.platform.Say(userPatient+2, "hoy"); err != nil { // written while it slept
				t.Fatal(err)
			}
			s.hands.Step(c.to)
			if err := s.quiet(t.Context()); err != nil {
				t.Fatal(err)
			}
			for user, n := range heard {
				if got := s.evenings(user, n); got != 0 {
					t.Errorf("%d was asked about a past evening", user)
				}
				if got := s.heard(user) - n; got > 2 {
					t.Errorf("%d messages at once for %d: %q", got, user, s.botSaid(user, n))
				}
			}
			kept := c.to.Sub(c.from) < 24*time.Hour // the platform itself keeps a message no longer
			if kept && s.botSaid(userPatient+2, heard[userPatient+2]) == "" {
				t.Error("what was written meanwhile has no answer")
			}
			after, err := s.byChat(heron)
			if err != nil {
				t.Fatal(err)
			}
			if after.Talk.Silent > before.Talk.Silent {
				t.Errorf("the time nobody asked counts as silence: %d, before %d", after.Talk.Silent, before.Talk.Silent)
			}
			if after.Course.Left > before.Course.Left || after.Course.Advice.Action == chart.Forward &&
				after.Course.Advice.Number > before.Course.Advice.Number {
				t.Error("somebody goes forward without having been asked")
			}
			if got := s.heard(userAssistant) - desk; got > 6 {
				t.Errorf("%d messages at once for staff", got)
			}
			n := s.heard(heron)
			s.goes(t, at(24+20, 59))
			asked := s.evenings(heron, n)
			s.goes(t, at(24+21, 5))
			if got := s.evenings(heron, n) - asked; asked != 0 || got != 1 {
				t.Errorf("the next evening was asked %d times, and %d before", got, asked)
			}
		})
	}
}
