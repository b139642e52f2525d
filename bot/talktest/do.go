package talktest

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
	"duskdawn/flows/practice"
	"duskdawn/locales"
)

var saying = regexp.MustCompile(`^([a-z][a-z0-9 -]*?)( in group| edits| forwards)?: (.*)$`)

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

// start opens the practice: "2026-11-02 10:00 America/New_York", and its file where
// that is another one.
func (k *talk) start(rest string) []string {
	f := strings.Fields(rest)
	if len(f) == 3 {
		f = append(f, "practice.toml")
	}
	if len(f) != 4 {
		k.fatal("start wants a date, a time and a zone")
	}
	k.zone = f[2]
	at := k.instant(k.zone, f[0]+" "+f[1])
	k.pr = talkPractice(k.t, f[3], k.zone, k.lang)
	k.on.open(at, k.pr)
	k.joins("clinician", "Ondine", practice.Clinician)
	k.joins("assistant", "Teal", practice.Assistant)
	return nil
}

// joins brings a person of the practice in, whose PIN is 402917; nothing of it is shown.
func (k *talk) joins(name, label string, role practice.Role) {
	k.mute = true
	p := k.meet(name)
	k.joined++
	id := fmt.Sprintf("s%08d", k.joined)
	code := flows.NewCode(flows.StaffHead, k.seed())
	k.on.owner(flows.StaffChange{Op: flows.StaffAdd, Staff: practice.Staff{ID: id, Label: label, Role: role, Lang: k.lang},
		Code: practice.Code{Hash: k.on.staffHash(code), Staff: id, Ends: k.on.now().Add(15 * time.Minute).Unix()}})
	k.typed(p, p.id, "/start "+code, false)
	if role == practice.Clinician {
		k.on.owner(flows.Manage{Op: flows.ManagePIN, Actor: flows.Actor{ID: id, Name: label}, Secret: talkPIN})
	}
	k.print()
	k.mute = false
}

// talkPIN is what 402917 is kept as, with little memory, so that talks are quick.
const talkPIN = "argon2id$8$1$1$dGFsa3RhbGs$r6rSgB61F5MQTHZYPfjKZcSb0FsNclSQdvwsANR6k1k"

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
	if how == " forwards" {
		k.on.set(k.on.now().Add(5 * time.Second))
		k.on.forward(chat, text)
		return k.print()
	}
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
	case word == "digest": // "digest 5 8 * * 1-5": when it goes out
		k.pr.Digest = rest
		k.on.owner(flows.Settings{Practice: k.pr, Actor: flows.Actor{ID: practice.OwnerID, Role: practice.Owner}})
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
		k.on.owner(flows.StaffChange{Op: flows.StaffGroup, Code: practice.Code{Hash: k.on.staffHash(code),
			Ends: k.on.now().Add(15 * time.Minute).Unix()}})
		k.code = code
		return k.print(), true
	case word == "remove":
		k.on.owner(flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: k.staff(rest).ID}})
		return k.print(), true
	case word == "join": // "join rowan": another clinician
		k.joins(rest, strings.ToUpper(rest[:1])+rest[1:], practice.Clinician)
		return nil, true
	case word == "pin" && rest == "forgotten": // the owner resets it
		k.on.owner(flows.StaffChange{Op: flows.StaffPIN, Staff: practice.Staff{ID: k.staff("clinician").ID}})
		return k.print(), true
	}
	switch verb {
	case "replies": // "heron replies 2 back saying 5": to the last but one message to heron
		n, text, _ := strings.Cut(what, " back saying ")
		p := k.meet(word)
		k.on.set(k.on.now().Add(5 * time.Second))
		k.on.reply(p.id, k.back(p.id, n), text)
		return k.print(), true
	case "sends": // "heron sends voice", "heron sends photo saying my lip"
		k.on.set(k.on.now().Add(5 * time.Second))
		kind, caption, _ := strings.Cut(what, " saying ")
		k.on.send(k.meet(word).id, kind, caption)
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

// back is the message that a chat got last, or so many before it.
func (k *talk) back(chat int64, count string) int64 {
	left, err := strconv.Atoi(count)
	for i := len(k.seen) - 1; i >= 0 && err == nil; i-- {
		if k.seen[i].chat == chat {
			if left--; left == 0 {
				return k.seen[i].id
			}
		}
	}
	k.fatal("no message %q back", count)
	return 0
}

// staff is the person of the practice behind a name of the script.
func (k *talk) staff(name string) practice.Staff {
	i := map[string]int{"clinician": 1, "assistant": 2}[name]
	return practice.Staff{ID: fmt.Sprintf("s%08d", i), Label: []string{"", "Ondine", "Teal"}[i],
		Role: []practice.Role{0, practice.Clinician, practice.Assistant}[i]}
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
		c, ok := enrol.ParseClock(rest)
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
	d, err := civil.ParseDate(day)
	c, ok := enrol.ParseClock(clock)
	if err != nil || !ok {
		k.fatal("no such date and time: %q", wall)
	}
	return z.Instant(civil.Wall{Date: d, Clock: c})
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
	return k.on.Patient(id), true
}
