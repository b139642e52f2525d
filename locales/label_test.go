package locales

import (
	"testing"

	"duskdawn/flows"
)

// choices lists every quick answer there can be: all fields with all their
// values, and all words.
func choices() []flows.Choice {
	var out []flows.Choice
	field := func(f flows.Field, from, to int) {
		for n := from; n <= to; n++ {
			out = append(out, flows.Choice{Field: f, Value: flows.Num(n)})
		}
	}
	field(flows.Worn, flows.WornNo, flows.WornAll)
	field(flows.WornMinutes, 0, 1440)
	field(flows.NotWorn, flows.ReasonForgot, flows.ReasonNotKnown)
	field(flows.Snoring, 0, 10)
	field(flows.Reporter, flows.ReporterPartner, flows.ReporterNobody)
	field(flows.Pain, 0, 10)
	field(flows.Woken, flows.No, flows.Yes)
	field(flows.Where, flows.SiteJoint, flows.SiteOther)
	field(flows.Gone, flows.GoneMorning, flows.GoneNo)
	field(flows.Guide, flows.No, flows.Yes)
	field(flows.GuideMinutes, 0, 120)
	field(flows.Bite, flows.BiteBoth, flows.BiteUnsure)
	field(flows.BiteMinutes, 0, 1440)
	field(flows.Nose, flows.No, flows.Yes)
	field(flows.Sleepiness, 0, 10)
	field(flows.Driving, flows.DrivingNo, flows.DrivingNoDrive)
	field(flows.Pauses, flows.No, flows.Yes)
	field(flows.Headache, flows.No, flows.Yes)
	field(flows.SettingLeft, -40, 120)
	field(flows.SettingRight, -40, 120)
	field(flows.Wrong, flows.No, flows.Yes)
	for f := flows.Worn; f < flows.NumFields; f++ {
		out = append(out, flows.Choice{Field: f, Value: flows.Skipped})
	}
	for word := flows.WordStart; word <= flows.WordHello; word++ {
		if word == flows.WordStands || word == flows.WordStill {
			for n := int32(-40); n <= 120; n++ {
				out = append(out, flows.Choice{Word: word, N: n})
			}
			continue
		}
		out = append(out, flows.Choice{Word: word})
	}
	for topic := flows.HowPutIn; topic < flows.NumTopics; topic++ {
		out = append(out, flows.Choice{Word: flows.WordHow, Topic: topic})
	}
	return out
}

// A late or double press must go to its own question, so no two labels are
// equal, in one language or across two, unless they mean the same.
func TestLabelsAreUnique(t *testing.T) {
	w := load(t)
	seen := map[string]flows.Choice{}
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
