package desk

import (
	"strings"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// A clinician's card has a line each, and more by a tap; an assistant, the group
// and the patient's own chat have none.
func TestEstimatesAreTheClinicians(t *testing.T) {
	w := newWorld(t)
	p := loaded()
	p.Course.State, p.Course.Path, p.Course.Flags = chart.Stepping, chart.Stepping, nil
	p.Baseline.Reporter = chart.Num(chart.ReporterPartner)
	estimates := func(lines []message.Line) (n int) {
		for _, l := range lines {
			if strings.HasPrefix(l.Key, "estimate.") {
				n++
			}
		}
		return n
	}
	for _, x := range []struct {
		reader practice.Staff
		has    bool
	}{{ondine, true}, {teal, false}, {practice.Staff{}, false}} {
		lines, buttons := Show(w.pr, x.reader, message.Message{View: message.ViewCard}, p, nil)
		if got := estimates(lines) > 0; got != x.has {
			t.Errorf("%s: estimates on the card %v", x.reader.Label, got)
		}
		if got := strings.Contains(opsOf(buttons), opEstimate); got != x.has {
			t.Errorf("%s: a button to estimates %v", x.reader.Label, got)
		}
		lines, _ = Show(w.pr, x.reader, message.Message{View: message.ViewEstimate}, p, nil)
		if got := estimates(lines) > 5; got != x.has {
			t.Errorf("%s: all estimates %v: %v", x.reader.Label, got, lines)
		}
		w.check(message.Message{Lines: lines})
	}
	for _, s := range []chart.State{chart.Invited, chart.Consented, chart.Ended} {
		p.Course.State, p.Course.Path = s, s
		if lines, _ := Show(w.pr, ondine, message.Message{View: message.ViewCard}, p, nil); estimates(lines) > 0 {
			t.Errorf("%s: an estimate of nothing", s)
		}
	}
}

// A card's estimate of twelve settled steps says what is likely, in both languages.
func TestEstimateOnACard(t *testing.T) {
	w := newWorld(t)
	p := loaded()
	c := &p.Course
	p.Baseline = chart.Baseline{Max: 12000, Zero: chart.ZeroHabitual, Start: 3000, Reporter: chart.Num(chart.ReporterPartner)}
	p.Plan.Limits.Ceiling, p.Plan.Limits.Target, p.Appliance.Travel, p.Appliance.Step = 20, 3, 40, 250
	c.State, c.Path, c.Flags, c.InDoubt, c.N = chart.Stepping, chart.Stepping, nil, false, 28
	for i := range c.Nights {
		at := chart.Steps(i / 4)
		e := chart.Entry{Night: civil.DateOf(2026, 3, 2) + civil.Date(i), Low: at, High: at, Action: chart.Stay, Rule: 15}
		e.V[chart.SettingLeft], e.V[chart.Worn] = chart.Num(int(at)), chart.Num(chart.WornAll)
		e.V[chart.Reporter], e.V[chart.Snoring] = chart.Num(chart.ReporterPartner), chart.Num(8-i/8)
		if i%4 == 0 && i > 0 {
			e.Action = chart.Forward
		}
		c.Nights[i], c.Left, c.Low, c.High = e, at, at, at
	}
	c.Began = c.Nights[0].Night
	lines, _ := Show(w.pr, ondine, message.Message{View: message.ViewCard}, p, nil)
	keys := keysOf(lines)
	for _, want := range []string{"estimate.card.response", "estimate.card.dates", "estimate.card.lost"} {
		found := false
		for _, l := range lines {
			found = found || l.Key == want
		}
		if !found {
			t.Errorf("%s is not on the card: %s", want, keys)
		}
	}
	w.check(message.Message{Lines: lines})
}
