package main

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/setup"
	"duskdawn/bot/standin"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// begin is a scene in which n patients were fitted today: no day is played yet.
func begin(t *testing.T, st store.Store, platform *standin.Server, hands *scheduler.ManualClock, n int) *scene {
	t.Helper()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	ctx := t.Context()
	stage, err := raiseStage(ctx, platform, hands, parts{store: st, free: true})
	must(err)
	s := &scene{stage: stage}
	raw, err := scenario.ReadFile("scenario/practice.toml")
	must(err)
	pr, _ := setup.Practice(raw, s.words.Languages())
	must(bringPractice(ctx, s.runner, pr, raw))
	s.doctor, err = s.joinStaff(ctx, practice.Staff{ID: "sclinician", Label: "Dr Osprey", Role: practice.Clinician},
		userClinician)
	must(err)
	plan, err := scenario.ReadFile("scenario/one.toml")
	must(err)
	pr, err = s.practice(ctx)
	must(err)
	for i := range n {
		who := persona{user: userPatient + int64(i), lang: "en"}
		e, _ := setup.Plan([]byte(strings.Replace(string(plan), "Wren-17", fmt.Sprintf("Siskin-%03d", i), 1)), &pr,
			s.runner.Today(pr.Zone))
		must(s.admit(ctx, &who, e))
	}
	return s
}

// kept is a store whose server's clock the test moves.
type kept struct {
	store.Store
	now func() time.Time
}

func (k kept) Time(context.Context) (time.Time, error) { return k.now(), nil }

// astray is a clock set wrong by so much.
type astray struct {
	scheduler.Clock
	by time.Duration
}

func (a astray) Now() time.Time { return a.Clock.Now().Add(a.by) }
func (a astray) Until(t time.Time) (<-chan struct{}, func()) {
	return a.Clock.Until(t.Add(-a.by))
}

// Two processes on one Redis, the clock of one ahead by a minute and a half,
// and a platform that takes its time: each evening question goes out once, at
// its hour, and each answer is answered once.
func TestTwoProcessesWhoseClocksDiffer(t *testing.T) {
	const patients = 6
	address := redisServer(t)
	hands := scheduler.NewManualClock(at(20, 50))
	stores := make([]store.Store, 2)
	for i := range stores {
		var err error
		if stores[i], err = openStore(t.Context(), setup.Secret(address), false); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = stores[i].Close() })
	}
	s := begin(t, stores[0], standin.New(standin.Options{Now: hands.Now}), hands, patients)
	t.Cleanup(s.close)
	clock, err := keepCommon(t.Context(), astray{hands, 90 * time.Second}, kept{stores[1], hands.Now})
	if err != nil {
		t.Fatal(err)
	}
	other, err := raiseStage(t.Context(), s.platform, hands, parts{store: stores[1], clock: clock, free: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(other.close)
	both := func() {
		t.Helper()
		for range 3 {
			for _, g := range []*stage{s.stage, other} {
				if err := g.quiet(t.Context()); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	both()
	n := s.heard(userPatient)
	hands.Set(at(20, 59))
	both()
	if got := s.heard(userPatient) - n; got != 0 {
		t.Errorf("%d messages before the hour", got)
	}
	slow := make(chan struct{})
	s.platform.Inject(standin.Fault{Kind: standin.Delay, Method: "sendMessage", Times: -1, Until: slow})
	hands.Set(at(21, 0).Add(time.Second))
	for range 10 { // both look round while the platform has not answered yet, and no lease has run out
		time.Sleep(20 * time.Millisecond)
		hands.Set(hands.Now().Add(3 * time.Second))
	}
	close(slow)
	s.platform.Mend()
	both()
	for i := range int64(patients) {
		if got := s.evenings(userPatient+i, 0); got != 1 {
			t.Errorf("%d was asked %d times", userPatient+i, got)
		}
	}
	heard := map[int64]int{}
	for i := range int64(patients) {
		heard[userPatient+i] = s.heard(userPatient + i)
		if _, err := s.platform.Say(userPatient+i, "today"); err != nil {
			t.Fatal(err)
		}
	}
	both()
	hands.Set(hands.Now().Add(5 * time.Second))
	both()
	for user, n := range heard {
		if got := s.heard(user) - n; got != 2 {
			t.Errorf("%d messages of a question and its answer for %d", got, user)
		}
	}
}

// The clock of a real server is read.
func TestTheStoresClock(t *testing.T) {
	st, err := openStore(t.Context(), setup.Secret(redisServer(t)), false)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	for _, wrong := range []time.Duration{0, 90 * time.Second, -time.Hour} {
		c, err := keepCommon(t.Context(), astray{scheduler.RealClock{}, wrong}, st)
		if err != nil {
			t.Fatal(err)
		}
		if off := time.Until(c.Now()).Abs(); off > time.Second {
			t.Errorf("a clock that is wrong by %v is off by %v", wrong, off)
		}
	}
}
