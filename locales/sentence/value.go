package sentence

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows/chart"
)

// Value is one thing that is to be written down, or was.
type Value struct {
	Day    string // "mon", or "2ago" for the night before the last; empty for the night that is asked about
	Field  chart.Field
	Answer chart.Answer
}

// String writes it as the sentences do, choices by their number: "wed/worn=2".
func (v Value) String() string {
	s := fmt.Sprintf("%s=%d", keyOf[v.Field], v.Answer.N())
	if v.Day != "" {
		s = v.Day + "/" + s
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

// Weekdays are how a day is named, from time.Sunday on.
var Weekdays = [...]string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"}

// Values reads what is to be written down for a sentence: "worn=all pain=2", "wed/worn=no", "none".
func (s *Sentence) Values() ([]Value, error) {
	var out []Value
	for _, part := range strings.Fields(s.Expected) {
		if part == "none" {
			continue
		}
		var v Value
		if day, rest, ok := strings.Cut(part, "/"); ok {
			v.Day, part = day, rest
			if !slices.Contains(Weekdays[:], day) && !daysAgo(day) {
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

// ago stands behind how many days ago a night began; last night's values have no day.
const ago = "ago"

func daysAgo(day string) bool {
	n, err := strconv.Atoi(strings.TrimSuffix(day, ago))
	return strings.HasSuffix(day, ago) && err == nil && n > 1
}

func (v *Value) take(key, said string) error {
	for _, k := range keys {
		if k.key != key {
			continue
		}
		v.Field = k.field
		for i, c := range k.choices {
			if c == said {
				v.Answer = chart.Num(k.least + i)
				return nil
			}
		}
		if k.choices == nil && k.key == "bitemin" && said == "not" {
			v.Answer = chart.Num(chart.BiteNot)
			return nil
		}
		n, err := strconv.ParseFloat(said, 64)
		if err != nil || k.choices != nil || math.Abs(n) > 2000 {
			return fmt.Errorf("%s has no answer %q", key, said)
		}
		if k.key == "hours" {
			n *= 60
		}
		v.Answer = chart.Num(int(math.Round(n)))
		return nil
	}
	return fmt.Errorf("no question is called %q", key)
}
