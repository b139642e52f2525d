package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/locales"
	"duskdawn/scheduler"
)

// Talks are conversations in testdata/talks. A line of a script says what a
// person does, moves the clock, or asserts something that the design promises;
// the lines that begin with ">" are what everybody can see then. README.txt
// beside them lists the words of a script.
//
// Every talk is played twice: through the pure core with a small scheduler of
// its own (talkpure_test.go), and through the whole program against the strict
// stand-in (talkwhole_test.go). Both must print the same lines.

var rewrite = flag.Bool("rewrite", false, "write what the talks print into their files, instead of comparing")

const talksDir = "../testdata/talks"

// world is where a talk is played.
type world interface {
	open(at time.Time, pr flows.Practice)
	now() time.Time
	next() time.Time // when something waits to happen; zero for never
	set(time.Time)   // moves the clock there, and lets happen what is due
	owner(flows.Body)
	toPatient(flows.PatientID, flows.Body)
	staffHash(code string) string
	meet(person)
	group(members []person) int64
	say(chat, user int64, text string, edited bool)
	send(chat int64, kind string)
	tap(chat, user int64, m heard, b pressed)
	phones(chat int64, on bool) // whether messages reach a chat; 0 for all
	block(chat int64, on bool)
	heard() []heard // since it was last asked, in the order sent
	patient(flows.PatientID) flows.Patient
}

// heard is a message as a person sees it.
type heard struct {
	chat    int64
	id      int64
	text    string
	keys    [][]string // quick answers
	buttons [][]pressed
	media   string
}

// pressed is an inline button: its label, and what the stage needs to press it.
type pressed struct {
	label  string
	data   string
	button flows.Button
}

// person is somebody with a chat.
type person struct {
	name string
	id   int64
	lang string
}

// step is one line of a script with what was expected after it.
type step struct {
	line int
	text string
	want []string
}

// script is a talk's file.
type script struct {
	name  string
	path  string
	also  []string // languages in which a reading copy is kept
	steps []step
}

func loadTalks(t testing.TB) []script {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(talksDir, "*.txt"))
	if err != nil {
		t.Fatal(err)
	}
	var out []script
	for _, path := range paths {
		if filepath.Base(path) != "README.txt" {
			out = append(out, loadTalk(t, path))
		}
	}
	if len(out) == 0 {
		t.Fatal("there are no talks in " + talksDir)
	}
	return out
}

func loadTalk(t testing.TB, path string) script {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	s := script{name: strings.TrimSuffix(filepath.Base(path), ".txt"), path: path}
	for i, line := range strings.Split(strings.TrimRight(string(raw), "\n"), "\n") {
		switch {
		case strings.HasPrefix(line, ">"):
			if len(s.steps) == 0 {
				t.Fatalf("%s:%d: a talk cannot begin with an answer", path, i+1)
			}
			last := &s.steps[len(s.steps)-1]
			last.want = append(last.want, line)
		default:
			s.steps = append(s.steps, step{line: i + 1, text: line})
			if langs, ok := strings.CutPrefix(line, "also "); ok {
				s.also = strings.Fields(langs)
			}
		}
	}
	return s
}

// play plays a talk on a stage in a language and compares, or rewrites.
func (s script) play(t *testing.T, on world, lang string, write bool) []string {
	t.Helper()
	k := newTalk(t, s, on, lang)
	var out []string
	bad := 0
	for _, st := range s.steps {
		k.at = st
		got := k.do(st.text)
		out = append(append(out, st.text), got...)
		if lang != locales.KeyLang || write {
			continue
		}
		if !slices.Equal(got, st.want) && bad < 5 {
			bad++
			t.Errorf("%s:%d: after %q\n%s", s.path, st.line, st.text, difference(st.want, got))
		}
	}
	if write {
		if err := os.WriteFile(s.path, []byte(strings.Join(out, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// difference shows the lines that are only in one of two lists.
func difference(want, got []string) string {
	var b strings.Builder
	for _, l := range want {
		if !slices.Contains(got, l) {
			b.WriteString("  missing " + l + "\n")
		}
	}
	for _, l := range got {
		if !slices.Contains(want, l) {
			b.WriteString("  printed " + l + "\n")
		}
	}
	if b.Len() == 0 {
		return "  the same lines in another order"
	}
	return b.String()
}

// talk is a script being played.
type talk struct {
	t     *testing.T
	s     script
	on    world
	at    step
	lang  string
	words *locales.Words
	zones *scheduler.Zones

	pr       flows.Practice
	zone     string
	people   map[string]person
	order    []int64 // chats in the order people came
	patients map[string]flows.PatientID
	focus    string // the patient that a line without a name is about
	seen     []heard
	kept     []heard  // heard, and still to be printed
	last     []string // what the last step printed
	code     string   // the newest code that anybody saw
	mute     bool
	fold     int64 // a chat whose messages are not shown
	seeds    byte
	miles    bool // milestones are shown; else the practice does its calls unseen
}

func newTalk(t *testing.T, s script, on world, lang string) *talk {
	words, err := locales.Load()
	if err != nil {
		t.Fatal(err)
	}
	return &talk{t: t, s: s, on: on, lang: lang, words: words, zones: scheduler.NewZones(),
		people: map[string]person{}, patients: map[string]flows.PatientID{}}
}

func (k *talk) fatal(format string, args ...any) {
	k.t.Helper()
	k.t.Fatalf("%s:%d: %s", k.s.path, k.at.line, fmt.Sprintf(format, args...))
}

func (k *talk) fail(format string, args ...any) {
	k.t.Helper()
	k.t.Errorf("%s:%d: %s", k.s.path, k.at.line, fmt.Sprintf(format, args...))
}

var saying = regexp.MustCompile(`^([a-z][a-z0-9 -]*?)( in group| edits)?: (.*)$`)

// do carries out one line and gives what was seen.
func (k *talk) do(line string) []string {
	k.t.Helper()
	line = strings.TrimSpace(line)
	word, rest, _ := strings.Cut(line, " ")
	switch {
	case line == "", line[0] == '#', word == "also":
		return nil
	case word == "start":
		return k.start(rest)
	case word == "enrol":
		return k.enrol(rest)
	case word == "signs":
		return k.signs(rest)
	case line == "evening":
		return k.evening()
	case line == "morning":
		return k.morning()
	case word == "nights":
		return k.nights(rest)
	case word == "to", word == "by":
		return k.move(word, rest)
	}
	if m := saying.FindStringSubmatch(line); m != nil {
		return k.says(m[1], m[2], m[3])
	}
	if out, ok := k.act(word, rest); ok {
		return out
	}
	if !k.check(word, rest) {
		k.fatal("no such line: %q", line)
	}
	return nil
}

// start opens the practice: "2026-11-02 10:00 America/New_York".
func (k *talk) start(rest string) []string {
	f := strings.Fields(rest)
	if len(f) != 3 {
		k.fatal("start wants a date, a time and a zone")
	}
	k.zone = f[2]
	at := k.instant(k.zone, f[0]+" "+f[1])
	k.pr = talkPractice(k.t, k.zone, k.lang)
	k.on.open(at, k.pr)
	k.mute = true
	for i, name := range []string{"clinician", "assistant"} {
		p := k.meet(name)
		role := []flows.Role{flows.Clinician, flows.Assistant}[i]
		id := fmt.Sprintf("s%08d", i+1)
		code := flows.NewCode(flows.StaffHead, k.seed())
		k.on.owner(flows.StaffChange{Op: flows.StaffAdd, Staff: flows.Staff{ID: id, Label: []string{"Ondine", "Teal"}[i], Role: role, Lang: k.lang},
			Code: flows.Code{Hash: k.on.staffHash(code), Staff: id, Ends: at.Add(15 * time.Minute).Unix()}})
		k.typed(p, p.id, "/start "+code, false)
		k.print()
	}
	k.mute = false
	return nil
}

// meet makes a person known to the stage; a patient, a stranger, or staff.
func (k *talk) meet(name string) person {
	if p, ok := k.people[name]; ok {
		return p
	}
	p := person{name: name, id: int64(101 + len(k.people)), lang: k.lang}
	k.people[name] = p
	k.order = append(k.order, p.id)
	k.on.meet(p)
	return p
}

func (k *talk) seed() (s [16]byte) {
	k.seeds++
	for i := range s {
		s[i] = k.seeds*37 + byte(i)*101
	}
	return s
}

// says is a text: "heron: Pain 3", "heron edits: Pain 4", "assistant in group: queue".
func (k *talk) says(name, how, text string) []string {
	p := k.meet(name)
	chat := p.id
	if how == " in group" {
		chat = k.people["group"].id
	}
	if _, ok := k.patients[name]; ok {
		k.focus = name
	}
	text = strings.ReplaceAll(strings.ReplaceAll(text, `\n`, "\n"), "CODE", k.code)
	k.typed(p, chat, text, how == " edits")
	return k.print()
}

// typed lets a person type: it takes five seconds.
func (k *talk) typed(p person, chat int64, text string, edited bool) {
	k.on.set(k.on.now().Add(5 * time.Second))
	k.on.say(chat, p.id, text, edited)
}

// act is a line that is neither a text nor a move of the clock.
func (k *talk) act(word, rest string) ([]string, bool) {
	verb, what, _ := strings.Cut(rest, " ")
	switch {
	case word == "milestones": // "milestones shown"
		k.miles = rest == "shown"
		return nil, true
	case word == "practice" && rest == "settles": // the clinician resolves what is open, unseen
		k.settle(func(flows.Escalation) bool { return true })
		return nil, true
	case word == "phones": // "phones off", "phones on": nothing reaches anybody's chat
		k.on.phones(0, rest == "on")
		return k.print(), true
	case word == "group" && verb == "of": // "group of clinician assistant"
		var members []person
		for _, name := range strings.Fields(what) {
			members = append(members, k.meet(name))
		}
		g := person{name: "group", id: k.on.group(members), lang: k.lang}
		k.people["group"] = g
		k.order = append(k.order, g.id)
		return k.print(), true
	case word == "code" && verb == "group":
		code := flows.NewCode(flows.GroupHead, k.seed())
		k.on.owner(flows.StaffChange{Op: flows.StaffGroup, Code: flows.Code{Hash: k.on.staffHash(code), Ends: k.on.now().Add(15 * time.Minute).Unix()}})
		k.code = code
		return k.print(), true
	case word == "remove":
		k.on.owner(flows.StaffChange{Op: flows.StaffRemove, Staff: flows.Staff{ID: k.staff(rest).ID}})
		return k.print(), true
	}
	switch verb {
	case "sends": // "heron sends voice"
		k.on.set(k.on.now().Add(5 * time.Second))
		k.on.send(k.meet(word).id, what)
		return k.print(), true
	case "taps": // "clinician taps ack", or with another's message: "clinician taps ack of assistant"
		k.taps(word, what)
		return k.print(), true
	case "blocks", "unblocks": // the bot
		k.on.block(k.meet(word).id, verb == "blocks")
		return k.print(), true
	}
	return nil, false
}

// staff is the person of the practice behind a name of the script.
func (k *talk) staff(name string) flows.Staff {
	i := map[string]int{"clinician": 1, "assistant": 2}[name]
	return flows.Staff{ID: fmt.Sprintf("s%08d", i), Label: []string{"", "Ondine", "Teal"}[i], Role: []flows.Role{0, flows.Clinician, flows.Assistant}[i]}
}

// taps presses the newest button whose label, as keys, holds the words.
func (k *talk) taps(name, what string) {
	p := k.meet(name)
	chat := p.id
	if rest, ok := strings.CutSuffix(what, " in group"); ok {
		chat, what = k.people["group"].id, rest
	}
	k.on.set(k.on.now().Add(5 * time.Second))
	for _, whole := range []bool{true, false} { // the label's own key, else words in it
		for i := len(k.seen) - 1; i >= 0; i-- {
			for _, row := range k.seen[i].buttons {
				for _, b := range row {
					label := b.label
					if k.lang != locales.KeyLang {
						label = k.words.Line(locales.KeyLang, b.button.Label)
					}
					key, _, _ := strings.Cut(label, " ")
					if k.seen[i].chat == chat && (key == what || !whole && strings.Contains(label, what)) {
						k.on.tap(chat, p.id, k.seen[i], b)
						return
					}
				}
			}
		}
	}
	k.fatal("%s has no button with %q", name, what)
}

// move is "to 21:00", "to 2026-11-05 21:00", "to next", "by 90m", "by 3h", "by 2d".
func (k *talk) move(word, rest string) []string {
	zone := k.zone
	if p, ok := k.who(""); ok && p.Zone != "" {
		zone = p.Zone
	}
	now := k.on.now()
	var at time.Time
	switch {
	case word == "by":
		unit, n := rest[len(rest)-1], rest[:len(rest)-1]
		count, err := strconv.Atoi(n)
		length, ok := map[byte]time.Duration{'m': time.Minute, 'h': time.Hour, 'd': 24 * time.Hour}[unit]
		if err != nil || !ok {
			k.fatal("no such length of time: %q", rest)
		}
		at = now.Add(time.Duration(count) * length)
	case rest == "next":
		at = k.on.next()
		if at.IsZero() {
			k.fatal("nothing waits to happen")
		}
	case strings.Contains(rest, " "):
		at = k.instant(zone, rest)
	default:
		z, _ := k.zones.Load(zone)
		w := z.Wall(now)
		c, ok := flows.ParseClock(rest)
		if !ok {
			k.fatal("no such time: %q", rest)
		}
		if c <= w.Clock {
			w.Date++
		}
		w.Clock = c
		at = z.Instant(w)
	}
	out := k.until(at, zone)
	k.last = out
	return out
}

// until lets the clock run to an instant, from one waiting thing to the next.
func (k *talk) until(at time.Time, zone string) (out []string) {
	z, _ := k.zones.Load(zone)
	for {
		next := k.on.next()
		if next.IsZero() || next.After(at) {
			next = at
		}
		k.on.set(next)
		k.milestones()
		lines := k.print()
		if len(lines) > 0 && !k.mute {
			w := z.Wall(k.on.now())
			out = append(append(out, fmt.Sprintf("> %s %s %s", w.Date.Time().Format("Mon"), w.Date, w.Clock)), lines...)
		}
		if !next.Before(at) {
			return out
		}
	}
}

func (k *talk) instant(zone, wall string) time.Time {
	z, err := k.zones.Load(zone)
	if err != nil {
		k.fatal("no such zone: %q", zone)
	}
	day, clock, _ := strings.Cut(wall, " ")
	d, err := flows.ParseDate(day)
	c, ok := flows.ParseClock(clock)
	if err != nil || !ok {
		k.fatal("no such date and time: %q", wall)
	}
	return z.Instant(flows.Wall{Date: d, Clock: c})
}

// who finds the patient a line is about.
func (k *talk) who(name string) (flows.Patient, bool) {
	if name == "" {
		name = k.focus
	}
	id, ok := k.patients[name]
	if !ok {
		return flows.Patient{}, false
	}
	return k.on.patient(id), true
}
