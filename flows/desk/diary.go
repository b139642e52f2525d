package desk

import (
	"strconv"

	"duskdawn/flows"
)

// diaryNights is how many nights one message shows.
const diaryNights = 14

// Diary shows a patient's last nights, the newest last: advice, what it stood
// at, wear, snoring, pain. What is not known is a dash.
func Diary(p *flows.Patient) []flows.Line {
	c := &p.Course
	n := min(int(c.N), len(c.Nights))
	lines := []flows.Line{head(p)}
	if n == 0 {
		return append(lines, flows.Say("desk.diary.empty"))
	}
	for i := max(0, n-diaryNights); i < n; i++ {
		e := &c.Nights[i]
		lines = append(lines, flows.Say("desk.diary.night", flows.ArgD("night", e.Night), flows.ArgS("setting", sides(p, e)), flows.ArgS("worn", wornMark(e)),
			flows.ArgS("snoring", digit(e.At(flows.Snoring))), flows.ArgS("pain", digit(e.At(flows.Pain))), flows.ArgS("rule", ruleID(e))))
	}
	return append(lines, flows.Say("desk.diary.key"))
}

func sides(p *flows.Patient, e *flows.Entry) string {
	s := digit(e.At(flows.SettingLeft))
	if p.Appliance.TwoSided {
		s += "/" + digit(e.At(flows.SettingRight))
	}
	return s
}

func ruleID(e *flows.Entry) string {
	if e.Action == flows.NoAction || e.Rule == 0 || e.Rule > 18 {
		return unknownMark
	}
	return e.Rule.ID()
}

// answerNames are the catalogue's names of a night's answers.
var answerNames = [flows.NumFields]string{
	flows.Worn: "worn", flows.WornMinutes: "wornminutes", flows.NotWorn: "notworn", flows.Snoring: "snoring", flows.Reporter: "reporter", flows.Pain: "pain",
	flows.Woken: "woken", flows.Where: "where", flows.Gone: "gone", flows.Guide: "guide", flows.GuideMinutes: "guideminutes", flows.Bite: "bite",
	flows.BiteMinutes: "biteminutes", flows.Nose: "nose", flows.Sleepiness: "sleepiness", flows.Driving: "driving", flows.Pauses: "pauses",
	flows.Headache: "headache", flows.SettingLeft: "settingleft", flows.SettingRight: "settingright", flows.Wrong: "wrong",
}

// entryLines read a night's answers back before they are written.
func entryLines(e *flows.Entry) []flows.Line {
	lines := []flows.Line{flows.Say("desk.sum.night", flows.ArgD("night", e.Night))}
	columns := flows.Columns()
	for f := flows.NoField + 1; f < flows.NumFields; f++ {
		v := e.At(f)
		if v == flows.Unknown {
			continue
		}
		field := flows.ArgK("field", "field."+answerNames[f])
		switch {
		case v == flows.Skipped:
			lines = append(lines, flows.Say("desk.sum.answer", field, flows.ArgK("value", "desk.skipped")))
		case f == flows.WornMinutes || f == flows.GuideMinutes || f == flows.BiteMinutes && v.N() < flows.BiteNot:
			lines = append(lines, flows.Say("desk.sum.answer", field, flows.Arg{Name: "value", Kind: flows.ArgMinutes, N: int64(v.N())}))
		case isWord(columns, f, v):
			lines = append(lines, flows.Say("desk.sum.answer", field, flows.ArgK("value", "label."+answerNames[f]+"."+strconv.Itoa(v.N()))))
		default:
			lines = append(lines, flows.Say("desk.sum.answer", field, flows.ArgN("value", v.N())))
		}
	}
	return lines
}

// isWord tells whether an answer is one of a choice's.
func isWord(columns []flows.Column, f flows.Field, v flows.Value) bool {
	for _, c := range columns {
		if c.Field != f {
			continue
		}
		for _, w := range c.Words {
			if w.N == v.N() {
				return true
			}
		}
	}
	return false
}
