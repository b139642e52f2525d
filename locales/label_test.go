package locales

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// choices lists every quick answer there can be: all fields with all their
// values, and all words.
func choices() []message.Choice {
	var out []message.Choice
	field := func(f chart.Field, from, to int) {
		for n := from; n <= to; n++ {
			out = append(out, message.Choice{Field: f, Value: chart.Num(n)})
		}
	}
	field(chart.Worn, chart.WornNo, chart.WornAll)
	field(chart.WornMinutes, 0, 1440)
	field(chart.NotWorn, chart.ReasonForgot, chart.ReasonNotKnown)
	field(chart.Snoring, 0, 10)
	field(chart.Reporter, chart.ReporterPartner, chart.ReporterNobody)
	field(chart.Pain, 0, 10)
	field(chart.Woken, chart.No, chart.Yes)
	field(chart.Where, chart.SiteJoint, chart.SiteOther)
	field(chart.Gone, chart.GoneMorning, chart.GoneNo)
	field(chart.Guide, chart.No, chart.Yes)
	field(chart.GuideMinutes, 0, 120)
	field(chart.Bite, chart.BiteBoth, chart.BiteUnsure)
	field(chart.BiteMinutes, 0, 1440)
	field(chart.Nose, chart.No, chart.Yes)
	field(chart.Sleepiness, 0, 10)
	field(chart.Driving, chart.DrivingNo, chart.DrivingNoDrive)
	field(chart.Pauses, chart.No, chart.Yes)
	field(chart.Headache, chart.No, chart.Yes)
	field(chart.SettingLeft, -40, 120)
	field(chart.SettingRight, -40, 120)
	field(chart.Wrong, chart.No, chart.Yes)
	for f := chart.Worn; f < chart.NumFields; f++ {
		out = append(out, message.Choice{Field: f, Value: chart.Skipped})
	}
	for word := reading.WordStart; word <= reading.WordHello; word++ {
		if word == reading.WordStands || word == reading.WordStill {
			for n := int32(-40); n <= 120; n++ {
				out = append(out, message.Choice{Word: word, N: n})
			}
			continue
		}
		out = append(out, message.Choice{Word: word})
	}
	for topic := reading.HowPutIn; topic < reading.NumTopics; topic++ {
		out = append(out, message.Choice{Word: reading.WordHow, Topic: topic})
	}
	return out
}

// A late or double press must go to its own question, so no two labels are
// equal, in one language or across two, unless they mean the same.
func TestLabelsAreUnique(t *testing.T) {
	w := load(t)
	seen := map[string]message.Choice{}
	for _, lang := range w.Languages() {
		for _, c := range choices() {
			s := w.Label(lang, c)
			if old, ok := seen[s]; ok && old != c {
				t.Errorf("%s: %q stands for %+v and %+v", lang, s, old, c)
			}
			seen[s] = c
			if n := Units(s); n > 40 {
				t.Errorf("%s: %q has %d characters", lang, s, n)
			}
		}
	}
	if n := w.Misses(); n != 0 {
		t.Errorf("%d labels were missing", n)
	}
}
