package program_test

import (
	"context"
	"encoding/binary"
	"fmt"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/memory"
)

// What the platform takes: about 30 messages a second to everybody, one a
// second to a chat (Bot API FAQ, "My bot is hitting limits, how do I avoid
// this?"; no DOI).
const platformRate = 30

// crowd is the whole program in virtual time, over the real client library,
// against a stand-in that enforces the platform's limits; its patients' evening
// check-ins are all due in one minute.
type crowd struct {
	*program.Program
	t        *testing.T
	platform *standin.Server
	doctor   int64
	due      time.Time
	users    []int64
}

// gather starts the program in a synctest bubble and enrols n patients: one by
// the whole path, the others as copies of that one's stored state.
func gather(t *testing.T, n int) *crowd {
	ctx, cancel := context.WithCancel(context.Background())
	st := memory.New()
	platform := standin.New(standin.Options{Flood: true})
	api, err := telegram.New(telegram.Options{Token: standin.Token, Transport: platform.Transport()})
	crowdMust(t, err)
	p, err := program.Build(ctx, program.Parts{Store: st, API: api, Clock: scheduler.RealClock{}})
	crowdMust(t, err)
	c := &crowd{Program: p, t: t, platform: platform, doctor: stage.UserClinician}

	raw, err := stage.Scenario.ReadFile("scenario/practice.toml")
	crowdMust(t, err)
	pr, _ := setup.Practice(raw, p.Words.Languages())
	crowdMust(t, program.BringPractice(ctx, p.Runner, pr, raw))
	ended := make(chan error, 1)
	go func() { ended <- p.Poll(ctx, nil) }()
	t.Cleanup(func() {
		cancel()
		<-ended
		platform.Close()
		st.Close()
	})

	who := practice.Staff{ID: "sclinician", Label: "Dr Osprey", Role: practice.Clinician}
	code := flows.NewCode(flows.StaffHead, [16]byte{1})
	crowdMust(t, p.Runner.Handle(ctx, scheduler.PracticeRef(), "staff", flows.StaffChange{Op: flows.StaffAdd, Staff: who,
		Code: practice.Code{Hash: p.Runner.StaffKey(code), Staff: who.ID, Ends: p.Clock.Now().Add(program.CodeLife).Unix()}}))
	platform.AddUser(standin.User{ID: c.doctor, Name: who.Label, Language: "en"})
	c.say(c.doctor, "/start "+code)

	raw, err = stage.Scenario.ReadFile("scenario/one.toml")
	crowdMust(t, err)
	e, _ := setup.Plan(raw, &pr, p.Runner.Today(pr.Zone))
	first, code, err := program.Enrol(ctx, p.Runner, who, e, false)
	crowdMust(t, err)
	c.users = append(c.users, 1000)
	platform.AddUser(standin.User{ID: 1000, Name: e.Label, Language: "en"})
	c.say(1000, "/start "+code)
	c.say(1000, "Yes")
	c.say(1000, "Yes")
	crowdMust(t, p.Runner.Handle(ctx, scheduler.PatientRef(first), "confirm",
		flows.Order{Op: flows.OrderConfirm, Actor: flows.Actor{ID: who.ID, Role: who.Role}}))
	time.Sleep(time.Minute)

	a, err := st.Get(ctx, scheduler.PatientRef(first))
	crowdMust(t, err)
	var timers []store.Timer
	for m, err := range st.Pending(ctx, scheduler.PatientRef(first)) {
		crowdMust(t, err)
		if m.Name == "evening" {
			c.due = m.At
		}
		timers = append(timers, m)
	}
	if c.due.IsZero() {
		t.Fatal("the first patient has no evening")
	}
	for i := 1; i < n; i++ {
		copied, err := store.DecodePatient(a.Body)
		crowdMust(t, err)
		var seed [16]byte
		binary.BigEndian.PutUint64(seed[:], uint64(i))
		binary.BigEndian.PutUint64(seed[8:], uint64(i))
		copied.ID, copied.Chat, copied.Label = flows.NewPatientID(seed), 1000+int64(i), fmt.Sprintf("Wren-%d", 100+i)
		body, err := store.EncodePatient(&copied)
		crowdMust(t, err)
		crowdMust(t, st.Update(ctx, scheduler.PatientRef(copied.ID), "copy", p.Clock.Now(),
			func(store.Aggregate) (store.Change, error) {
				return store.Change{Body: body, Set: timers}, nil
			}))
		crowdMust(t, p.Runner.Handle(ctx, scheduler.ChatRef(copied.Chat), "bound",
			flows.Bound{Patient: copied.ID, Gen: copied.Gen, Lang: "en"}))
		platform.AddUser(standin.User{ID: copied.Chat, Name: "somebody", Language: "en"})
		c.users = append(c.users, copied.Chat)
	}
	crowdMust(t, platform.Open(c.users...))
	return c
}

func crowdMust(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func (c *crowd) say(user int64, text string) {
	c.t.Helper()
	if _, err := c.platform.Say(user, text); err != nil {
		c.t.Fatal(err)
	}
	time.Sleep(5 * time.Second)
}

// told are the instants, by the platform's clock, at which it took messages of ours for a chat.
func (c *crowd) told(chat int64) (out []time.Time) {
	for _, m := range c.platform.Messages(chat) {
		if m.Bot {
			out = append(out, m.At)
		}
	}
	return out
}

// answered is how long after a chat's last word the next message of ours came.
func (c *crowd) answered(chat int64) (time.Duration, bool) {
	var said time.Time
	for _, m := range c.platform.Messages(chat) {
		switch {
		case !m.Bot:
			said = m.At
		case !said.IsZero():
			return m.At.Sub(said), true
		}
	}
	return 0, false
}

// busiest is the most that was taken in any closed span of that length.
func busiest(at []time.Time, span time.Duration) int {
	slices.SortFunc(at, time.Time.Compare)
	most, i := 0, 0
	for j := range at {
		for at[j].Sub(at[i]) > span {
			i++
		}
		most = max(most, j-i+1)
	}
	return most
}

// Ten thousand prompts fall due in one minute; 1,500 where no siege is asked for or
// the race detector watches. All are sent, at 98 % of what
// the platform takes or more, and in no second more than it takes; who writes
// meanwhile has an answer within a second, and a red flag passes them all.
func TestTenThousandPrompts(t *testing.T) {
	prompts := 1_500
	if talktest.Siege() && !raced {
		prompts = 10_000
	}
	synctest.Test(t, func(t *testing.T) {
		c := gather(t, prompts)
		time.Sleep(time.Until(c.due))

		// From the twentieth second on five people write every second, who were
		// prompted before; once it is fifteen at once, and one of them chokes.
		var wrote []int64
		var choking int64
		for second := range 40 {
			time.Sleep(time.Second)
			crowd := 5
			switch {
			case second < 20:
				continue
			case second == 30:
				crowd = 15
			}
			for _, user := range c.users {
				if crowd > 0 && len(c.told(user)) == 1 && !slices.Contains(wrote, user) {
					wrote = append(wrote, user)
					crowd--
					if _, err := c.platform.Say(user, "today"); err != nil {
						t.Fatal(err)
					}
				}
			}
			if second == 30 {
				choking = wrote[len(wrote)-1]
				wrote = wrote[:len(wrote)-1]
				if _, err := c.platform.Say(choking, "I cannot breathe"); err != nil {
					t.Fatal(err)
				}
			}
		}
		time.Sleep(time.Duration(prompts)*time.Second/29 + time.Second)

		var all []time.Time
		for _, user := range c.users {
			at := c.told(user)
			if len(at) == 0 {
				t.Fatalf("%d was told nothing", user)
			}
			all = append(all, at...)
			if n := busiest(at, time.Second); n > 3 {
				t.Errorf("%d messages to one chat in one second", n)
			}
		}
		alarm := c.told(c.doctor)
		all = append(all, alarm...)
		all = slices.DeleteFunc(all, func(at time.Time) bool { return at.Before(c.due) })
		if n := busiest(all, time.Second); n > platformRate || c.platform.MaxPerSecond() > platformRate ||
			c.platform.Flooded() > 0 {
			t.Errorf("%d messages in one second, %d by the platform's own count, %d refused", n, c.platform.MaxPerSecond(),
				c.platform.Flooded())
		}
		took := all[len(all)-1].Sub(all[0])
		if rate := float64(len(all)-1) / took.Seconds(); rate < 29 {
			t.Errorf("%d messages in %v: %.2f a second", len(all), took, rate)
		}
		worst := time.Duration(0)
		for _, user := range wrote {
			after, ok := c.answered(user)
			if !ok {
				t.Fatalf("%d wrote and was not answered", user)
			}
			worst = max(worst, after)
		}
		if worst >= time.Second {
			t.Errorf("a reply took %v", worst)
		}
		after, ok := c.answered(choking)
		if !ok || after > 200*time.Millisecond {
			t.Errorf("a red flag was answered after %v, %v", after, ok)
		}
		t.Logf("%d messages in %v, at most %d in a second; %d replies, the slowest after %v; the red flag after %v", len(all),
			took, busiest(all, time.Second), len(wrote), worst, after)
	})
}
