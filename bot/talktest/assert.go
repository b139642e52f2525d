package talktest

import (
	"strconv"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/pacing"
	"duskdawn/flows/redflag"
	"duskdawn/locales"
)

// check is an assertion: what the design promises, beside what is printed. A
// line may begin with the patient's name.
func (k *talk) check(word, rest string) bool {
	name := ""
	if _, ok := k.patients[word]; ok {
		name = word
		word, rest, _ = strings.Cut(rest, " ")
	}
	switch word {
	case "heard", "unheard": // of a key among what the last step printed
		if k.lang != locales.KeyLang {
			return true
		}
		if strings.Contains(strings.Join(k.last, "\n"), rest) != (word == "heard") {
			k.fail("%s %s, but this was printed:\n%s", word, rest, strings.Join(k.last, "\n"))
		}
		return true
	case "silence": // the last step printed nothing
		if len(k.last) != 0 {
			k.fail("not silent:\n%s", strings.Join(k.last, "\n"))
		}
		return true
	}
	p, ok := k.who(name)
	if !ok {
		return false
	}
	c, a := &p.Course, &p.Course.Advice
	f := strings.Fields(rest)
	number := func(i int) int {
		if i >= len(f) {
			k.fatal("a number is missing")
		}
		n, err := strconv.Atoi(f[i])
		if err != nil {
			k.fatal("no number: %q", f[i])
		}
		return n
	}
	same := func(got, want any) {
		k.t.Helper()
		if got != want {
			k.fail("%s is %v, want %v (advice %s to %d by %s, fired %s)", word, got, want, a.Action, a.To, a.Rule.ID(),
				rulesOf(a.Fired))
		}
	}
	switch word {
	case "rule":
		same(a.Rule.ID(), rest)
	case "fired":
		for _, id := range f {
			if rule, ok := pacing.RuleNamed(id); !ok || !a.Fired.Has(rule.Rule) {
				k.fail("%s has not fired, only %s", id, rulesOf(a.Fired))
			}
		}
	case "unfired":
		for _, id := range f {
			if rule, ok := pacing.RuleNamed(id); !ok || a.Fired.Has(rule.Rule) {
				k.fail("%s has fired: %s", id, rulesOf(a.Fired))
			}
		}
	case "advice": // "advice forward 5"
		same(a.Action.String(), f[0])
		if len(f) > 1 {
			same(int(a.To), number(1))
		}
		if len(f) > 2 { // its number among all
			same(int(a.Number), number(2))
		}
	case "setting": // where it stands; "setting 3 4" of two sides
		same(int(c.Left), number(0))
		if len(f) > 1 {
			same(int(c.Right), number(1))
		}
	case "between": // the lowest and highest it may stand at
		same(int(c.Low), number(0))
		same(int(c.High), number(1))
	case "doubt":
		same(c.InDoubt, rest != "no")
	case "state":
		same(c.State.String(), rest)
	case "open": // escalations
		same(len(p.Escalations), number(0))
	case "escalation": // "escalation stop N"
		k.escalation(p, f)
	case "flag": // "flag pain.severe S out"
		k.flag(c, f)
	case "flags": // how many are open
		same(len(c.Flags), number(0))
	case "ready":
		same(a.Ready, rest != "no")
	case "plan":
		same(int(p.Plan.Rev), number(0))
	case "zone":
		same(p.Zone, rest)
	case "breach":
		same(a.Breach, rest != "no")
	default:
		return false
	}
	return true
}

func (k *talk) escalation(p flows.Patient, f []string) {
	for _, x := range p.Escalations {
		if x.Reason == f[0] && (len(f) < 2 || string(rune(x.Class)) == f[1]) {
			return
		}
	}
	var open []string
	for _, x := range p.Escalations {
		open = append(open, x.Reason+" "+string(rune(x.Class)))
	}
	k.fail("no escalation %s among: %s", strings.Join(f, " "), strings.Join(open, ", "))
}

func (k *talk) flag(c *pacing.Course, f []string) {
	wear := map[string]redflag.Wear{"keep": redflag.WearKeep, "back": redflag.WearBack, "tonight": redflag.WearTonight,
		"out": redflag.WearOut}
	for _, x := range c.Flags {
		if x.ID != f[0] {
			continue
		}
		if len(f) > 1 && string(rune(x.Class)) != f[1] {
			k.fail("flag %s is of class %c", x.ID, x.Class)
		}
		if w, ok := wear[f[len(f)-1]]; ok && w != x.Wear {
			k.fail("flag %s has wear %d", x.ID, x.Wear)
		}
		return
	}
	var open []string
	for _, x := range c.Flags {
		open = append(open, x.ID+" "+string(rune(x.Class)))
	}
	k.fail("no flag %s among: %s", strings.Join(f, " "), strings.Join(open, ", "))
}

// rulesOf lists the rules that spoke.
func rulesOf(s chart.Rules) string {
	var out []string
	for r := range s.All() {
		out = append(out, r.ID())
	}
	return strings.Join(out, " ")
}
