package sentence

import (
	"fmt"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// Said is an answer that was read, as the sentences name it.
func Said(t reading.Token) Value {
	v := Value{Field: t.Field, Answer: t.Value}
	switch {
	case t.Night != 0:
		v.Day = t.Night.String()
	case t.Day.Kind == reading.DayWeek:
		v.Day = Weekdays[t.Day.N]
	case t.Day.Kind == reading.DayMonth:
		v.Day = fmt.Sprintf("%d-%02d", t.Day.Month, t.Day.N)
	case t.Day.Kind == reading.DaysAgo && t.Day.N > 1:
		v.Day = fmt.Sprintf("%d%s", t.Day.N, ago)
	}
	return v
}

// Implied reports whether an answer is said along with another: hours that it was worn in part or longer, minutes of the guide
// that it was used, minutes until the bite was back that it came back, no pain that it is gone and woke nobody.
func (v Value) Implied(by Value) bool {
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
