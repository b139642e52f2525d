package hearing

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// value is one thing that is to be written down, or was read.
type value struct {
	day   string // "mon"; empty for the night that is asked about
	field chart.Field
	v     chart.Answer
}

func (v value) String() string {
	s := fmt.Sprintf("%s=%d", keyOf[v.field], v.v.N())
	if v.day != "" {
		s = v.day + "/" + s
	}
	return s
}

// keys are how labelled sentences name the questions.
var keys = []struct {
	key     string
	field   chart.Field
	choices []string // the answer of each, from least; none for numbers
	least   int
}{
	{"worn", chart.Worn, []string{"no", "part", "all"}, chart.WornNo},
	{"hours", chart.WornMinutes, nil, 0},
	{"why", chart.NotWorn, []string{"forgot", "pain", "discomfort", "ill", "away", "broken", "told", "other", "morning", "unknown"}, chart.ReasonForgot},
	{"snore", chart.Snoring, nil, 0},
	{"pain", chart.Pain, nil, 0},
	{"woke", chart.Woken, []string{"no", "yes"}, chart.No},
	{"where", chart.Where, []string{"joint", "muscle", "tooth", "gum", "other"}, chart.SiteJoint},
	{"gone", chart.Gone, []string{"morning", "midday", "afternoon", "no"}, chart.GoneMorning},
	{"guide", chart.Guide, []string{"no", "yes"}, chart.No},
	{"guidemin", chart.GuideMinutes, nil, 0},
	{"bite", chart.Bite, []string{"both", "one", "front", "unsure"}, chart.BiteBoth},
	{"bitemin", chart.BiteMinutes, nil, 0},
	{"nose", chart.Nose, []string{"no", "yes"}, chart.No},
	{"sleepy", chart.Sleepiness, nil, 0},
	{"driving", chart.Driving, []string{"no", "nearly", "yes", "none"}, chart.DrivingNo},
	{"pauses", chart.Pauses, []string{"no", "yes"}, chart.No},
	{"headache", chart.Headache, []string{"no", "yes"}, chart.No},
	{"setting", chart.SettingLeft, nil, 0},
	{"left", chart.SettingLeft, nil, 0},
	{"right", chart.SettingRight, nil, 0},
	{"reporter", chart.Reporter, []string{"partner", "self", "recorder", "nobody"}, chart.ReporterPartner},
	{"wrong", chart.Wrong, []string{"no", "yes"}, chart.No},
}

var keyOf = func() (names [chart.NumFields]string) {
	for _, k := range keys {
		if names[k.field] == "" {
			names[k.field] = k.key
		}
	}
	return names
}()

var weekdays = []string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"}

// Expect reads what is to be written down for a sentence: "worn=all pain=2", "wed/worn=no", "none".
func expect(text string) ([]value, error) {
	var out []value
	for _, part := range strings.Fields(text) {
		if part == "none" {
			continue
		}
		var v value
		if day, rest, ok := strings.Cut(part, "/"); ok {
			v.day, part = day, rest
			if !isDay(day) {
				return nil, fmt.Errorf("no day is called %q", day)
			}
		}
		key, said, ok := strings.Cut(part, "=")
		if !ok {
			return nil, fmt.Errorf("wanted key=value, found %q", part)
		}
		if err := v.take(key, said); err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}

func isDay(day string) bool {
	for _, d := range weekdays {
		if d == day {
			return true
		}
	}
	return false
}

func (v *value) take(key, said string) error {
	for _, k := range keys {
		if k.key != key {
			continue
		}
		v.field = k.field
		for i, c := range k.choices {
			if c == said {
				v.v = chart.Num(k.least + i)
				return nil
			}
		}
		if k.choices == nil && k.key == "bitemin" && said == "not" {
			v.v = chart.Num(chart.BiteNot)
			return nil
		}
		n, err := strconv.ParseFloat(said, 64)
		if err != nil || k.choices != nil || math.Abs(n) > 2000 {
			return fmt.Errorf("%s has no answer %q", key, said)
		}
		if k.key == "hours" {
			n *= 60
		}
		v.v = chart.Num(int(math.Round(n)))
		return nil
	}
	return fmt.Errorf("no question is called %q", key)
}

// written lists the answers that a reading would write down.
func written(r *reading.Reading) []value {
	var out []value
	for _, t := range r.Tokens {
		if !t.Value.Known() {
			continue
		}
		v := value{field: t.Field, v: t.Value}
		switch {
		case t.Night != 0:
			v.day = t.Night.String()
		case t.Day.Kind == reading.DayWeek:
			v.day = weekdays[t.Day.N]
		case t.Day.Kind == reading.DayMonth:
			v.day = fmt.Sprintf("%d-%02d", t.Day.Month, t.Day.N)
		case t.Day.Kind == reading.DaysAgo && t.Day.N > 1:
			v.day = fmt.Sprintf("%d days ago", t.Day.N)
		}
		out = append(out, v)
	}
	return out
}

// implied is what an answer says beside itself: hours that it was worn in part or longer, minutes of the guide that it
// was used, minutes until the bite was back that it came back, pain in a place that there is some.
func implied(v, by value) bool {
	if v.day != by.day {
		return false
	}
	switch {
	case v.field == chart.Worn && by.field == chart.WornMinutes:
		return by.v.N() == 0 && v.v.Is(chart.WornNo) || by.v.N() > 0 && !v.v.Is(chart.WornNo)
	case v.field == chart.Worn && by.field == chart.NotWorn:
		return !v.v.Is(chart.WornAll)
	case v.field == chart.Guide && by.field == chart.GuideMinutes:
		return v.v.Is(chart.Yes) == (by.v.N() > 0)
	case v.field == chart.Bite && by.field == chart.BiteMinutes:
		return v.v.Is(chart.BiteBoth) == (by.v.N() != chart.BiteNot)
	case v.field == chart.Gone && by.field == chart.Pain:
		return by.v.Is(0)
	case v.field == chart.Woken && by.field == chart.Pain:
		return by.v.Is(0) && v.v.Is(chart.No)
	}
	return false
}

// compare says which of the wanted answers are missing and which that were read are wrong: another than wanted, or
// not wanted at all.
func compare(wanted, read []value) (right int, missing, wrong []value) {
	for _, w := range wanted {
		found := false
		for _, r := range read {
			found = found || r == w || implied(w, r)
		}
		if found {
			right++
		} else {
			missing = append(missing, w)
		}
	}
	for _, r := range read {
		found := false
		for _, w := range wanted {
			found = found || r == w || implied(r, w)
		}
		if !found {
			wrong = append(wrong, r)
		}
	}
	return right, missing, wrong
}
