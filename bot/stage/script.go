package stage

import (
	"context"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"duskdawn/bot/rehearsal"
	"duskdawn/bot/setup"
	"duskdawn/bot/standin"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
)

var (
	saying     = regexp.MustCompile(`^([a-z][a-z0-9-]*): (.*)$`)
	taps       = regexp.MustCompile(`^([a-z][a-z0-9-]*) taps (\S+)$`)
	nightsLine = regexp.MustCompile(`^nights (\d+)( still| silent)?: (.*)$`)
	assignment = regexp.MustCompile(`([a-z-]+)=("[^"]*"|\S*)`)
)

// run carries out a line of a scene.
func (w *World) run(ctx context.Context, line string) error {
	word, rest, _ := strings.Cut(line, " ")
	if m := nightsLine.FindStringSubmatch(line); m != nil {
		return w.nights(ctx, line, m[1], strings.TrimSpace(m[2]), m[3])
	}
	if m := saying.FindStringSubmatch(line); m != nil {
		return w.says(ctx, m[1], m[2])
	}
	if m := taps.FindStringSubmatch(line); m != nil {
		return w.taps(ctx, m[1], m[2])
	}
	switch {
	case line == "" || line[0] == '#':
		return nil
	case word == "enrol":
		return w.enrols(ctx, rest)
	case word == "crowd":
		return w.crowd(ctx, rest)
	case word == "to":
		return w.goes(ctx, rest)
	case word == "as":
		c, ok := w.named(rest)
		w.opens = c.ID
		if !ok {
			return fmt.Errorf("there is nobody called %q", rest)
		}
		return nil
	case line == "practice settles":
		w.line("%s", line)
		return w.settles(ctx)
	}
	return fmt.Errorf("no such line of a scene: %q", line)
}

func (w *World) named(name string) (rehearsal.Chat, bool) {
	i := slices.IndexFunc(w.People, func(c rehearsal.Chat) bool { return c.Name == name })
	if i < 0 {
		return rehearsal.Chat{}, false
	}
	return w.People[i], true
}

// With puts other values for some of the top keys of a TOML file; an empty one
// leaves its key out.
func With(raw []byte, put map[string]string) []byte {
	var out, head []string
	for line := range strings.SplitSeq(string(raw), "\n") {
		key, _, is := strings.Cut(line, "=")
		if _, other := put[strings.TrimSpace(key)]; !other || !is {
			out = append(out, line)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(put)) {
		switch v := put[key]; {
		case v == "":
		case bare.MatchString(v):
			head = append(head, key+" = "+v)
		default:
			head = append(head, key+" = "+strconv.Quote(v))
		}
	}
	return []byte(strings.Join(append(head, out...), "\n"))
}

// bare is a value that TOML writes without quotes.
var bare = regexp.MustCompile(`^(-?[0-9]+(\.[0-9]+)?|true|false|[0-9]{4}-[0-9]{2}-[0-9]{2}|\[.*\])$`)

// enrols is "heron ceiling=6": the scenario's plan with other values.
func (w *World) enrols(ctx context.Context, rest string) error {
	name, _, _ := strings.Cut(rest, " ")
	put := map[string]string{"label": strings.ToUpper(name[:1]) + name[1:], "zone": w.zone}
	for _, m := range assignment.FindAllStringSubmatch(rest, -1) {
		put[m[1]] = strings.Trim(m[2], `"`)
	}
	base, err := Scenario.ReadFile("scenario/two.toml")
	if err != nil {
		return err
	}
	raw := With(base, put)
	pr, err := w.Practice(ctx)
	if err != nil {
		return err
	}
	e, faults := setup.Plan(raw, &pr, w.Runner.Today(pr.Zone))
	if setup.Refused(faults) {
		return fmt.Errorf("the plan of %s is refused: %v", name, faults)
	}
	user := UserPatient + int64(len(w.cast()))
	who := Persona{User: user, Lang: e.Lang}
	w.line("enrol %s %s", name, values(raw))
	w.script.quiet = true
	defer func() { w.script.quiet = false }()
	if err := w.Admit(ctx, &who, e); err != nil {
		return err
	}
	w.People = append(w.People, rehearsal.Chat{ID: user, Who: who.Label, Role: "patient", Patient: who.Label, User: user,
		Zone: e.Zone, Name: name})
	w.focus = user
	return nil
}

func (w *World) cast() (out []rehearsal.Chat) {
	for _, c := range w.People {
		if c.Role == "patient" {
			out = append(out, c)
		}
	}
	return out
}

// crowd is "200 siskin": so many patients, fitted today.
func (w *World) crowd(ctx context.Context, rest string) error {
	number, name, _ := strings.Cut(rest, " ")
	n, err := strconv.Atoi(number)
	for i := 0; err == nil && i < n; i++ {
		err = w.enrols(ctx, fmt.Sprintf("%s-%03d", name, i+1))
	}
	return err
}

func (w *World) says(ctx context.Context, name, text string) error {
	c, ok := w.named(name)
	if !ok {
		return fmt.Errorf("there is nobody called %q", name)
	}
	if err := w.Move(ctx, w.Now().Add(5*time.Second)); err != nil {
		return err
	}
	w.line("%s: %s", name, text)
	_, err := w.Platform().Post(standin.Post{Chat: c.User, From: c.User, Text: text})
	if err != nil {
		return err
	}
	return w.Quiet(ctx)
}

// taps presses the newest inline button of a label, by its key.
func (w *World) taps(ctx context.Context, name, key string) error {
	c, ok := w.named(name)
	if err := w.Move(ctx, w.Now().Add(5*time.Second)); err != nil {
		return err
	}
	for _, m := range slices.Backward(w.Platform().Messages(c.User)) {
		for _, row := range m.Buttons {
			for _, b := range row {
				if !ok || m.Deleted || w.keyOf(b.Label) != key {
					continue
				}
				w.line("%s taps %s", name, key)
				if _, err := w.Platform().Tap(c.User, c.User, m.ID, b.Data); err != nil {
					return err
				}
				return w.Quiet(ctx)
			}
		}
	}
	return fmt.Errorf("%s has no button %q", name, key)
}

// goes is "21:00" or "2026-11-05 21:00", in the zone of who the scene is about.
func (w *World) goes(ctx context.Context, rest string) error {
	zone := w.zone
	if p, err := w.ByChat(w.focus); err == nil && p.Zone != "" {
		zone = p.Zone
	}
	z, err := w.zones.Load(zone)
	if err != nil {
		return err
	}
	day, clock, dated := strings.Cut(rest, " ")
	if !dated {
		clock = day
	}
	c, ok := enrol.ParseClock(clock)
	if !ok {
		return fmt.Errorf("no such time: %q", rest)
	}
	at := z.Next(w.Now(), c)
	if dated {
		d, err := civil.ParseDate(day)
		if err != nil {
			return err
		}
		at = z.Instant(civil.Wall{Date: d, Clock: c})
	}
	return w.Move(ctx, at)
}

// nights lets nights go by, as in a talk.
func (w *World) nights(ctx context.Context, line, number, manner, says string) error {
	n, _ := strconv.Atoi(number)
	w.line("%s", line)
	w.script.quiet = true
	defer func() { w.script.quiet, w.script.noted = false, w.Now().Truncate(time.Minute) }()
	who := Persona{User: w.focus, Snore: func(int) int { return 8 }, still: manner == "still"}
	for range n {
		for _, half := range []string{"evening", "morning"} {
			at, ok := w.Moment(rehearsal.Chat{User: w.focus}, half)
			if !ok {
				return fmt.Errorf("nobody's nights are meant: %q", line)
			}
			if err := w.Move(ctx, at); err != nil {
				return err
			}
			if half == "morning" && says != "-" {
				if err := w.Move(ctx, w.Now().Add(5*time.Second)); err != nil {
					return err
				}
				if err := w.Scene.Say(ctx, w.focus, says); err != nil {
					return err
				}
			}
			if half == "evening" && manner != "silent" || half == "morning" && says != "-" {
				if _, err := w.answers(ctx, who); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// settles is the clinician resolving what is open.
func (w *World) settles(ctx context.Context) error {
	for _, c := range w.cast() {
		if err := w.resolve(ctx, Persona{User: c.User}); err != nil {
			return err
		}
	}
	return nil
}

// startOf reads how a scene begins: "start 2026-11-02 10:00 America/New_York".
func startOf(line string) (at civil.Wall, zone string, err error) {
	f := strings.Fields(line)
	if len(f) != 4 || f[0] != "start" {
		return at, "", fmt.Errorf("a scene begins with start, a date, a time and a zone, not %q", line)
	}
	if at.Date, err = civil.ParseDate(f[1]); err != nil {
		return at, "", err
	}
	var ok bool
	if at.Clock, ok = enrol.ParseClock(f[2]); !ok {
		return at, "", fmt.Errorf("no such time: %q", f[2])
	}
	return at, f[3], nil
}
