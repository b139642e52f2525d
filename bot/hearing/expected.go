package hearing

import (
	"fmt"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/sentence"
)

// written lists the answers that a reading would write down.
func written(r *reading.Reading) []sentence.Value {
	var out []sentence.Value
	for _, t := range r.Tokens {
		if !t.Value.Known() {
			continue
		}
		v := sentence.Value{Field: t.Field, Answer: t.Value}
		switch {
		case t.Night != 0:
			v.Day = t.Night.String()
		case t.Day.Kind == reading.DayWeek:
			v.Day = sentence.Weekdays[t.Day.N]
		case t.Day.Kind == reading.DayMonth:
			v.Day = fmt.Sprintf("%d-%02d", t.Day.Month, t.Day.N)
		case t.Day.Kind == reading.DaysAgo && t.Day.N > 1:
			v.Day = fmt.Sprintf("%d days ago", t.Day.N)
		}
		out = append(out, v)
	}
	return out
}

// implied is what an answer says beside itself: hours that it was worn in part or longer, minutes of the guide that it
// was used, minutes until the bite was back that it came back, pain in a place that there is some.
func implied(v, by sentence.Value) bool {
	if v.Day != by.Day {
		return false
	}
	switch {
	case v.Field == chart.Worn && by.Field == chart.WornMinutes:
		return by.Answer.N() == 0 && v.Answer.Is(chart.WornNo) || by.Answer.N() > 0 && !v.Answer.Is(chart.WornNo)
	case v.Field == chart.Worn && by.Field == chart.NotWorn:
		return !v.Answer.Is(chart.WornAll)
	case v.Field == chart.Guide && by.Field == chart.GuideMinutes:
		return v.Answer.Is(chart.Yes) == (by.Answer.N() > 0)
	case v.Field == chart.Bite && by.Field == chart.BiteMinutes:
		return v.Answer.Is(chart.BiteBoth) == (by.Answer.N() != chart.BiteNot)
	case v.Field == chart.Gone && by.Field == chart.Pain:
		return by.Answer.Is(0)
	case v.Field == chart.Woken && by.Field == chart.Pain:
		return by.Answer.Is(0) && v.Answer.Is(chart.No)
	}
	return false
}

// compare says which of the wanted answers are missing and which that were read are wrong: another than wanted, or
// not wanted at all.
func compare(wanted, read []sentence.Value) (right int, missing, wrong []sentence.Value) {
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
