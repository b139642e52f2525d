package flows_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
)

// echoed is the answer that a line says was saved.
func echoed(l message.Line) (f chart.Field, v chart.Answer, ok bool) {
	key, n, numbered := l.Key, 0, false
	for _, a := range l.Args {
		switch {
		case l.Key == "saved.one" && a.Name == "answer":
			key = a.S
		case strings.HasPrefix(l.Key, "saved.") && a.Name == "what":
			key = "label." + strings.TrimPrefix(a.S, "field.")
		}
		if a.Name == "n" || a.Name == "time" {
			n, numbered = int(a.N), true
		}
	}
	name, is := strings.CutPrefix(key, "label.")
	if !is {
		return 0, 0, false
	}
	if i := strings.LastIndexByte(name, '.'); i >= 0 {
		if c, err := strconv.Atoi(name[i+1:]); err == nil {
			name, n, numbered = name[:i], c, true
		}
	}
	switch f, ok = chart.Named(name); {
	case !ok:
		return 0, 0, false
	case l.Key == "saved.skipped":
		return f, chart.Skipped, true
	}
	return f, chart.Num(n), numbered
}

// echoes are the lines of a message that say what was saved: those that begin
// so, and the answers under a head.
func echoes(lines []message.Line) (out []message.Line) {
	head := false
	for _, l := range lines {
		switch {
		case l.Key == "saved.head" || l.Key == "saved.on":
			head = true
		case strings.HasPrefix(l.Key, "saved.") || head && strings.HasPrefix(l.Key, "label."):
			out = append(out, l)
		default:
			head = false
		}
	}
	return out
}

// kept reports whether some night remembered has the answer.
func (k *walk) kept(f chart.Field, v chart.Answer) bool {
	c := &k.p.Course
	for i := range int(c.N) {
		if c.Nights[i].V[f] == v {
			return true
		}
	}
	return false
}

// What is said on the day of fitting, before the first night is over, is kept,
// and a threshold counts: it raises its flag and stands before people.
func TestTheDayOfFitting(t *testing.T) {
	for name, x := range map[string]struct {
		says, flag string
		f          chart.Field
		v          chart.Answer
	}{
		"pain":  {"pain 9", "pain.severe", chart.Pain, chart.Num(9)},
		"woken": {"pain woke me", "pain.woken", chart.Woken, chart.Num(chart.Yes)},
		"bite":  {"bite not back by noon", "bite.notback", chart.BiteMinutes, chart.Num(chart.BiteNot)},
	} {
		for when, hour := range map[string]int{"before the evening": 16, "after the evening": 23} {
			k := start(t)
			if hour == 23 {
				k.to(mon2, 21, 30)
				k.evening()
			}
			k.to(mon2, hour, 0)
			k.staff, k.notes = nil, nil
			k.say(x.says)
			if !k.kept(x.f, x.v) {
				t.Errorf("%s %s: %q is kept nowhere: %v", name, when, x.says, k.text)
			}
			if len(k.notes) == 0 || k.notes[0].Entry.V[x.f] != x.v {
				t.Errorf("%s %s: no row of the diary: %+v", name, when, k.notes)
			}
			raised := false
			for _, f := range k.p.Course.Flags {
				raised = raised || f.ID == x.flag
			}
			if !raised || len(k.p.Escalations) == 0 {
				t.Errorf("%s %s: flags %v, escalations %v, want %s", name, when, k.p.Course.Flags, k.p.Escalations, x.flag)
			}
			if hour == 16 && x.f != chart.BiteMinutes {
				k.to(mon2, 21, 30)
				k.to(mon2+1, 1, 0)
				if a := k.p.Course.Advice; a.Action != chart.LeaveOut {
					t.Errorf("%s: the first evening's advice is %v by %s", name, a.Action, a.Rule.ID())
				}
			}
		}
	}
}

// An answer of a night that is kept no longer raises its flag and is not said to be saved.
func TestNeverSaidToBeSaved(t *testing.T) {
	k := start(t)
	for d := mon2; d < mon2+3; d++ {
		k.quiet(d, day)
	}
	k.to(mon2+3, 12, 0)
	k.say("pain 9 on 1 Mar") // before the course began
	for _, s := range k.heard {
		for _, l := range echoes(s.Msg.Lines) {
			if f, v, ok := echoed(l); ok && !k.kept(f, v) {
				t.Errorf("said to be saved, and kept nowhere: %v", k.text)
			}
		}
	}
}

// What is said of a night that the diary cannot take counts all the same: on the first day, whose last night had no
// appliance in it, as of that day, and later by a person's eyes.
func TestAThresholdCountsWhateverTheNight(t *testing.T) {
	for _, text := range []string{"pain 9 last night", "pain 9 yesterday", "pain woke me last night"} {
		k := start(t)
		k.to(mon2, 16, 0)
		k.say(text)
		if es := k.p.Escalations; len(es) == 0 || !strings.HasPrefix(es[0].Reason, "pain.") {
			t.Errorf("%s: %+v: %v", text, es, k.text)
		}
	}
	k := start(t)
	k.to(mon2+20, 16, 0)
	k.say("pain 9 on 3 March")
	if !slices.ContainsFunc(k.p.Escalations, func(x flows.Escalation) bool { return strings.Contains(x.Quote, "pain 9") }) {
		t.Errorf("long ago: %+v: %v", k.p.Escalations, k.text[len(k.text)-1])
	}
}
