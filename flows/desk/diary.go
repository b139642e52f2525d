package desk

import (
	"strconv"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
)

// diaryNights is how many nights one message shows.
const diaryNights = 14

// Diary shows a patient's last nights, the newest last: advice, what it stood
// at, wear, snoring, pain. What is not known is a dash.
func Diary(p *flows.Patient) []message.Line {
	c := &p.Course
	n := min(int(c.N), len(c.Nights))
	lines := []message.Line{head(p)}
	if n == 0 {
		return append(lines, message.Say("desk.diary.empty"))
	}
	for i := max(0, n-diaryNights); i < n; i++ {
		e := &c.Nights[i]
		lines = append(lines, message.Say("desk.diary.night", message.ArgD("night", e.Night),
			message.ArgS("setting", sides(p, e)), message.ArgS("worn", wornMark(e)),
			message.ArgS("snoring", digit(e.At(chart.Snoring))), message.ArgS("pain", digit(e.At(chart.Pain))),
			message.ArgS("rule", ruleID(e))))
	}
	return append(lines, message.Say("desk.diary.key"))
}

// Course is what stands beside the picture of a course, which shows all its
// nights: where it stands, and the last of them.
func Course(p *flows.Patient) []message.Line {
	lines := append([]message.Line{head(p)}, settingLines(p)...)
	if p.Course.N == 0 {
		return append(lines, message.Say("desk.diary.empty"))
	}
	return append(lines, nightLines(p)...)
}

func sides(p *flows.Patient, e *chart.Entry) string {
	s := digit(e.At(chart.SettingLeft))
	if p.Appliance.TwoSided {
		s += "/" + digit(e.At(chart.SettingRight))
	}
	return s
}

func ruleID(e *chart.Entry) string {
	if e.Action == chart.NoAction || pacing.RuleRow(e.Rule).Rule == 0 {
		return unknownMark
	}
	return e.Rule.ID()
}

// entryLines read a night's answers back before they are written, each beside what the
// diary has there and would lose; was is that night's, nil where it has none.
func entryLines(e, was *chart.Entry) []message.Line {
	lines := []message.Line{message.Say("desk.sum.night", message.ArgD("night", e.Night))}
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		v := e.At(f)
		if v == chart.Unknown {
			continue
		}
		key, args := "desk.sum.answer", []message.Arg{message.ArgK("field", "field."+f.Row().Name), answerArg("value", f, v)}
		if was != nil && was.At(f) != chart.Unknown && was.At(f) != v {
			key, args = "desk.sum.answer.was", append(args, answerArg("was", f, was.At(f)))
		}
		lines = append(lines, message.Say(key, args...))
	}
	return lines
}

// answerArg shows an answer of a night.
func answerArg(name string, f chart.Field, v chart.Answer) message.Arg {
	switch r := f.Row(); {
	case v == chart.Skipped:
		return message.ArgK(name, "desk.skipped")
	case r.Worded(v) && f.Takes(v):
		return message.ArgK(name, "label."+r.Name+"."+strconv.Itoa(v.N()))
	case r.Kind.Timed() && (r.Never == "" || v.N() < r.Most):
		return message.Arg{Name: name, Kind: message.ArgMinutes, N: int64(v.N())}
	}
	return message.ArgN(name, v.N())
}

// entryOn is the night of a date among some.
func entryOn(nights []chart.Entry, night civil.Date) *chart.Entry {
	for i := range nights {
		if nights[i].Night == night {
			return &nights[i]
		}
	}
	return nil
}
