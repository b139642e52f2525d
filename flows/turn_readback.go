package flows

// fieldNames name the fields in keys: "field.pain" is its name, "label.pain" or
// "label.worn.2" an answer.
var fieldNames = [NumFields]string{
	Worn: "worn", WornMinutes: "wornminutes", NotWorn: "notworn", Snoring: "snoring", Reporter: "reporter", Pain: "pain",
	Woken: "woken", Where: "where", Gone: "gone", Guide: "guide", GuideMinutes: "guideminutes", Bite: "bite",
	BiteMinutes: "biteminutes", Nose: "nose", Sleepiness: "sleepiness", Driving: "driving", Pauses: "pauses",
	Headache: "headache", SettingLeft: "settingleft", SettingRight: "settingright", Wrong: "wrong",
}

// echoKey are a field's keys, written out once: an echo is part of every answer.
type echoKey struct {
	name   string     // "field.pain"
	label  string     // "label.pain"
	labels [11]string // "label.worn.0" and on
}

var echoKeys = func() (keys [NumFields]echoKey) {
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
	var on Date
	for i := range b.saved[:b.n] {
		x := &b.saved[i]
		if plain && i == 0 {
			t.say("saved.head")
		} else if !plain && (i == 0 || x.night != on) {
			t.reply(t.line("saved.on", ArgD("date", x.night)))
		}
		on = x.night
		t.reply(t.answerLine(x.field, x.v))
	}
}

// answerLine is an answer in words, as its quick answer has it.
func (t *turn) answerLine(f Field, v Value) Line {
	switch {
	case v == Skipped:
		return t.line("label.skip", ArgK("question", echoKeys[f].name))
	case f == Pain || f == Snoring || f == Sleepiness || f == SettingLeft || f == SettingRight:
		return t.line(echoKeys[f].label, ArgN("n", v.N()))
	case f == BiteMinutes && v.Is(BiteNot):
		return Say(echoKeys[f].label + ".1440")
	case f == BiteMinutes && v.Is(hourPassed):
		return t.line("answer.bite.hour")
	case f == WornMinutes || f == GuideMinutes || f == BiteMinutes:
		return t.line(echoKeys[f].label, Arg{Name: "time", Kind: ArgMinutes, N: int64(v.N())})
	}
	if n := v.N(); n >= 0 && n < len(echoKeys[f].labels) {
		return Say(echoKeys[f].labels[n])
	}
	return Say(echoKeys[f].label + "." + itoa(v.N()))
}

// savedLine is one answer, saved.
func (t *turn) savedLine(f Field, v Value) Line {
	what := ArgK("what", echoKeys[f].name)
	switch {
	case v == Skipped:
		return t.line("saved.skipped", what)
	case f == Pain || f == Snoring || f == Sleepiness || f == SettingLeft || f == SettingRight:
		return t.saidNumber(f, v)
	case f == BiteMinutes && v.Is(hourPassed):
		return t.line("saved.one", ArgK("answer", "answer.bite.hour"))
	case (f == WornMinutes || f == GuideMinutes || f == BiteMinutes) && !v.Is(BiteNot):
		return t.line("saved.time", what, Arg{Name: "time", Kind: ArgMinutes, N: int64(v.N())})
	}
	return t.line("saved.one", ArgK("answer", t.answerLine(f, v).Key))
}

func (t *turn) saidNumber(f Field, v Value) Line {
	return t.line("saved.number", ArgK("what", echoKeys[f].name), ArgN("n", v.N()))
}

// itoa writes the small numbers of answers.
func itoa(n int) string {
	if n >= 0 && n < 10 {
		return "0123456789"[n : n+1]
	}
	return number(int32(n))
}
