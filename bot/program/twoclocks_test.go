package program_test

import (
	"context"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/redistest"
)

// kept is a store whose server's clock the test moves.
type kept struct {
	store.Store
	now func() time.Time
}

func (k kept) Time(context.Context) (time.Time, error) { return k.now(), nil }

// Two processes on one Redis, the clock of one ahead by a minute and a half,
// and a platform that takes its time: each evening question goes out once, at
// its hour, and each answer is answered once.
func TestTwoProcessesWhoseClocksDiffer(t *testing.T) {
	t.Parallel()
	const patients = 6
	address := redistest.Address(t)
	hands := scheduler.NewManualClock(talktest.At(20, 50))
	stores := make([]store.Store, 2)
	for i := range stores {
		var err error
		if stores[i], err = program.OpenStore(t.Context(), setup.Secret(address), false); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = stores[i].Close() })
	}
	s := talktest.Begin(t, stores[0], standin.New(standin.Options{Now: hands.Now}), hands, patients)
	t.Cleanup(s.Close)
	clock, err := program.CommonClock(t.Context(), talktest.Astray{Clock: hands, By: 90 * time.Second}, kept{stores[1], hands.Now})
	if err != nil {
		t.Fatal(err)
	}
	other, err := stage.Raise(t.Context(), s.Platform, hands, program.Parts{Store: stores[1], Clock: clock, Free: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(other.Close)
	both := func() {
		t.Helper()
		for range 3 {
			for _, g := range []*stage.Stage{s.Stage, other} {
				if err := g.Quiet(t.Context()); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	both()
	n := s.Heard(stage.UserPatient)
	hands.Set(talktest.At(20, 59))
	both()
	if got := s.Heard(stage.UserPatient) - n; got != 0 {
		t.Errorf("%d messages before the hour", got)
	}
	slow := make(chan struct{})
	s.Platform.Inject(standin.Fault{Kind: standin.Delay, Method: "sendMessage", Times: -1, Until: slow})
	before := s.Platform.Calls("sendMessage")
	hands.Set(talktest.At(21, 0).Add(time.Second))
	for end := time.Now().Add(20 * time.Second); s.Platform.Calls("sendMessage") < before+patients; {
		if time.Now().After(end) { // a try that had not begun when the clock moves on waits for the end of its lease
			t.Fatal("the questions did not begin to go out")
		}
		time.Sleep(time.Millisecond)
	}
	for range 10 { // both look round while the platform has not answered yet, and no lease has run out
		time.Sleep(20 * time.Millisecond)
		hands.Set(hands.Now().Add(3 * time.Second))
	}
	close(slow)
	s.Platform.Mend()
	both()
	for i := range int64(patients) {
		if got := s.Evenings(stage.UserPatient+i, 0); got != 1 {
			t.Errorf("%d was asked %d times", stage.UserPatient+i, got)
		}
	}
	heard := map[int64]int{}
	for i := range int64(patients) {
		heard[stage.UserPatient+i] = s.Heard(stage.UserPatient + i)
		if _, err := s.Platform.Say(stage.UserPatient+i, "today"); err != nil {
			t.Fatal(err)
		}
	}
	both()
	hands.Set(hands.Now().Add(5 * time.Second))
	both()
	for user, n := range heard {
		if got := s.Heard(user) - n; got != 2 {
			t.Errorf("%d messages of a question and its answer for %d", got, user)
		}
	}
}

// The clock of a real server is read.
func TestTheStoresClock(t *testing.T) {
	st, err := program.OpenStore(t.Context(), setup.Secret(redistest.Address(t)), false)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	for _, wrong := range []time.Duration{0, 90 * time.Second, -time.Hour} {
		c, err := program.CommonClock(t.Context(), talktest.Astray{Clock: scheduler.RealClock{}, By: wrong}, st)
		if err != nil {
			t.Fatal(err)
		}
		if off := time.Until(c.Now()).Abs(); off > time.Second {
			t.Errorf("a clock that is wrong by %v is off by %v", wrong, off)
		}
	}
}
