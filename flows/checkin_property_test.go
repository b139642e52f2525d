package flows_test

import (
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"

	"pgregory.net/rapid"
)

// utterances are what patients type besides pressing buttons.
var utterances = []string{
	"undo", "skip", "help", "today", "yes", "no", "3", "-1", "7", "0", "11", "sore", "pain 2", "pain 6", "pain 3-4", "all night", "not worn", "worn 3 h",
	"snore 5", "nobody could hear", "gone by noon", "pain still there", "bite not back", "bite ok", "guide 5 min", "setting 2", "it stands at 4", "it stands", "it is still at 0",
	"something is wrong", "left 1 right 1", "mon pain 2", "yesterday snore 4", "2020-01-01 pain 9", "sleepy 9", "driving: nearly nodded off", "what is this", "nose blocked",
	"7h, snore 3, sore 2 gone by 9, guide 5 min, bite ok", "skip pain", "how", "thanks", "Right side 2",
}

// Whatever is said and whenever: every message gets an answer; a night whose
// reminder hour has passed has one advice; once given it never becomes more
// forward; the setting moves only by the patient's own word; it is never
// advised out of bounds.
func TestOneAdviceANight(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		k := start(t, func(p *flows.Patient) {
			p.Appliance.TwoSided = rapid.Bool().Draw(rt, "two sides")
			p.Appliance.LipSeal = rapid.Bool().Draw(rt, "lip seal")
			if rapid.Bool().Draw(rt, "no reporter") {
				p.Baseline.Reporter = chart.Unknown
			}
		})
		var last chart.Advice
		hold := func(what string) {
			c := &k.p.Course
			if a := c.Advice; a.Night == last.Night && last.Action != chart.NoAction {
				out := a.Action == chart.LeaveOut // the setting is kept then, whatever it is
				if a.Number < last.Number || !out && (a.To > last.To || last.Action == chart.LeaveOut) ||
					a.Action == chart.Forward && last.Action != chart.Forward {
					rt.Fatalf("%s %s: %s: %+v became %+v", k.now.Date, k.now.Clock, what, last, a)
				}
			}
			last = c.Advice
			if last.To < 0 || last.Action != chart.LeaveOut && last.To > 10 || last.Breach {
				rt.Fatalf("%s: advice %+v", what, last)
			}
			for _, s := range k.heard {
				if s.Advice != 0 && s.Advice > c.Advices {
					rt.Fatalf("%s: a message carries advice %d of %d", what, s.Advice, c.Advices)
				}
			}
		}
		say := func(text string) {
			k.say(text)
			for _, s := range k.text {
				if strings.Contains(s, "Something went wrong with this message") {
					rt.Fatalf("%q was answered by a text without words: %s", text, s)
				}
			}
			hold(text)
		}
		days := rapid.IntRange(1, 12).Draw(rt, "days")
		for d := range civil.Date(days) {
			for _, at := range [][2]int{{21, 30}, {23, 0}, {24 + 7, 0}, {24 + 8, 20}, {24 + 18, 0}} {
				left, right := k.p.Course.Left, k.p.Course.Right
				k.to(mon2+d+civil.Date(at[0]/24), at[0]%24, at[1])
				if hold("timers"); k.p.Course.Left != left || k.p.Course.Right != right {
					rt.Fatalf("%s %s: the setting moved by itself", k.now.Date, k.now.Clock)
				}
				if k.p.Course.Pausing { // "Pause" and "Stop" stand under the help text: nothing is advised then
					say("go on")
				} else if at == [2]int{23, 0} && (k.p.Course.Advice.Night != mon2+d || k.p.Course.Advice.Action == chart.NoAction) {
					rt.Fatalf("%s has no advice: %+v", mon2+d, k.p.Course.Advice)
				}
				for range rapid.IntRange(0, 4).Draw(rt, "says") {
					if b := buttonsOf(k); len(b) > 0 && rapid.IntRange(0, 3).Draw(rt, "press") > 0 {
						say(rapid.SampledFrom(b).Draw(rt, "button"))
					} else {
						say(rapid.SampledFrom(utterances).Draw(rt, "text"))
					}
				}
			}
		}
	})
}

func buttonsOf(k *walk) []string {
	if len(k.heard) == 0 {
		return nil
	}
	return k.buttons()
}

// Each question is asked when its condition holds, and only then.
func TestConditionsOfQuestions(t *testing.T) {
	two := func(p *flows.Patient) { p.Appliance.TwoSided = true }
	noGuide := func(p *flows.Patient) { p.Appliance.Guide = false }
	seal := func(p *flows.Patient) { p.Appliance.LipSeal = true }
	sorer := func(p *flows.Patient) { p.Baseline.Pain = chart.Num(2) }
	nobody := func(p *flows.Patient) { p.Baseline.Reporter = chart.Num(chart.ReporterNobody) }
	unknown := func(p *flows.Patient) { p.Baseline.Reporter = chart.Unknown }
	nightly := func(p *flows.Patient) { p.Plan.Limits.DrivingNightly = true }
	const (
		hours, why, reporter, snoring = "How long did you wear it?", "Why was it out?", "Who can hear you snore?",
			"How loud was the snoring"
		woken, where, gone         = "Did the pain wake you?", "Where does it hurt?", "Is the pain gone yet?"
		guide, bite                = "Did you use the bite guide", "Do the back teeth touch"
		when, since, nose, driving = "When did the pain go?", "When did the back teeth touch", "through your nose",
			"nod off"
	)
	for _, x := range []struct {
		name    string
		change  func(*flows.Patient)
		morning string // said at the morning prompt
		asks    string
		not     string
		evening bool // asked in the evening after
	}{
		{name: "part of the night: hours", morning: "Worn part of the night", asks: hours},
		{name: "all night: no hours", morning: "Worn all night", asks: snoring, not: hours},
		{name: "not worn: why", morning: "Not worn", asks: why, not: hours},
		{name: "out by morning: hours, no reason", morning: "Reason: it was out by morning", asks: hours, not: why},
		{name: "not remembered: on", morning: "Reason: do not remember", asks: snoring, not: why},
		{name: "not worn: no snoring", morning: "not worn, forgot", asks: "worst pain", not: snoring},
		{name: "reporter not known", change: unknown, morning: "all night", asks: reporter},
		{name: "reporter known", morning: "all night", asks: snoring, not: reporter},
		{name: "nobody hears", change: nobody, morning: "all night", asks: "worst pain", not: snoring},
		{name: "no pain: not gone", morning: "all night, snore 3, pain 0", asks: guide, not: gone},
		{name: "pain: gone", morning: "all night, snore 3, pain 1, pain did not wake me", asks: gone},
		{name: "pain at the baseline", change: sorer, morning: "all night, snore 3, pain 2", asks: guide, not: gone},
		{name: "changed: where", morning: "all night, snore 3, pain 3, pain did not wake me", asks: where},
		{name: "little changed: not where", morning: "all night, snore 3, pain 1, pain did not wake me", asks: gone, not: where},
		{name: "any pain: woken", morning: "all night, snore 3, pain 1", asks: woken},
		{name: "severe: not woken", morning: "all night, snore 3, pain 8", asks: "Saved", not: woken},
		{name: "no pain: not woken", morning: "all night, snore 3, pain 0", asks: guide, not: woken},
		{name: "5: woken, then where", morning: "all night, snore 3, pain 5, pain did not wake me", asks: where},
		{name: "no guide", change: noGuide, morning: "all night, snore 3, pain 0", asks: bite, not: guide},
		{name: "guide", morning: "all night, snore 3, pain 0", asks: guide},
		{name: "pain still there: when", morning: "all night, snore 3, pain 1, pain still there, bite guide used, bite ok", evening: true, asks: when},
		{name: "pain gone: not when", morning: "all night, snore 3, pain 1 gone by 9, bite guide used, bite ok", evening: true, asks: "anything wrong", not: when},
		{name: "bite not known since", morning: "all night, snore 3, pain 0, bite guide used, bite: one side", evening: true, asks: since},
		{name: "bite back", morning: "all night, snore 3, pain 0, bite guide used, bite back after 20 min", evening: true, asks: "anything wrong", not: since},
		{name: "nose with a lip-seal part", change: seal, morning: day + ", no problem tonight", evening: true, asks: nose},
		{name: "no nose without", morning: day, evening: true, asks: "anything wrong", not: nose},
		{name: "driving nightly", change: nightly, morning: day, evening: true, asks: driving},
		{name: "driving after a high score", morning: day + ", sleepy 8", evening: true, asks: driving},
		{name: "two sides", change: two, morning: day, evening: true, asks: "anything wrong"},
	} {
		t.Run(x.name, func(t *testing.T) {
			changes := []func(*flows.Patient){func(*flows.Patient) {}}
			if x.change != nil {
				changes = append(changes, x.change)
			}
			k := start(t, changes...)
			k.quiet(mon2, day)
			k.to(mon2+1, 21, 30)
			k.evening()
			k.to(mon2+2, 7, 0)
			k.say(x.morning)
			if x.evening {
				k.to(mon2+2, 21, 30)
				if x.asks != "anything wrong" && x.asks != when && x.asks != since {
					k.say("No problem tonight")
				}
			}
			k.hears(x.asks)
			if x.not != "" {
				k.hearsNot(x.not)
			}
		})
	}
}
