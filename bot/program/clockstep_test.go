package program_test

import (
	"testing"
	"time"

	"duskdawn/bot/stage"
	"duskdawn/bot/talktest"
	"duskdawn/flows/chart"
)

// The clock goes back an hour after the evening's question: it is not asked a
// second time when nine o'clock comes again, and the talk goes on.
func TestTheClockGoesBackAnHour(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	n := s.Heard(stage.Heron)
	s.Goes(t, talktest.At(21, 5))
	if got := s.Evenings(stage.Heron, n); got != 1 {
		t.Fatalf("asked %d times", got)
	}
	s.Hands.Step(talktest.At(20, 5))
	told := s.Heard(stage.Heron)
	if err := s.Say(t.Context(), stage.Heron, "today"); err != nil {
		t.Fatal(err)
	}
	if s.BotSaid(stage.Heron, told) == "" {
		t.Error("no answer after the clock was set back")
	}
	s.Goes(t, talktest.At(22, 0))
	if got := s.Evenings(stage.Heron, n); got != 1 {
		t.Errorf("asked %d times", got)
	}
	s.Goes(t, talktest.At(24+20, 0))
	s.Goes(t, talktest.At(24+21, 5))
	if got := s.Evenings(stage.Heron, n); got != 2 {
		t.Errorf("in two evenings asked %d times", got)
	}
}

// The clock goes forward a day, or the machine slept: what is too late is not
// asked any more and is not put down to the patient's silence; nothing comes in
// a burst; the next evening is as every evening.
func TestTheClockGoesForward(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ from, to time.Time }{
		"a day":                     {talktest.At(15, 0), talktest.At(24+15, 0)},
		"eight hours, over evening": {talktest.At(20, 30), talktest.At(24+4, 30)},
		"eight hours, over morning": {talktest.At(24+6, 0), talktest.At(24+14, 0)},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := talktest.Play(t)
			s.Goes(t, c.from)
			before, err := s.ByChat(stage.Heron)
			if err != nil {
				t.Fatal(err)
			}
			heard := map[int64]int{}
			for i := range int64(3) {
				heard[stage.UserPatient+i] = s.Heard(stage.UserPatient + i)
			}
			desk := s.Heard(stage.UserAssistant)
			if _, err := s.Platform.Say(stage.UserPatient+2, "hoy"); err != nil { // written while it slept
				t.Fatal(err)
			}
			s.Hands.Step(c.to)
			if err := s.Quiet(t.Context()); err != nil {
				t.Fatal(err)
			}
			for user, n := range heard {
				if got := s.Evenings(user, n); got != 0 {
					t.Errorf("%d was asked about a past evening", user)
				}
				if got := s.Heard(user) - n; got > 2 {
					t.Errorf("%d messages at once for %d: %q", got, user, s.BotSaid(user, n))
				}
			}
			kept := c.to.Sub(c.from) < 24*time.Hour // the platform itself keeps a message no longer
			if kept && s.BotSaid(stage.UserPatient+2, heard[stage.UserPatient+2]) == "" {
				t.Error("what was written meanwhile has no answer")
			}
			after, err := s.ByChat(stage.Heron)
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
			if got := s.Heard(stage.UserAssistant) - desk; got > 6 {
				t.Errorf("%d messages at once for staff", got)
			}
			n := s.Heard(stage.Heron)
			s.Goes(t, talktest.At(24+20, 59))
			asked := s.Evenings(stage.Heron, n)
			s.Goes(t, talktest.At(24+21, 5))
			if got := s.Evenings(stage.Heron, n) - asked; asked != 0 || got != 1 {
				t.Errorf("the next evening was asked %d times, and %d before", got, asked)
			}
		})
	}
}
