package talktest

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"duskdawn/bot/setup"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/locales"
)

// talkPractice is the invented practice of all talks, in the talk's zone.
func talkPractice(t testing.TB, file, zone, lang string) practice.Practice {
	t.Helper()
	raw := File(t, file, map[string]string{"zone": zone, "language": lang, "group-language": lang})
	pr, faults := setup.Practice(raw, []string{lang, "en", "es"})
	if len(faults) > 0 {
		t.Fatalf("%s: %+v", file, faults)
	}
	pr.BotName = "duskdawn_bot"
	return pr
}

// bare is a value that TOML writes without quotes.
var bare = regexp.MustCompile(`^(-?[0-9]+(\.[0-9]+)?|true|false|[0-9]{4}-[0-9]{2}-[0-9]{2}|\[.*\])$`)

// File reads a TOML file and puts other values for some of its top keys.
func File(t testing.TB, name string, put map[string]string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join(TalksDir, name))
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, line := range strings.Split(string(raw), "\n") {
		key, _, _ := strings.Cut(line, "=")
		if _, other := put[strings.TrimSpace(key)]; !other || !strings.Contains(line, "=") {
			out = append(out, line)
		}
	}
	var head []string
	for key, v := range put {
		if v == "" {
			continue // left out
		}
		if !bare.MatchString(v) {
			v = strconv.Quote(v)
		}
		head = append(head, key+" = "+v)
	}
	return []byte(strings.Join(append(head, out...), "\n"))
}

var assignment = regexp.MustCompile(`([a-z-]+)=("[^"]*"|\S*)`)

// enrolment is "heron ceiling=6 reporter=nobody": the talks' plan with other values.
func (k *talk) enrolment(rest string) (string, chart.Enrolment) {
	name, _, _ := strings.Cut(rest, " ")
	now := k.zoneWall()
	put := map[string]string{"label": strings.ToUpper(name[:1]) + name[1:], "language": k.lang, "zone": k.zone,
		"fitted": now.Date.String()}
	file := "plan.toml"
	for _, m := range assignment.FindAllStringSubmatch(rest, -1) {
		v := strings.Trim(m[2], `"`)
		if m[1] == "file" {
			file = v
			continue
		}
		put[m[1]] = v
	}
	if k.lang != locales.KeyLang && put["language"] != k.lang { // a reading copy is in one language
		put["language"] = k.lang
	}
	e, faults := setup.Plan(File(k.t, file, put), &k.pr, now.Date)
	if setup.Refused(faults) {
		for _, f := range faults {
			k.fail("%s: %s", f.Key, k.words.Line("en", f.Say))
		}
		k.fatal("the plan is refused")
	}
	return name, e
}

// enrol makes a patient who has joined, agreed and been confirmed; nothing of
// it is shown.
func (k *talk) enrol(rest string) []string {
	name, _, _ := strings.Cut(rest, " ")
	k.mute = true
	k.signs(rest)
	k.says(name, "", "/start CODE")
	k.says(name, "", "yes") // 18 or older
	k.says(name, "", "yes") // agrees
	k.on.toPatient(k.patients[name], flows.Order{Op: flows.OrderConfirm, Actor: k.actor("assistant"),
		Chat: k.people["assistant"].id})
	k.print()
	k.mute = false
	if p, _ := k.who(name); p.Course.State != chart.Settling {
		k.fatal("%s is %s after enrolment", name, p.Course.State)
	}
	return nil
}

// signs is a clinician's signed enrolment, with the code that follows.
func (k *talk) signs(rest string) []string {
	name, e := k.enrolment(rest)
	clinician := k.people["clinician"]
	k.meet(name)
	seed := k.seed()
	id := flows.NewPatientID(seed)
	e.Plan.Rev, e.Plan.By, e.Plan.ByName, e.Plan.On = 1, k.staff("clinician").ID, k.staff("clinician").Label,
		k.zoneWall().Date
	k.patients[name], k.focus = id, name
	k.on.toPatient(id, flows.Enrol{Enrolment: e, Actor: k.actor("clinician"),
		Code: flows.NewCode(string(id[:2]), k.seed()), Chat: clinician.id})
	return k.print()
}

func (k *talk) actor(name string) flows.Actor {
	s := k.staff(name)
	return flows.Actor{ID: s.ID, Name: s.Label, Role: s.Role, Chat: k.people[name].id}
}

// zoneWall is the practice's wall time.
func (k *talk) zoneWall() civil.Wall {
	z, _ := k.zones.Load(k.zone)
	return z.Wall(k.on.now())
}

// evening goes to the evening hour and gives the usual answers, up to the
// advice; what it asks is left open.
func (k *talk) evening() []string {
	p, _ := k.who("")
	out := k.move("to", p.Plan.Evening.String())
	out = append(out, k.usual(k.people[k.focus], "to the advice")...)
	k.last = out
	return out
}

// morning goes to the morning hour.
func (k *talk) morning() []string {
	p, _ := k.who("")
	return k.move("to", p.Plan.Morning.String())
}

// milestones lets the practice make the calls of the first days, months and
// years where a talk is about something else: nothing of them is shown.
func (k *talk) milestones() {
	if k.miles {
		return
	}
	k.kept = append(k.kept, k.on.heard()...)
	for name := range k.patients {
		p, _ := k.who(name)
		if slices.ContainsFunc(p.Escalations, func(x flows.Escalation) bool { return x.Reason == flows.WhyMile && x.AckBy == "" }) {
			k.on.toPatient(p.ID, flows.Order{Op: flows.OrderSweep, Flag: flows.ListOf(flows.WhyMile), At: k.on.now().Unix(),
				Actor: k.actor("clinician")})
			k.kept = append(k.kept, k.on.heard()...)
		}
	}
	k.kept = slices.DeleteFunc(k.kept, func(m heard) bool {
		return slices.ContainsFunc(mileTexts,
			func(key string) bool { return m.text == k.words.Line(k.lang, message.Say(key, k.numbers()...)) })
	})
}

var mileTexts = strings.Fields("mile.first mile.week mile.month mile.quarter mile.half mile.year")

// numbers are the values that go with many texts.
func (k *talk) numbers() []message.Arg {
	p, _ := k.who("")
	return []message.Arg{message.ArgS("number", k.pr.Emergency), message.ArgS("phone", k.pr.Phone),
		message.ArgS("practice", k.pr.Name), message.ArgS("fallback", p.Plan.Fallback),
		message.ArgK("wear", p.Course.WearKey()), flows.CrisisLine(&k.pr)}
}

// settle lets the clinician resolve escalations; nothing of it is shown.
func (k *talk) settle(which func(flows.Escalation) bool) {
	k.kept = append(k.kept, k.on.heard()...)
	for name := range k.patients {
		p, _ := k.who(name)
		for _, x := range p.Escalations {
			if which(x) {
				k.on.toPatient(p.ID, flows.Order{Op: flows.OrderResolve, Esc: x.N, Text: "seen", Actor: k.actor("clinician"),
					Chat: k.people["clinician"].id})
				k.on.heard()
			}
		}
	}
}

var nightsLine = regexp.MustCompile(`^(\d+)( shown)?( still| silent)?: (.*)$`)

// nights lets several nights go by: each evening every question gets its usual
// answer and the setting is confirmed as advised ("still": as not moved;
// "silent": the evening is not answered); each morning the line is typed. A
// night is folded to one line, but what others hear is shown.
func (k *talk) nights(rest string) (out []string) {
	m := nightsLine.FindStringSubmatch(rest)
	if m == nil {
		k.fatal(`want "nights 3: all night, snore 8, ..."`)
	}
	n, _ := strconv.Atoi(m[1])
	folded, manner := m[2] == "", strings.TrimSpace(m[3])
	me := k.people[k.focus]
	if folded {
		k.fold = me.id
		defer func() { k.fold = 0 }()
	}
	for range n {
		p, _ := k.who("")
		out = append(out, k.move("to", p.Plan.Evening.String())...)
		if manner != "silent" {
			out = append(out, k.usual(me, manner)...)
		}
		out = append(out, k.move("to", p.Plan.Morning.String())...)
		if m[4] != "-" {
			out = append(out, k.says(me.name, "", m[4])...)
			out = append(out, k.usual(me, "")...)
		}
		p, _ = k.who("")
		a := p.Course.Advice
		out = append(out, fmt.Sprintf("> night %s: %s %d by %s (%s), stands at %s, %s", a.Night, a.Action, a.To, a.Rule.ID(),
			rulesOf(a.Fired), standing(&p), p.Course.State))
	}
	k.last = out
	return out
}

func standing(p *flows.Patient) string {
	if p.Appliance.TwoSided {
		return fmt.Sprintf("%d and %d", p.Course.Left, p.Course.Right)
	}
	return strconv.Itoa(int(p.Course.Left))
}

// usualAnswers are what somebody answers on a quiet day, where that is not the
// least answer there is.
var usualAnswers = map[chart.Field]int{
	chart.Worn: chart.WornAll, chart.Snoring: 8, chart.Where: chart.SiteMuscle, chart.Gone: chart.GoneMidday,
	chart.Guide: chart.Yes, chart.GuideMinutes: 5, chart.BiteMinutes: 30, chart.Nose: chart.Yes, chart.Sleepiness: 3,
}

// usualText is the usual answer to an open question; empty where there is none.
func (k *talk) usualText(open chart.Field) string {
	n, ok := usualAnswers[open]
	switch {
	case open == chart.NoField, !ok && open.Row().Kind.Timed():
		return ""
	case !ok:
		n = open.Row().Least
	}
	return k.words.Label("en", message.Choice{Field: open, Value: chart.Num(n)})
}

// usual answers what is open, question after question, until nothing is.
func (k *talk) usual(me person, manner string) (out []string) {
	for range 16 {
		p, _ := k.who(me.name)
		open := p.Talk.Open
		text := k.usualText(open)
		if a := p.Course.Advice; manner == "to the advice" && a.Action != chart.NoAction && a.Night == p.Talk.Night &&
			open == chart.SettingLeft {
			return out
		}
		if open.Row().Kind == chart.Setting {
			text = fmt.Sprintf("It stands at %d", p.Course.Advice.To)
			switch {
			case p.Course.Advice.Night != p.Talk.Night && p.Talk.CheckIn == flows.EveningCheck: // the weekly count, read off
				left, right := int(p.Course.Left), int(p.Course.Right)
				if e, _ := p.Course.Entry(p.Talk.Night - 1); p.Course.InDoubt && e.At(chart.SettingLeft).Known() {
					left = e.At(chart.SettingLeft).N() // as it was said
				}
				text = map[chart.Field]string{chart.SettingLeft: fmt.Sprintf("Setting %d", left),
					chart.SettingRight: fmt.Sprintf("Right side %d", right)}[open]
			case manner == "still":
				text = fmt.Sprintf("It is still at %d", p.Course.Left)
			}
		}
		if open == chart.NoField || text == "" || p.Talk.Ask != flows.NoAsk {
			return out
		}
		out = append(out, k.says(me.name, "", text)...)
	}
	k.fatal("the questions have no end")
	return nil
}
