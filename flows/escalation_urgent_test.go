package flows

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// vigil lets virtual time pass over one escalation: its timer fires when it is
// due, on the clocks of a place that shifts them.
type vigil struct {
	*life
	zone  *time.Location
	at    time.Time
	due   time.Time
	timer SetTimer
	seen  []string // "Fri 23:15 ring clin asst off, call"
	calls []time.Time
	rings []time.Time
}

// vigilAt puts an active patient before the clock of a place.
func vigilAt(t *testing.T, at string, change func(*practice.Practice)) *vigil {
	t.Helper()
	zone, err := time.LoadLocation("America/New_York")
	if err != nil {
		t.Skip("no zone data")
	}
	v := &vigil{life: active(t), zone: zone}
	if v.at, err = time.ParseInLocation("2006-01-02 15:04", at, zone); err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(&v.pr)
	}
	return v
}

func (v *vigil) wall() civil.Wall {
	w := v.at.In(v.zone)
	return civil.Wall{Date: civil.DateOf(w.Year(), w.Month(), w.Day()), Clock: civil.Clock(w.Hour()*60 + w.Minute())}
}

// on hands an event to the patient now, and notes who is rung and called.
func (v *vigil) on(b Body) {
	v.t.Helper()
	v.n++
	e := Event{ID: "e", At: v.at, Wall: v.wall(), Office: v.wall(), Body: b}
	e.Seed[0] = v.n
	v.p, v.out = Next(v.pr, v.p, e)
	var who []string
	for _, x := range v.out {
		switch x := x.(type) {
		case Send:
			if name := map[int64]string{chatClin: "clin", chatAsst: "asst", chatOff: "off", chatGone: "gone"}[x.Chat]; name != "" && x.Key != "" {
				who = append(who, name)
			}
		case Call:
			who = append(who, "call")
			v.calls = append(v.calls, v.at)
			if x.Class == 0 || x.Number == 0 || x.Within <= 0 || !strings.HasPrefix(x.Key, callHead) {
				v.t.Errorf("%+v", x)
			}
		case SetTimer:
			if !strings.HasPrefix(x.Name, ringHead) {
				continue
			}
			v.timer, v.due = x, v.at.Add(time.Duration(x.After)*time.Minute)
			if x.After == 0 {
				d := x.At.Date.Time()
				v.due = time.Date(d.Year(), d.Month(), d.Day(), 0, int(x.At.Clock), 0, 0, v.zone)
			}
			if !v.due.After(v.at) {
				v.t.Fatalf("at %s the next ring is at %s", v.at, v.due)
			}
		case ClearTimer:
			if x.Name == v.timer.Name {
				v.due = time.Time{}
			}
		}
	}
	if len(who) > 0 {
		v.rings = append(v.rings, v.at)
		v.seen = append(v.seen, v.at.In(v.zone).Format("Mon 15:04 ")+strings.Join(who, " "))
	}
}

// until lets time pass up to an instant.
func (v *vigil) until(end string) []string {
	v.t.Helper()
	to, err := time.ParseInLocation("2006-01-02 15:04", end, v.zone)
	if err != nil {
		v.t.Fatal(err)
	}
	v.seen = nil
	for !v.due.IsZero() && !v.due.After(to) {
		v.at = v.due
		v.due = time.Time{}
		v.on(Due{Name: v.timer.Name, Arg: v.timer.Arg})
	}
	v.at = to
	return v.seen
}

// emergency and sameDay say something of the class.
func (v *vigil) emergency() *vigil {
	v.t.Helper()
	v.on(Said{Chat: v.p.Chat, Gen: v.p.Gen, Text: "I cannot breathe", Reading: reading.Reading{Features: reading.FBreath}, Wall: v.wall()})
	return v
}

func (v *vigil) sameDay() *vigil {
	v.t.Helper()
	v.on(Said{Chat: v.p.Chat, Gen: v.p.Gen, Text: "piece came off", Reading: reading.Reading{Features: reading.FBroken}, Wall: v.wall()})
	return v
}

func (v *vigil) want(got []string, want ...string) {
	v.t.Helper()
	if !slices.Equal(got, want) {
		v.t.Errorf("got\n\t%s\nwant\n\t%s", strings.Join(got, "\n\t"), strings.Join(want, "\n\t"))
	}
}

// gaps holds that rings never lie more than an hour apart, and calls neither
// closer than the pause before nor more than four hours.
func (v *vigil) gaps() {
	v.t.Helper()
	for i := 1; i < len(v.rings); i++ {
		if gap := v.rings[i].Sub(v.rings[i-1]); gap > time.Hour {
			v.t.Errorf("quiet for %s before %s", gap, v.rings[i])
		}
	}
	for i := 1; i < len(v.calls); i++ {
		if gap := v.calls[i].Sub(v.calls[i-1]); gap < time.Duration(CallPause(i))*time.Minute || gap > 4*time.Hour {
			v.t.Errorf("call %d comes %s after the one before", i+1, gap)
		}
	}
}

// An E rings through a night until a person takes it: those on duty, everyone at
// the deadline, and from the next ring on the outside call as well.
func TestAnEmergencyRingsThroughTheNight(t *testing.T) {
	v := vigilAt(t, "2026-11-05 02:00", nil).emergency()
	v.want(v.seen, "Thu 02:00 clin asst")
	v.want(v.until("2026-11-05 09:00"), "Thu 02:15 clin asst off", "Thu 02:30 clin asst off call", "Thu 02:45 clin asst off call",
		"Thu 03:15 clin asst off call", "Thu 04:15 clin asst off call", "Thu 05:15 clin asst off", "Thu 06:15 clin asst off call",
		"Thu 07:15 clin asst off", "Thu 08:15 clin asst off", "Thu 09:00 clin asst off")
	v.gaps()
	n := v.must("breath").N
	v.on(Order{Op: OrderAck, Esc: n, Actor: Actor{ID: "sasst"}, Chat: chatAsst})
	if !slices.Contains(v.out, Effect(Withdraw{Key: callKey(n)})) {
		t.Error("the outside call is not taken back")
	}
	if got := v.until("2026-11-06 08:59"); len(got) > 0 {
		t.Errorf("taken, it rings: %v", got)
	}
	v.want(v.until("2026-11-06 09:00"), "Fri 09:00 asst") // a reminder
}

// Weekends, holidays and both changes of the clocks are nothing to an E.
func TestAnEmergencyRingsThroughAnything(t *testing.T) {
	for name, span := range map[string][2]string{
		"a long weekend":                         {"2026-11-25 18:00", "2026-11-30 09:30"}, // Thursday and Friday are holidays
		"the spring":                             {"2026-03-07 22:00", "2026-03-09 12:00"},
		"the autumn":                             {"2026-10-31 22:00", "2026-11-02 12:00"},
		"half an hour before the clocks go back": {"2026-11-01 00:30", "2026-11-01 06:00"},
	} {
		v := vigilAt(t, span[0], func(pr *practice.Practice) {
			pr.Holidays = []civil.Date{civil.DateOf(2026, time.November, 26), civil.DateOf(2026, time.November, 27)}
		}).emergency()
		v.until(span[1])
		v.gaps()
		if len(v.rings) < 5 || v.at.Sub(v.rings[len(v.rings)-1]) > time.Hour || len(v.calls) == 0 || v.at.Sub(v.calls[len(v.calls)-1]) > 4*time.Hour {
			t.Errorf("%s: it ended: %v", name, v.rings)
		}
	}
}

// Where nobody is on duty an E rings everyone at once; where nobody can be reached
// at all the outside call is made at once.
func TestAnEmergencyWithNobodyThere(t *testing.T) {
	leave := func(pr *practice.Practice) {
		for i := range pr.Staff {
			pr.Staff[i].OffDuty = true
		}
	}
	v := vigilAt(t, "2026-11-05 02:00", leave).emergency()
	v.want(v.seen, "Thu 02:00 clin asst off")
	v = vigilAt(t, "2026-11-05 02:00", func(pr *practice.Practice) { pr.Staff = nil }).emergency()
	v.want(v.seen, "Thu 02:00 call")
	v.want(v.until("2026-11-05 04:15"), "Thu 02:15 call", "Thu 02:45 call", "Thu 03:45 call")
}

// An S of the night rings who is on duty, then calls outside once, and rings
// everyone when the office opens; in office hours it rings and calls as an E does.
func TestASameDayFlagOfTheNight(t *testing.T) {
	v := vigilAt(t, "2026-11-05 23:00", nil).sameDay()
	v.want(v.seen, "Thu 23:00 clin asst")
	v.want(v.until("2026-11-06 11:00"), "Fri 00:00 clin asst", "Fri 00:15 clin asst",
		"Fri 00:30 clin asst", "Fri 01:00 clin asst call", "Fri 09:00 clin asst off", "Fri 10:00 clin asst off", "Fri 10:15 clin asst off call",
		"Fri 10:45 clin asst off call")

	// Nobody is on duty, over a weekend that a holiday makes longer.
	v = vigilAt(t, "2026-11-06 23:00", func(pr *practice.Practice) {
		for i := range pr.Staff {
			pr.Staff[i].OffDuty = true
		}
		pr.Holidays = []civil.Date{civil.DateOf(2026, time.November, 9)}
	}).sameDay()
	v.want(v.seen, "Fri 23:00 call")
	v.wantNot(0, "when.nobody")
	v.want(v.until("2026-11-10 10:00"), "Tue 09:00 clin asst off", "Tue 09:15 clin asst off", "Tue 09:30 clin asst off", "Tue 10:00 clin asst off")
	// Untaken for a working day, in which it calls outside as an emergency does, it calls
	// in the next night again, once.
	v.until("2026-11-10 17:00")
	v.want(v.until("2026-11-11 08:59"), "Tue 17:45 call")

	// A call that is not made wakes everyone: silence would be worse.
	v = vigilAt(t, "2026-11-06 23:00", func(pr *practice.Practice) {
		for i := range pr.Staff {
			pr.Staff[i].OffDuty = true
		}
	}).sameDay()
	v.seen = nil
	v.on(Missed{Key: callKey(v.must("piece.broken").N)})
	v.want(v.seen, "Fri 23:00 clin asst off")
	v.on(Missed{Key: callHead + "99"})
	v.on(Missed{Key: callHead + "x"})
}

// Whoever has taken something urgent and then leaves, or cannot be reached, has it
// no more: within the hour it rings anew.
func TestAHolderWhoLeaves(t *testing.T) {
	for name, gone := range map[string]func(*practice.Staff){
		"removed":     func(s *practice.Staff) { s.Removed = true },
		"unreachable": func(s *practice.Staff) { s.Unreach = true },
	} {
		v := vigilAt(t, "2026-11-05 10:00", nil).emergency()
		n := v.must("breath").N
		v.on(Order{Op: OrderAck, Esc: n, Actor: Actor{ID: "sasst"}, Chat: chatAsst})
		if got := v.until("2026-11-05 20:30"); len(got) > 0 {
			t.Fatalf("%s: held, it rings: %v", name, got)
		}
		gone(&v.pr.Staff[1])
		v.want(v.until("2026-11-05 21:30"), "Thu 21:00 clin off", "Thu 21:15 clin off call", "Thu 21:30 clin off call")
		if esc := v.must("breath"); esc.AckBy != "" {
			t.Errorf("%s: held by %q", name, esc.AckBy)
		}
	}
}

func TestCallPauses(t *testing.T) {
	got := fmt.Sprint(CallPause(-1), CallPause(0), CallPause(1), CallPause(2), CallPause(3), CallPause(4), CallPause(5), CallPause(6), CallPause(9999))
	if got != "0 0 15 30 60 120 240 240 240" {
		t.Error(got)
	}
}
