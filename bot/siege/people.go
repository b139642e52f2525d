package siege

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/memory"
)

// soul is a patient of the siege.
type soul struct {
	stage.Persona
	ref  store.Ref
	kind int
	due  time.Time // when the evening prompt is
	was  snapshot  // as the siege found the patient
	sc   *stage.Scene
}

// What the patients do.
const (
	writes = iota // days and answers, all the time
	warns         // red flags, and taps on what is asked then
	waits         // for the evening prompt, and answers it
)

const (
	writers  = 10
	warners  = 6
	perGroup = 12 // who is asked at the same minute
)

// turnover is a clock that is set by hand until it is let go.
type turnover struct {
	mu    sync.Mutex
	hands *scheduler.ManualClock
}

func (c *turnover) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.hands != nil {
		return c.hands.Now()
	}
	return time.Now()
}

// settle brings the practice in and plays the day so far on a clock that is
// moved by hand, by the same talk as everywhere; so the evening comes while the
// program is being killed, and every process keeps the machine's own clock.
func (g *Siege) settle(file string) {
	t, ctx := g.t, g.t.Context()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	groups := max(1, int(g.lasts/time.Minute)-1)
	patients := writers + warners + perGroup*groups
	aday := time.Duration(patients) * g.pace()
	first := time.Now().Add(aday).Truncate(time.Minute).Add(time.Minute)
	begun := time.Now()
	for i := range groups {
		g.prompt = append(g.prompt, first.Add(time.Duration(i)*time.Minute))
	}
	zone, evening := eveningZone(first)
	raw, err := stage.Scenario.ReadFile("scenario/practice.toml")
	must(err)
	text, _, _ := strings.Cut(string(raw), "[hours]")
	text = strings.Replace(text, "America/New_York", zone, 1) + "[hours]\n"
	for _, day := range []string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"} {
		text += day + ` = ["00:00-23:59"]` + "\n"
	}
	must(os.WriteFile(file, []byte(text), 0o600))

	g.hour.hands = scheduler.NewManualClock(first.Add(-29 * time.Hour))
	st, err := stage.Raise(ctx, g.platform, g.hour.hands, program.Parts{Store: g.store, Free: true})
	must(err)
	s := &stage.Scene{Stage: st}
	pr, faults := setup.Practice([]byte(text), s.Words.Languages())
	if setup.Refused(faults) {
		t.Fatal(faults)
	}
	must(program.BringPractice(ctx, s.Runner, pr, []byte(text)))
	s.Doctor, err = s.JoinStaff(ctx, practice.Staff{ID: "sclinician", Label: "Dr Osprey", Role: practice.Clinician},
		stage.UserClinician)
	must(err)
	_, err = s.JoinStaff(ctx, practice.Staff{ID: "sassistant", Label: "Ms Plover", Role: practice.Assistant},
		stage.UserAssistant)
	must(err)
	g.staff = []int64{stage.UserClinician, stage.UserAssistant}

	plan, err := stage.Scenario.ReadFile("scenario/one.toml")
	must(err)
	pr, err = s.Practice(ctx)
	must(err)
	var cast []stage.Persona
	for i := range patients {
		one := &soul{kind: writes, sc: s, due: g.prompt[0]}
		at := evening
		switch k := i - writers - warners; {
		case k >= 0:
			one.kind, one.due = waits, g.prompt[k/perGroup]
			at = evening.Add(time.Duration(k/perGroup) * time.Minute)
		case i >= writers:
			one.kind = warns
		}
		one.User, one.Lang = stage.UserPatient+int64(i), "en"
		one.Snore = func(int) int { return 6 }
		mine := strings.NewReplacer("Wren-17", fmt.Sprintf("Siskin-%03d", i), "America/New_York", zone, "21:00",
			at.Format("15:04")).Replace(string(plan))
		e, faults := setup.Plan([]byte(mine), &pr, s.Runner.Today(zone))
		if setup.Refused(faults) {
			t.Fatal(faults)
		}
		must(s.Admit(ctx, &one.Persona, e))
		p, err := s.ByChat(one.User)
		must(err)
		one.ref = scheduler.PatientRef(p.ID)
		g.people = append(g.people, one)
		cast = append(cast, one.Persona)
	}
	must(s.Live(ctx, cast, time.Now()))
	s.Close()
	g.hour.mu.Lock()
	g.hour.hands = nil
	g.hour.mu.Unlock()
	for _, one := range g.people {
		one.was = g.look(one.ref)
	}
	t.Logf("a day of %d patients took %v of %v", patients, time.Since(begun).Round(time.Second), aday)
	if time.Now().After(first) {
		t.Fatal("playing the day so far took longer than the day: the machine is too busy")
	}
}

// pace is how long playing a patient's day may take on this machine as it is
// just now, other tests and the race detector included. The first prompt cannot
// be moved once the day has been played up to it, so a few weeks in memory are
// lived first, with a watch.
func (g *Siege) pace() time.Duration {
	began := time.Now()
	s, err := stage.NewScene(g.t.Context(), memory.New(), nil)
	if err != nil {
		g.t.Fatal(err)
	}
	took := time.Since(began)
	s.Close()
	return max(400*time.Millisecond, took) // three times what it was seen to be
}

// eveningZone is a zone where an instant is in the hour after nine in the evening.
func eveningZone(at time.Time) (string, time.Time) {
	for offset := -12; offset <= 11; offset++ {
		name := "Etc/GMT" + fmt.Sprintf("%+d", -offset)
		if zone, err := time.LoadLocation(name); err == nil && at.In(zone).Hour() == 21 {
			return name, at.In(zone)
		}
	}
	panic("no zone has an evening now")
}

func pauseFor(ctx context.Context, r *rand.Rand, least, most time.Duration) {
	select {
	case <-time.After(least + time.Duration(r.Int64N(int64(most-least)))):
	case <-ctx.Done():
	}
}

// live is a patient until the siege ends.
func (o *soul) live(ctx context.Context, g *Siege, r *rand.Rand) {
	for n := 0; ; n++ {
		pauseFor(ctx, r, 500*time.Millisecond, 1800*time.Millisecond)
		if ctx.Err() != nil {
			return
		}
		switch o.kind {
		case writes:
			o.say(g, dayLine(r, n), false)
		case warns:
			o.warn(g, r)
		case waits:
			o.await(g, r)
		}
	}
}

// dayLine is one of the things patients write.
func dayLine(r *rand.Rand, n int) string {
	switch r.IntN(12) {
	case 0, 6, 7:
		return fmt.Sprintf("worn all night, pain %d, snoring %d, guide 5 min, bite ok", r.IntN(3), r.IntN(9))
	case 1, 8, 9:
		return fmt.Sprintf("snoring %d", r.IntN(9))
	case 2:
		return fmt.Sprintf("pain %d gone by 9", 1+r.IntN(3))
	case 3:
		return "undo"
	case 4, 10, 11:
		return "today"
	}
	return fmt.Sprintf("hours %d, a word of my own, number %d", 4+r.IntN(5), n) // goes to the desk
}

func (o *soul) say(g *Siege, text string, flag bool) {
	g.send(said{ref: o.ref, user: o.User, flag: flag}, func() (string, error) {
		id, err := g.platform.Say(o.User, text)
		return strconv.FormatInt(id, 10), err
	})
}

// warn writes a red flag now and then, and taps what is asked.
func (o *soul) warn(g *Siege, r *rand.Rand) {
	if told := g.platform.Messages(o.User); r.IntN(2) == 0 {
		for _, m := range slices.Backward(told) {
			if len(m.Buttons) > 0 && len(m.Buttons[0]) > 0 {
				b := m.Buttons[r.IntN(len(m.Buttons))][0]
				g.send(said{ref: o.ref, user: o.User}, func() (string, error) {
					return g.platform.Tap(o.User, o.User, m.ID,
						b.Data)
				})
				return
			}
		}
	}
	if r.IntN(12) == 0 { // staff are told of each, in a chat that takes one message a second
		flags := []string{"I cannot breathe", "my tongue is swelling and I cannot breathe", "no puedo respirar"}
		o.say(g, flags[r.IntN(len(flags))], true)
	}
}

// await answers the evening prompt once it came.
func (o *soul) await(g *Siege, r *rand.Rand) {
	if prompts(g.platform.Messages(o.User), o.due) == 0 || r.IntN(2) == 0 {
		return
	}
	keys := g.platform.Keyboard(o.User)
	if len(keys) == 0 {
		return
	}
	label := o.sc.Choose(keys, o.Persona)
	if label == "" {
		return
	}
	g.send(said{ref: o.ref, user: o.User}, func() (string, error) {
		id, err := g.platform.Press(o.User, o.User, label)
		return strconv.FormatInt(id, 10), err
	})
}

// onDuty takes what waits at the desk, by its button.
func (g *Siege) onDuty(ctx context.Context, user int64, r *rand.Rand) {
	for ctx.Err() == nil {
		pauseFor(ctx, r, 2*time.Second, 5*time.Second)
		for _, m := range slices.Backward(g.platform.Messages(user)) {
			i := slices.IndexFunc(m.Buttons, func(row []standin.Button) bool {
				return slices.ContainsFunc(row, func(b standin.Button) bool { return strings.Contains(b.Data, "|ack|") })
			})
			if i < 0 {
				continue
			}
			for _, b := range m.Buttons[i] {
				if strings.Contains(b.Data, "|ack|") {
					g.send(said{ref: scheduler.ChatRef(user), user: user},
						func() (string, error) { return g.platform.Tap(user, user, m.ID, b.Data) })
				}
			}
			break
		}
	}
}

// prompts counts the evening prompts in a chat from the minute they were due on.
func prompts(told []standin.Message, due time.Time) (n int) {
	for _, m := range told {
		if m.Bot && strings.HasPrefix(m.Text, "Evening check-in.") && !m.At.Before(due.Add(-time.Second)) {
			n++
		}
	}
	return n
}
