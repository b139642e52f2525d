package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
)

// fieldNames name the fields in keys: "field.pain" is its name, "label.pain" or
// "label.worn.2" an answer.
var fieldNames = [chart.NumFields]string{
	chart.Worn: "worn", chart.WornMinutes: "wornminutes", chart.NotWorn: "notworn", chart.Snoring: "snoring", chart.Reporter: "reporter", chart.Pain: "pain",
	chart.Woken: "woken", chart.Where: "where", chart.Gone: "gone", chart.Guide: "guide", chart.GuideMinutes: "guideminutes", chart.Bite: "bite",
	chart.BiteMinutes: "biteminutes", chart.Nose: "nose", chart.Sleepiness: "sleepiness", chart.Driving: "driving", chart.Pauses: "pauses",
	chart.Headache: "headache", chart.SettingLeft: "settingleft", chart.SettingRight: "settingright", chart.Wrong: "wrong",
}

// echoKey are a field's keys, written out once: an echo is part of every answer.
type echoKey struct {
	name   string     // "field.pain"
	label  string     // "label.pain"
	labels [11]string // "label.worn.0" and on
}

var echoKeys = func() (keys [chart.NumFields]echoKey) {
	for f, name := range fieldNames {
		k := &keys[f]
		k.name, k.label = "field."+name, "label."+name
		for n := range k.labels {
			k.labels[n] = k.label + "." + itoa(n)
		}
	}
	return keys
}()

// echo says what was saved: one answer in one line; several, or answers of
// another night, under their date.
func (b *binding) echo() {
	t := b.t
	if b.n == 0 {
		return
	}
	plain := true
	for i := range b.saved[:b.n] {
		plain = plain && b.saved[i].night == t.natural(b.saved[i].field, b.s.Wall)
	}
	if b.n == 1 && plain {
		t.reply(t.savedLine(b.saved[0].field, b.saved[0].v))
		return
	}
	var on civil.Date
	for i := range b.saved[:b.n] {
		x := &b.saved[i]
		if plain && i == 0 {
			t.say("saved.head")
		} else if !plain && (i == 0 || x.night != on) {
			t.reply(t.line("saved.on", message.ArgD("date", x.night)))
		}
		on = x.night
		t.reply(t.answerLine(x.field, x.v))
	}
}

// answerLine is an answer in words, as its quick answer has it.
func (t *turn) answerLine(f chart.Field, v chart.Answer) message.Line {
	switch {
	case v == chart.Skipped:
		return t.line("label.skip", message.ArgK("question", echoKeys[f].name))
	case f == chart.Pain || f == chart.Snoring || f == chart.Sleepiness || f == chart.SettingLeft ||
		f == chart.SettingRight:
		return t.line(echoKeys[f].label, message.ArgN("n", v.N()))
	case f == chart.BiteMinutes && v.Is(chart.BiteNot):
		return message.Say(echoKeys[f].label + ".1440")
	case f == chart.BiteMinutes && v.Is(hourPassed):
		return t.line("answer.bite.hour")
	case f == chart.WornMinutes || f == chart.GuideMinutes || f == chart.BiteMinutes:
		return t.line(echoKeys[f].label, message.Arg{Name: "time", Kind: message.ArgMinutes, N: int64(v.N())})
	}
	if n := v.N(); n >= 0 && n < len(echoKeys[f].labels) {
		return message.Say(echoKeys[f].labels[n])
	}
	return message.Say(echoKeys[f].label + "." + itoa(v.N()))
}

// savedLine is one answer, saved.
func (t *turn) savedLine(f chart.Field, v chart.Answer) message.Line {
	what := message.ArgK("what", echoKeys[f].name)
	switch {
	case v == chart.Skipped:
		return t.line("saved.skipped", what)
	case f == chart.Pain || f == chart.Snoring || f == chart.Sleepiness || f == chart.SettingLeft ||
		f == chart.SettingRight:
		return t.saidNumber(f, v)
	case f == chart.BiteMinutes && v.Is(hourPassed):
		return t.line("saved.one", message.ArgK("answer", "answer.bite.hour"))
	case (f == chart.WornMinutes || f == chart.GuideMinutes || f == chart.BiteMinutes) && !v.Is(chart.BiteNot):
		return t.line("saved.time", what, message.Arg{Name: "time", Kind: message.ArgMinutes, N: int64(v.N())})
	}
	return t.line("saved.one", message.ArgK("answer", t.answerLine(f, v).Key))
}

func (t *turn) saidNumber(f chart.Field, v chart.Answer) message.Line {
	return t.line("saved.number", message.ArgK("what", echoKeys[f].name), message.ArgN("n", v.N()))
}

// itoa writes the small numbers of answers.
func itoa(n int) string {
	if n >= 0 && n < 10 {
		return "0123456789"[n : n+1]
	}
	return number(int32(n))
}
